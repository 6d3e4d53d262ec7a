"""Visits: the jobs of each boat that are best done together, and what sharing a visit saves.

In: a published copy, filters, settings, how far ahead. Out: `Answer` with one row a visit; also beside the rows of `due`.
Elsewhere: which jobs share a visit (`advice.visits`), what is due (`answering`), what is made when a copy is published (`building`).
"""

from collections.abc import Mapping
from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import polars as pl

from pipelines.advice.visit_plan import Manner
from pipelines.advice.visit_rows import together, visit_rows
from pipelines.advice.words import counted
from pipelines.errors import NoFigure
from pipelines.exports.answer import Answer
from pipelines.flow import answering, estimating
from pipelines.flow.account import ADVICE, head_of
from pipelines.flow.ahead import day_ahead, moved_ahead
from pipelines.flow.building import FURTHER_DAYS, VISITS_WITHIN_DAYS
from pipelines.flow.scoping import as_watched, of_scope
from pipelines.flow.sources import Source, known_day, known_source
from pipelines.ledger.reading import Published
from pipelines.terms.scope import Scope
from pipelines.terms.settings import Settings

NO_VISIT_COST = (
    "No visit_cost is recorded with the costs of the parts, so nothing is known to be saved by sharing a visit. "
    "Record what a visit costs, say it with --visit-cost MONEY, or put jobs together by --visit-window DAYS."
)
_NO_MONEY = 0.5
SHARED_JOURNEY = "Each boat has visits of its own: no record says that one journey serves several boats."


def visits(copy: Published, scope: Scope, settings: Settings, within_days: int = 30, manner: Manner | None = None) -> Answer:
    """Lay what is due within so many days, overdue and soon after, onto visits; those within the days are told.

    Parameters
    ----------
    manner
        Another cost of a visit, or a window in days; `None`: as recorded, by cost.

    Raises
    ------
    NoFigure
        Where no cost of a visit is recorded or given, and no window.
    """
    with known_source(copy, as_watched(scope), settings) as source:
        ahead = day_ahead(scope, known_day(source))
        scope = as_watched(scope)
        jobs = _jobs(copy, source, scope, settings, ahead, max(within_days, VISITS_WITHIN_DAYS), manner)
        day = ahead or known_day(source)
        jobs = jobs.filter(pl.col("visit_on") <= day + timedelta(days=within_days))
        costs = source.frame("select distinct currency from accepted.costs where currency is not null")
        extra = {
            "grouping": together(jobs),
            "own_days": jobs.select("vessel_id", "own_on").unique().sort("own_on", "vessel_id"),
            "currency": costs["currency"].item() if costs.height == 1 else "",
            "journeys": SHARED_JOURNEY,
        }
        return Answer(head_of(copy, source, jobs.height, scope, ADVICE) | {"as_of": day}, visit_rows(jobs), extra)


def jobs_of_visits(copy: Published, scope: Scope, settings: Settings, within_days: int = 30) -> pl.DataFrame:
    """Return the jobs of the visits within so many days, as `advice.visit_plan` lays them, by day and boat."""
    with known_source(copy, as_watched(scope), settings) as source:
        ahead = day_ahead(scope, known_day(source))
        last = (ahead or known_day(source)) + timedelta(days=within_days)
        jobs = _jobs(copy, source, as_watched(scope), settings, ahead, max(within_days, VISITS_WITHIN_DAYS), None)
        return jobs.filter(pl.col("visit_on") <= last)


def due_with_visits(copy: Published, scope: Scope, settings: Settings, within_days: int = 30, manner: Manner | None = None) -> Answer:
    """Give the answer `due` with the visits and what they come to beside its rows."""
    told = visits(copy, scope, settings, within_days, manner)
    due = answering.due(copy, scope, settings, within_days)
    return replace(due, extra=due.extra | told.extra | {"visits": told.rows})


def told_of_visits(extra: Mapping[str, Any], within_days: int) -> list[str]:
    """Say what the visits come to, beside each job on its own day and all jobs of a boat at one service."""
    held, money = extra["grouping"], extra["currency"] or "money"
    told = [
        f"{counted(held['visits'], 'visit', 'visits')} to {counted(held['boats'], 'boat', 'boats')} within "
        f"{counted(within_days, 'day', 'days')}, in place of {held['own_days']:,} with each job on its own day."
    ]
    if held["saving"] is not None:
        told.append(
            f"Visits and moved jobs cost {held['cost']:,.0f} {money}: {_less(held['saving'], money)} each job on its own day, "
            f"{_less(held['saving_over_one_service'], money)} all jobs of a boat at one service."
        )
    return [*told, extra["journeys"]]


def _less(saving: float, money: str) -> str:
    if abs(saving) < _NO_MONEY:
        return "as much as"
    return f"{abs(saving):,.0f} {money} {'less' if saving > 0 else 'more'} than"


def _jobs(
    copy: Published, source: Source, scope: Scope, settings: Settings, ahead: date | None, within_days: int, manner: Manner | None
) -> pl.DataFrame:
    """Return the jobs laid onto visits when the copy was published, where they answer this very question, else lay them.

    A boat's visits are its own, so a filter on bases or classes keeps some of them.
    """
    plain = manner is None and ahead is None and within_days == VISITS_WITHIN_DAYS
    stored = answering.stored_rows(copy, "visit_jobs", replace(scope, base="", vessel_class=""), settings, plain)
    jobs = _laid(source, scope, settings, ahead, within_days, manner) if stored is None else of_scope(stored, scope)
    if jobs.is_empty() and manner is None and not _priced(source):
        raise NoFigure(NO_VISIT_COST)
    return jobs


def _laid(source: Source, scope: Scope, settings: Settings, ahead: date | None, within_days: int, manner: Manner | None) -> pl.DataFrame:
    matter = moved_ahead(estimating.matter_of(source, scope), ahead)
    wide, believed = estimating.told_apart(matter, settings)
    tasks = estimating.tasks_of(believed, wide)
    return estimating.visit_jobs_of(believed, wide, tasks, within_days + FURTHER_DAYS, replace(manner or Manner(), slack=settings.put_back))


def _priced(source: Source) -> bool:
    return bool(source.frame("select count(*) as priced from accepted.costs where visit_cost > 0")["priced"].item())
