"""What a week is made of: the matters a manager looks at in the morning, in their order, and what is said where one holds nothing.

In: nothing. Out: `MATTERS`, `Matter`. Elsewhere: the lines of a matter (`flow.week`), how they are shown.
"""

from dataclasses import dataclass

TIED_UP, OVERDUE, SOON, CALL = "stay tied up", "overdue", "due soon", "call"
ALARM, WAITS, SHELF = "alarm", "waits for a person", "runs out"
SOON_DAYS = 14
"""How far ahead work is due soon."""
CALL_DAYS = 7
"""Calls are told from the same day of last week on, that day included."""
RUNS_OUT = 0.5
"""A part runs out when that is at least as likely over its lead time as not (our choice)."""


@dataclass(frozen=True)
class Matter:
    """One matter of the week: its heading, and what is said where there is nothing."""

    heading: str
    nothing: str


MATTERS = {
    TIED_UP: Matter("Should stay tied up", "No boat needs to stay tied up, as far as the records show."),
    OVERDUE: Matter("Overdue", "Nothing is overdue."),
    SOON: Matter("Due in the next two weeks", "Nothing falls due in the next two weeks."),
    CALL: Matter("Calls", "No call came in since this day last week."),
    ALARM: Matter("Alarms", "No alarm: nothing runs above its forecast, no batch or fitter fails early, no hours stand still."),
    SHELF: Matter("On the shelf", "Nothing on the shelf is likely to run out before an order comes."),
    WAITS: Matter("Waits for a person", "Nothing waits for a person."),
}
"""{matter: heading and what is said where it holds nothing}, in the order in which they are told."""
