"""What a boat costs that waits for a part, from the settings or from the costs of a failure.

In: costs of the component, lead time, settings. Out: `Waiting`, or that nobody said.
Elsewhere: what it comes to for a shelf (`holding`).
"""

from dataclasses import dataclass

from pipelines.advice.case import Costs
from pipelines.terms.settings import Settings


@dataclass(frozen=True)
class Waiting:
    """Money that one renewal without its part costs; `None`: nobody said what a boat that waits costs."""

    money: float | None
    because: str


UNKNOWN_WAIT = Waiting(None, "What a boat that waits costs is not known: set `waiting_cost_per_day`, or take in `costs`.")


def waiting_of(costs: Costs | None, lead_days: float, settings: Settings) -> Waiting:
    """Say what a boat costs that waits for a part: by the setting and the days until one comes, else by the costs of a failure."""
    days = settings.expedited_days or lead_days
    if settings.waiting_cost_per_day > 0:
        return Waiting(settings.waiting_cost_per_day * days, f"{days:,.0f} days at {settings.waiting_cost_per_day:,.0f} a day.")
    if costs is not None and costs.failure > costs.planned:
        return Waiting(costs.failure - costs.planned, "What a failure costs beyond a planned renewal, once, however long the boat waits.")
    return UNKNOWN_WAIT
