"""The desk that every paper is made at: a copy and a question, asked as each paper needs.

In: a copy, filters, settings. Out: boats, due work, picks, shelf and kits of the question.
Elsewhere: which paper takes what (`printing`), the figures (`answering`, `kits`).
"""

from dataclasses import dataclass
from datetime import date, timedelta
from typing import TypeAlias

import polars as pl

from pipelines.advice.picking import picked
from pipelines.advice.visit_plan import JOB
from pipelines.advice.visit_rows import visit_rows
from pipelines.exports.answer import Answer
from pipelines.exports.papers.boats import Boat, boats_of
from pipelines.flow import answering
from pipelines.flow.kits import kits
from pipelines.flow.scoping import of_scope
from pipelines.flow.sources import Source, known_day
from pipelines.flow.visits import jobs_of_visits
from pipelines.ledger.reading import Published
from pipelines.terms.scope import Scope
from pipelines.terms.settings import Settings

ON_BOATS = ("base", "vessel_class")
_SHELF_KEY = ["part_id", "base", "component"]
KitLimits: TypeAlias = tuple[float | None, float | None]
"""Money and kilograms that the kit of one boat may take; `None`: no limit."""


@dataclass(frozen=True, eq=False)
class Desk:
    """What every paper is made from: the copy and the question, asked as each paper needs.

    Attributes
    ----------
    days
        How far ahead due work is looked for.
    boat
        Only this boat; empty: all of the scope.
    budget, kit_limits
        Money for the order list and limits of the kit of one boat; `None`: none.
    """

    copy: Published
    source: Source
    scope: Scope
    settings: Settings
    days: int
    boat: str
    budget: float | None = None
    kit_limits: KitLimits = (None, None)

    @property
    def as_of(self) -> date:
        """Last day that is known."""
        return known_day(self.source)

    @property
    def labels(self) -> dict[str, str]:
        """{component: how it is written}."""
        return dict(self.source.frame("select component, label from accepted.catalogue").iter_rows())

    def rows(self, table: str) -> pl.DataFrame:
        """Rows of a table for the boats of the question."""
        frame = of_scope(self.source.frame(f"select * from {table}"), self.scope)
        return frame.filter(pl.col("vessel_id") == self.boat) if self.boat and "vessel_id" in frame.columns else frame

    def boats(self) -> list[Boat]:
        """Boats of the question that are in service."""
        vessels = of_scope(self.source.frame("select * from accepted.vessels"), self.scope, ON_BOATS)
        here = vessels.filter(pl.col("withdrawn_on").is_null() | (pl.col("withdrawn_on") > self.as_of))
        chosen = here.filter(pl.col("vessel_id") == self.boat) if self.boat else here
        hours = self.source.frame("select engine_id, on_date, hours from derived.hours_at").filter(pl.col("on_date") == self.as_of)
        places = self.source.frame("select * from derived.engine_places")
        return boats_of(chosen, self.source.frame("select * from accepted.engines"), places, hours.select("engine_id", "hours"))

    def due(self, days: int | None = None) -> pl.DataFrame:
        """Rows of the answer `due`, without what was put off until after those days: nobody is sent to do it."""
        ahead = self.days if days is None else days
        rows = answering.due(self.copy, self.scope, self.settings, within_days=ahead).rows
        rows = rows.filter(~(pl.col("deferred_until") > self.as_of + timedelta(days=ahead)).fill_null(value=False))
        return rows.filter(pl.col("vessel_id") == self.boat) if self.boat else rows

    def visit_jobs(self) -> pl.DataFrame:
        """Return the jobs of the visits within those days, with the ages of the parts and why the visit is that day."""
        jobs = jobs_of_visits(self.copy, self.scope, self.settings, self.days)
        ages = answering.every_task(self.copy, self.scope, self.settings).select(*JOB, "age_h", "age_months", "fitted_on")
        why = visit_rows(jobs).select("visit_on", "vessel_id", "why")
        told = jobs.join(ages, on=list(JOB), how="left", nulls_equal=True, maintain_order="left").join(why, on=["visit_on", "vessel_id"])
        return told.filter(pl.col("vessel_id") == self.boat) if self.boat else told

    def picks(self) -> pl.DataFrame:
        """Parts that the due renewals take."""
        return self.parts_of(self.due())

    def parts_of(self, jobs: pl.DataFrame) -> pl.DataFrame:
        """Parts that the renewals among some jobs take."""
        return picked(jobs, self.source.frame("select * from derived.positions"), self.source.frame("select * from accepted.parts"))

    def stock(self) -> tuple[pl.DataFrame, str]:
        """Rows of the answer `stock` with supplier, what is on order, pack and unit cost, and the currency."""
        answer = answering.stock(self.copy, self.scope, self.settings, self.budget)
        beside = [*_SHELF_KEY, "engine_model", "supplier", "on_order", "pack_size", "unit_cost"]
        parts = self.source.frame("select * from accepted.parts").select(beside)
        rest = parts.unique(_SHELF_KEY, keep="last", maintain_order=True).drop(set(answer.rows.columns) - set(_SHELF_KEY), strict=False)
        rows = answer.rows.join(rest, on=_SHELF_KEY, how="left", nulls_equal=True, maintain_order="left")
        return rows, answer.extra["currency"]

    def kits(self) -> Answer:
        """Answer `kit` within the limits of one boat's kit."""
        return kits(self.copy, self.scope, self.settings, *self.kit_limits)
