"""A card a boat: what it is, what is fitted and how old, what happened, and how far its fuel takes it.

In: boats, parts fitted, due tasks, calls, trips. Out: sheets.
Elsewhere: the ratio of two sums with limits (`fits.ratio_of_sums`), facts at the head (`boats`).
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

import polars as pl

from pipelines.exports.papers.blocks import Block, Cautions, Column, Facts, Heading, Sheet, Words, table
from pipelines.exports.papers.boats import Boat
from pipelines.exports.papers.written import counted, day, figure, span
from pipelines.fits.ratio_of_sums import Ratio, ratio_with_limits
from pipelines.terms.cautions import CAUTIONS
from pipelines.terms.components import AFLOAT, PETROL_VAPOUR

ENOUGH_TRIPS = 5
NO_BURN = "How far the fuel takes it is not known: log engine hours and litres of at least five trips."
THIRDS = "A third of the tank out, a third back, a third kept in hand. The range is reckoned at the thirsty end of what its own trips show."


@dataclass(frozen=True)
class Fuel:
    """What a boat burns and how fast it goes, from its own trips; `tank_l` `None`: not known."""

    tank_l: float | None
    burn: Ratio
    speed: Ratio

    @property
    def hours_out(self) -> float | None:
        """Engine hours until a third of the tank is gone, at the upper limit of the burn; `None`: too little is known."""
        if self.tank_l is None or self.burn.pairs < ENOUGH_TRIPS or not self.burn.high:
            return None
        return self.tank_l / 3 / self.burn.high

    @property
    def miles_out(self) -> float | None:
        """Nautical miles until then, at the lower limit of miles an engine hour."""
        if self.hours_out is None or self.speed.pairs < ENOUGH_TRIPS or self.speed.low is None:
            return None
        return self.hours_out * self.speed.low


@dataclass(frozen=True, eq=False)
class Happened:
    """What is on record of the boats.

    Attributes
    ----------
    fitted
        Rows of `derived.fitted_now`.
    due
        Rows of the answer `due`, the next of each part.
    calls
        Rows of `derived.calls` of the last twelve months.
    """

    fitted: pl.DataFrame
    due: pl.DataFrame
    calls: pl.DataFrame

    def of_boat(self, vessel_id: str) -> "Happened":
        """Keep the rows of one boat."""
        return Happened(*(frame.filter(pl.col("vessel_id") == vessel_id) for frame in (self.fitted, self.due, self.calls)))


def fuel_of(boat: Boat, trips: pl.DataFrame, level: float) -> Fuel:
    """Work out litres and miles an engine hour from the boat's own trips (columns vessel_id, engine_h, fuel_l, distance_nm)."""
    own = trips.filter(pl.col("vessel_id") == boat.vessel_id)
    hours, litres, miles = (own[name].to_list() for name in ("engine_h", "fuel_l", "distance_nm"))
    return Fuel(boat.tank_l, ratio_with_limits(litres, hours, level), ratio_with_limits(miles, hours, level))


def boat_cards(boats: Sequence[Boat], happened: Happened, fuels: Mapping[str, Fuel], labels: Mapping[str, str]) -> list[Sheet]:
    """Make one sheet a boat.

    Parameters
    ----------
    boats
        The boats of the scope that are still here.
    happened
        What is on record of them.
    fuels
        {vessel_id: from `fuel_of`}.
    labels
        {component: how it is written}.
    """
    return [_card(boat, happened.of_boat(boat.vessel_id), fuels[boat.vessel_id], labels) for boat in boats]


def _card(boat: Boat, own: Happened, fuel: Fuel, labels: Mapping[str, str]) -> Sheet:
    overdue = own.due.filter(pl.col("overdue").fill_null(value=False)).height
    state = f"{counted(overdue, 'task is', 'tasks are')} overdue." if overdue else "Nothing is overdue by the plan in force."
    blocks: list[Block] = [boat.facts, Words(state), Heading("Fuel"), *_fuel(fuel), Heading("Fitted now")]
    blocks.append(table(_FITTED, _fitted_rows(own.fitted, own.due, labels)))
    blocks += [Heading("Rescue calls, last twelve months"), _calls(own.calls)]
    blocks.append(Cautions((CAUTIONS[PETROL_VAPOUR], CAUTIONS[AFLOAT])))
    return Sheet("Boat card", boat.words, tuple(blocks))


_FITTED = (
    Column("part", share=2),
    Column("engine"),
    Column("fitted"),
    Column("age, h", "right"),
    Column("age, months", "right"),
    Column("next due", "right"),
)
_CALLS = (Column("day"), Column("caller saw", share=1), Column("cause", share=1), Column("ended", share=1), Column("hours down", "right"))


def _fuel(fuel: Fuel) -> list[Block]:
    tank = figure(fuel.tank_l, 0, "l")
    if fuel.hours_out is None:
        return [Facts((("Tank", tank), ("Trips with fuel and hours", str(fuel.burn.pairs)))), Words(NO_BURN, faint=True)]
    burn = f"{figure(fuel.burn.value, 1)} l/h ({span(fuel.burn.low, fuel.burn.high, 1)})"
    facts = (
        ("Tank", tank),
        (f"Burn, {counted(fuel.burn.pairs, 'trip', 'trips')}", burn),
        ("A third lasts", figure(fuel.hours_out, 1, "h")),
    )
    return [Facts((*facts, ("Furthest out", figure(fuel.miles_out, 0, "nm")))), Words(THIRDS, faint=True)]


def _fitted_rows(fitted: pl.DataFrame, due: pl.DataFrame, labels: Mapping[str, str]) -> list[list[str]]:
    place = ("engine_id", "component", "position")
    nexts: dict[tuple[str | None, ...], date | None] = {}
    for row in due.sort("due_on", nulls_last=True).iter_rows(named=True):
        nexts.setdefault(tuple(row[name] for name in place), row["due_on"])
    rows = fitted.sort("component", "engine_id", "position", nulls_last=True).iter_rows(named=True)
    return [
        [
            f"{labels.get(row['component'], row['component'])} {row['position'] or ''}".strip() + (", found failed" if row["down"] else ""),
            row["engine_id"] or "boat",
            day(row["fitted_on"]),
            figure(row["age_h"]),
            figure(row["age_months"], 1),
            day(nexts.get(tuple(row[name] for name in place))),
        ]
        for row in rows
    ]


def _calls(calls: pl.DataFrame) -> Block:
    if calls.is_empty():
        return Words("None.")
    rows = [
        [day(row["called_on"]), row["symptom"], row["cause"], row["outcome"], figure(row["downtime_h"], 1)]
        for row in calls.sort("called_on").iter_rows(named=True)
    ]
    return table(_CALLS, rows)
