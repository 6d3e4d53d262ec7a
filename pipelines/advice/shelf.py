"""One part on one shelf: what is there, what will be asked for, how much to hold and order, and when it runs out.

In: figures of the part and its demand by several days. Out: `Shelf`.
Elsewhere: where the demand comes from (`demand`), all shelves of a fleet (`stock`), money (`holding`), bases together (`sharing`).

References
----------
IEC 62550:2017, Spare parts provisioning (title and year from memory): stock from demand over the lead time at a stated service level.
"""

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from pipelines.advice.counts import Demand
from pipelines.advice.day_lattice import month_ends
from pipelines.advice.demand import NOTHING_WANTED, Wanted
from pipelines.advice.waiting import UNKNOWN_WAIT, Waiting


@dataclass(frozen=True, eq=False)
class Shelf:
    """One part on one shelf.

    Attributes
    ----------
    on_order, pack
        Pieces on order, pieces a pack.
    lead, season
        Pieces asked for over the lead time and over the season.
    quantity
        Pieces used at one renewal.
    wanted
        Events by every day that is read, the ends of lead time and season among them.
    positions
        How many positions take it.
    obsolete
        Why nothing will ask for it any more; empty: something may.
    last_year
        Pieces used over the same days a year ago; `None`: the records do not reach back so far.
    waiting
        What a missing piece costs.
    """

    part_id: str
    component: str
    base: str | None
    on_hand: int
    on_order: int
    pack: int
    unit_cost: float
    lead: Demand
    season: Demand
    note: str
    quantity: float = 1.0
    lead_days: float = 0.0
    horizon_days: float = 120.0
    wanted: Wanted = NOTHING_WANTED
    positions: int = 0
    supplier: str | None = None
    obsolete: str = ""
    last_year: int | None = None
    waiting: Waiting = UNKNOWN_WAIT

    @property
    def position(self) -> int:
        """Pieces on hand and on order together."""
        return self.on_hand + self.on_order

    def reorder_point(self, level: float) -> int:
        """Smallest number that lasts over the lead time with probability `level`."""
        return self.lead.quantile(level)

    def order_up_to(self, level: float) -> int:
        """Smallest number that lasts over the season, and over the lead time, with probability `level`."""
        return max(self.season.quantile(level), self.reorder_point(level))

    def order_quantity(self, level: float) -> int:
        """Pieces to order now in whole packs: none while hand and order together stand above the reorder point."""
        if self.position > self.reorder_point(level):
            return 0
        return self.pack * -(-max(0, self.order_up_to(level) - self.position) // self.pack)

    def surplus(self, level: float) -> int:
        """Pieces on hand beyond what the season may ask for."""
        return max(0, self.on_hand - self.order_up_to(level))

    def pieces_by(self, day: float) -> Demand:
        """Pieces asked for by a day that is read."""
        return self.wanted.by(day).times(self.quantity)

    def chance_out(self, pieces: int) -> np.ndarray:
        """Chance that so many pieces have run out, by each day that is read."""
        return np.array([1 - one.times(self.quantity).chance_up_to(pieces) for one in self.wanted.demands])

    def out_by_month(self, as_of: date) -> list[tuple[date, float]]:
        """Chance that hand and order together have run out by the end of each month ahead, if nothing more is ordered."""
        if not self.wanted.demands:
            return []
        chances, days = self.chance_out(self.position), self.wanted.days
        return [(end, float(np.interp((end - as_of).days, days, chances))) for end in month_ends(as_of, float(days[-1]))]

    def out_on(self, as_of: date, chance: float) -> date | None:
        """Day on which the chance of having run out passes `chance`, if nothing more is ordered; `None`: not within the days read."""
        if not self.wanted.demands:
            return None
        days, chances = np.concatenate([[0.0], self.wanted.days]), np.concatenate([[0.0], self.chance_out(self.position)])
        after = int(np.argmax(chances > chance))
        if chances[after] <= chance:
            return None
        part = (chance - chances[after - 1]) / (chances[after] - chances[after - 1])
        return as_of + timedelta(days=int(np.ceil(days[after - 1] + part * (days[after] - days[after - 1]))))

    def order_by(self, as_of: date, level: float) -> date | None:
        """Last day on which an order still comes before the chance of having run out passes 1 - level; today where that is past."""
        early = self.out_on(as_of, 1 - level)
        return None if early is None else max(as_of, early - timedelta(days=int(np.ceil(self.lead_days))))

    def mean_left(self, pieces: int) -> float:
        """Mean number of so many pieces that lie on the shelf through the season, if nothing more is ordered."""
        kept = self.wanted.days <= self.horizon_days + 1e-6
        if not kept.any():
            return float(pieces)
        days = np.concatenate([[0.0], self.wanted.days[kept]])
        left = [
            float(pieces),
            *(one.times(self.quantity).left(pieces) for one, held in zip(self.wanted.demands, kept, strict=True) if held),
        ]
        return float(np.trapezoid(left, days) / days[-1])

    def missing(self, pieces: int) -> float:
        """Count the renewals of the season that are expected to find no part where so many pieces are held and nothing more is ordered."""
        return self.season.shortfall(pieces) / self.quantity

    @property
    def events(self) -> float:
        """Expected renewals of the season."""
        return self.season.mean / self.quantity

    @property
    def mean_by_sort(self) -> dict[str, float]:
        """Expected pieces of the season: for parts that fail, for renewals by plan, for damage from outside."""
        sorts = (self.wanted.failing, self.wanted.planned, self.wanted.damaged)
        total = sum(sorts)
        names = ("failing_demand", "planned_demand", "damage_demand")
        return {name: self.season.mean * sort / total if total > 0 else 0.0 for name, sort in zip(names, sorts, strict=True)}

    @property
    def failing_share(self) -> float:
        """Share of the renewals that stand for a boat that is down: failures and damage; all of them where nothing is to be expected."""
        by_sort = self.mean_by_sort
        return 1 - by_sort["planned_demand"] / self.season.mean if self.season.mean > 0 else 1.0
