"""How often to test a function whose failure shows only when it is needed.

In: failures a year and the wanted availability. Out: months between tests.
Elsewhere: what the failure rate rests on (`prospect`).
"""

import numpy as np

MONTHS_A_YEAR = 12.0
_WEEK = 7 / (365.25 / 12)
_LONGEST_YEARS = 100.0


def years_between_tests(failures_a_year: float, availability: float) -> float:
    """Years between tests that keep a hidden function available for the wanted share of time.

    A function that fails at a constant rate and is put right at each test works for (1 - exp(-x)) / x of the time, x being failures a
    year times years between tests (IEC 61703 gives the mean unavailability in this form; clause from memory).

    Parameters
    ----------
    failures_a_year
        Rate at which it fails unseen, 0 or more.
    availability
        Wanted share of time, between 0 and 1.

    Returns
    -------
    float
        At most 100 years.
    """
    low, high = 0.0, 60.0
    for _ in range(80):
        middle = (low + high) / 2
        low, high = (middle, high) if -np.expm1(-middle) / middle > availability else (low, middle)
    return min(low / failures_a_year, _LONGEST_YEARS) if failures_a_year > 0 else _LONGEST_YEARS


def keepable_months(years: float, ceiling_months: float | None) -> float:
    """Months between tests as a yard can keep them, rounded down: whole months, whole weeks below a month, never past a limit."""
    months = years * MONTHS_A_YEAR
    if ceiling_months is not None and ceiling_months <= months:
        return ceiling_months
    return float(np.floor(months)) if months >= 1 else round(max(1.0, np.floor(months / _WEEK)) * _WEEK, 2)
