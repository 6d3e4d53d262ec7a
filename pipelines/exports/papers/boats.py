"""The boats that papers are about: each with its engines and their hours on the last day known.

In: frames of `accepted` and `derived`. Out: `Boat`, and the facts that stand at the head of a boat's sheet.
Elsewhere: what is to be done on them (`work`), what is fitted (`boat_cards`).
"""

from dataclasses import dataclass

import polars as pl

from pipelines.exports.papers.blocks import Facts
from pipelines.exports.papers.written import figure


@dataclass(frozen=True)
class Engine:
    """One engine where it sits now; hours since commissioning, `None`: unknown."""

    engine_id: str
    place: str
    model: str
    fuel: str
    hours: float | None

    @property
    def words(self) -> str:
        """How the engine is named on paper."""
        where = "" if self.place in ("", "single") else f"{self.place} "
        return f"{where}{self.engine_id} {self.model}".strip()


@dataclass(frozen=True)
class Boat:
    """One boat of the fleet; empty words and `None` are not known."""

    vessel_id: str
    name: str
    vessel_class: str
    base: str
    water: str
    tank_l: float | None
    engines: tuple[Engine, ...]

    @property
    def words(self) -> str:
        """Number and name."""
        return f"{self.vessel_id} {self.name}".strip()

    @property
    def facts(self) -> Facts:
        """Return the head of the boat's sheet."""
        pairs = [("Boat", self.words), ("Class", self.vessel_class or "–"), ("Base", self.base or "–")]
        pairs.append(("Engines", str(len(self.engines)) if len(self.engines) != 1 else self.engines[0].words))
        told = [(one.words if len(self.engines) > 1 else "Hours run", figure(one.hours, 0, "h")) for one in self.engines]
        return Facts((*pairs, *told))


def boats_of(vessels: pl.DataFrame, engines: pl.DataFrame, places: pl.DataFrame, hours: pl.DataFrame) -> list[Boat]:
    """Put every boat together with the engines on it now.

    Parameters
    ----------
    vessels, engines
        Accepted records.
    places
        Rows of `derived.engine_places`; an engine is where its open stay says.
    hours
        engine_id, hours: on the last day known.
    """
    known = places.filter(pl.col("to_on").is_null()).join(engines.select("engine_id", "engine_model", "fuel"), on="engine_id", how="left")
    here: dict[str, list[Engine]] = {}
    for row in known.join(hours, on="engine_id", how="left").sort("vessel_id", "place", "engine_id").iter_rows(named=True):
        engine = Engine(row["engine_id"], row["place"] or "", row["engine_model"] or "", row["fuel"] or "", row["hours"])
        here.setdefault(row["vessel_id"], []).append(engine)
    return [_boat(row, here.get(row["vessel_id"], [])) for row in vessels.sort("vessel_id").iter_rows(named=True)]


def _boat(row: dict, engines: list[Engine]) -> Boat:
    number, name, vessel_class, base, water = (row[column] or "" for column in ("vessel_id", "name", "vessel_class", "base", "water"))
    return Boat(number, name, vessel_class, base, water, row["tank_l"], tuple(engines))
