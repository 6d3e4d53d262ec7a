"""The words of a verdict, and intervals and money as a yard would say them.

In: decisions and figures. Out: words. Elsewhere: which word is said when (`ruling`).
"""

from pipelines.advice.prospect import Decision

RENEW = "renew at interval"
ON_CONDITION = "renew on condition"
RUN = "run to failure, keep a spare"
KEEP = "keep the maker's interval"
IMPROVE = "improve the fitting"
TEST = "test for hidden failure"
TOO_LITTLE = "too little to say"
VERDICTS = (RENEW, ON_CONDITION, RUN, KEEP, IMPROVE, TEST, TOO_LITTLE)


def figure(value: float) -> str:
    """Write a figure with no needless decimals: 150, 2.5."""
    return f"{value:,.0f}" if abs(value) >= 100 or value == round(value) else f"{value:,.2g}"


def interval_words(decision: Decision) -> str:
    """Say a decision: `every 150 h or 12 months, whichever comes first`."""
    if decision.is_never:
        return "only when it fails"
    hours, months = _hours(decision.hours), _months(decision.months)
    return f"every {hours} or {months}, whichever comes first" if hours and months else f"every {hours or months}"


def counted(number: int, one: str, many: str) -> str:
    """Write a count with its noun in the right number."""
    return f"{number:,} {one if number == 1 else many}"


def _hours(hours: float | None) -> str:
    return "" if hours is None else f"{figure(hours)} h"


def _months(months: float | None) -> str:
    if months is None:
        return ""
    return "month" if months == 1 else f"{figure(months)} months"
