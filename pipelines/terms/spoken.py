"""Days as people write them in a sentence.

In: a day. Out: words. Elsewhere: days in tables and files, which stay ISO 8601.
"""

from datetime import date


def spoken_day(day: date) -> str:
    """Write a day as 30 Sep 2025."""
    return f"{day.day} {day:%b %Y}"
