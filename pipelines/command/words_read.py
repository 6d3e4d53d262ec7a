"""Days, stretches of days, shares, amounts and columns as a person writes them behind an option.

In: a word. Out: what it means; what cannot be read is refused with an example.
Elsewhere: the options they stand behind (`options`, `record_options`).
"""

import argparse
from datetime import date


def iso_day(word: str) -> date:
    """Read an ISO 8601 day."""
    try:
        return date.fromisoformat(word)
    except ValueError:
        raise argparse.ArgumentTypeError(f"{word!r} is not a day; write it like 2026-07-14") from None


def days(word: str) -> int:
    """Read a stretch of days such as `30d` or `30`, 1 or more."""
    figure = word.removesuffix("d")
    if not figure.isdigit() or int(figure) < 1:
        raise argparse.ArgumentTypeError(f"{word!r} is not a number of days; write it like 30d")
    return int(figure)


def share(word: str) -> float:
    """Read a share above 0 and below 1."""
    try:
        value = float(word)
    except ValueError:
        value = 0.0
    if not 0 < value < 1:
        raise argparse.ArgumentTypeError(f"{word!r} is not a share between 0 and 1; write it like 0.95")
    return value


def positive(word: str) -> float:
    """Read a number above 0."""
    try:
        value = float(word)
    except ValueError:
        value = 0.0
    if not 0 < value < float("inf"):
        raise argparse.ArgumentTypeError(f"{word!r} is not a number above 0")
    return value


def not_negative(word: str) -> float:
    """Read a number of 0 or more."""
    try:
        value = float(word)
    except ValueError:
        value = -1.0
    if not 0 <= value < float("inf"):
        raise argparse.ArgumentTypeError(f"{word!r} is not a number of 0 or more")
    return value


def columns(word: str) -> tuple[str, ...]:
    """Read column names with commas between, whatever their case."""
    return tuple(dict.fromkeys(name.strip().lower() for name in word.split(",") if name.strip()))
