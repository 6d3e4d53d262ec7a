"""The questions of the contract, each answered from a published copy.

In: a copy, filters, settings and what the question takes. Out: `Answer`, rows named as in the contract.
Elsewhere: estimates (`estimating`), what the copy holds (`building`), how an answer is written (`exports`).
"""

from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import polars as pl

from pipelines.advice.budget import curve_of
from pipelines.advice.due import HORIZONS
from pipelines.exports.answer import Answer
from pipelines.flow import estimating
from pipelines.flow.account import ADVICE, CALLS, LIVES, SHELF, head_of
from pipelines.flow.ahead import day_ahead, moved_ahead, told_of
from pipelines.flow.building import made_with
from pipelines.flow.due_list import horizons_for, told_within
from pipelines.flow.lasting import comparisons_of, details_of
from pipelines.flow.queries import query
from pipelines.flow.rating import compared, events_behind, patterns_answer, rate_answer
from pipelines.flow.scoping import as_watched
from pipelines.flow.sources import Source, known_day, known_source
from pipelines.ledger.reading import Published
from pipelines.terms.answers import names_of
from pipelines.terms.scope import Scope
from pipelines.terms.settings import Settings


def rates(
    copy: Published,
    scope: Scope,
    settings: Settings,
    of: str = "calls",
    by: str = "cause",
    compare: tuple[str, str] | None = None,
    with_patterns: bool = False,
) -> Answer:
    """Give rates of calls or failures by cause, base and more, two rows compared if asked, and with patterns what lies behind them."""
    with known_source(copy, scope, settings) as source:
        rows, exposure_h, records = rate_answer(source, scope, settings, of, by)
        extra: dict[str, Any] = {"exposure_h": exposure_h}
        extra |= {"ratio": compared(rows, *compare, settings.level)} if compare else {}
        extra |= patterns_answer(source, scope, settings, of) if with_patterns else {}
        return Answer(head_of(copy, source, records, scope, CALLS if of == "calls" else LIVES), rows.select(names_of("rates")), extra)


def counted(copy: Published, scope: Scope, settings: Settings, of: str = "calls", by: str = "cause") -> Answer:
    """List the events behind the rates of calls or failures, each with the row it is counted in."""
    with known_source(copy, scope, settings) as source:
        rows = events_behind(source, scope, of, by)
        return Answer(head_of(copy, source, rows.height, scope, CALLS if of == "calls" else LIVES), rows)


def lives(copy: Published, scope: Scope, settings: Settings) -> Answer:
    """List one row a life of the scope."""
    with known_source(copy, scope, settings) as source:
        rows = estimating.lives_of(source, scope)
        return Answer(head_of(copy, source, _evidence(rows), scope, LIVES), rows.select(names_of("lives")))


def fits(
    copy: Published, scope: Scope, settings: Settings, by: tuple[str, ...] = (), clock: str = "hours", with_details: bool = False
) -> Answer:
    """Say how long parts last, by component and group; with details what stands behind each row, and whether groups differ."""
    scope = as_watched(scope)
    with known_source(copy, scope, settings) as source:
        matter = estimating.matter_of(source, scope)
        rows = stored_rows(copy, "fits", scope, settings, (by, clock) == ((), "hours"))
        rows = estimating.fit_rows(matter, by, clock, settings) if rows is None else rows
        extra: dict[str, Any] = {"details": details_of(matter, by, clock, settings)} if with_details else {}
        extra |= {"comparisons": comparisons_of(matter, by, clock)} if with_details and by else {}
        return Answer(head_of(copy, source, _evidence(matter.lives), scope, LIVES), rows.select(names_of("fits")), extra)


def intervals(
    copy: Published, scope: Scope, settings: Settings, by: tuple[str, ...] = (), costs_file: Path | None = None, with_curves: bool = False
) -> Answer:
    """Say for every component and group what to do; with curves, what each interval would cost too."""
    scope = as_watched(scope)
    with known_source(copy, scope, settings) as source:
        matter = estimating.matter_of(source, scope, costs_file)
        rows = stored_rows(copy, "intervals", scope, settings, by == () and costs_file is None and not with_curves)
        extra: dict[str, Any] = {"currency": matter.currency}
        if rows is None:
            rows, curves = estimating.interval_rows_of(matter, by, settings, with_curves)
            extra |= {"cost_curve": curves} if with_curves else {}
        return Answer(head_of(copy, source, _evidence(matter.lives), scope, ADVICE), rows.select(names_of("intervals")), extra)


def due(copy: Published, scope: Scope, settings: Settings, within_days: int = 30, hours_a_week: float | None = None) -> Answer:
    """List what is overdue and what falls due within so many days; after the last record, ages go on by each engine's own use.

    Hours a week of the yard are the settings' unless given. Beside the rows: `tied_up`, `weeks`, `week_totals`, `not_known` and more, see
    `due_list.told_within`.
    """
    with known_source(copy, as_watched(scope), settings) as source:
        ahead = day_ahead(scope, known_day(source))
        scope = as_watched(scope)
        tasks = _tasks(copy, source, scope, settings, ahead, within_days)
        head = head_of(copy, source, _evidence(estimating.lives_of(source, scope)), scope, ADVICE)
        chosen = settings if hours_a_week is None else replace(settings, yard_hours_a_week=hours_a_week)
        rows, beside = told_within(tasks, ahead or known_day(source), within_days, chosen)
        return Answer(head | _day(ahead), rows.select(names_of("due")), beside | _note(ahead, source))


def every_task(copy: Published, scope: Scope, settings: Settings) -> pl.DataFrame:
    """Give every task of every position, due or not, as `estimating.tasks_of` makes them."""
    with known_source(copy, as_watched(scope), settings) as source:
        ahead = day_ahead(scope, known_day(source))
        return _tasks(copy, source, as_watched(scope), settings, ahead)


def _tasks(copy: Published, source: Source, scope: Scope, settings: Settings, ahead: date | None, within_days: int = 0) -> pl.DataFrame:
    """Return the tasks made when the copy was published, where they answer this very question, else make them."""
    horizons = horizons_for(within_days, settings)
    made = stored_rows(copy, "due", scope, settings, set(horizons) == set(HORIZONS))
    if made is not None:
        return made
    return estimating.due_tasks_of(moved_ahead(estimating.matter_of(source, scope), ahead), settings, horizons)


def stock(copy: Published, scope: Scope, settings: Settings, budget: float | None = None, horizon_days: int | None = None) -> Answer:
    """Say what will be used over the settings' or the given horizon, when to order and how much."""
    chosen = settings if horizon_days is None else replace(settings, horizon_days=horizon_days)
    with known_source(copy, as_watched(scope), chosen) as source:
        ahead = day_ahead(scope, known_day(source))
        scope = as_watched(scope)
        matter = moved_ahead(estimating.matter_of(source, scope), ahead)
        stocked = _stored_stock(copy, scope, chosen) or estimating.stocked_of(matter, chosen)
        stocked = stocked if budget is None else estimating.within_budget(stocked, budget)
        beside = {name: getattr(stocked, name) for name in estimating.BESIDE_STOCK}
        extra = {"budget_curve": curve_of(stocked.purchases), **beside, "currency": matter.currency}
        extra["assumptions"] = _assumed(matter, chosen)
        head = head_of(copy, source, _evidence(matter.lives), scope, SHELF)
        return Answer(head | _day(ahead), stocked.rows.select(names_of("stock")), extra | _note(ahead, source))


def _stored_stock(copy: Published, scope: Scope, settings: Settings) -> estimating.Stocked | None:
    """Return the answer `stock` made when the copy was published, where it answers this very question."""
    rows = stored_rows(copy, "stock", scope, settings, is_plain=True)
    if rows is None:
        return None
    return estimating.Stocked(rows, *(copy.frame(f"select * from derived.stock_{name}") for name in estimating.BESIDE_STOCK))


def _assumed(matter: estimating.Matter, settings: Settings) -> dict[str, Any]:
    """Say what money and doubt the answer `stock` reckons with; 0 is not known, as the settings have it."""
    names = ("service_level", "horizon_days", "carrying_rate", "waiting_cost_per_day", "expedited_days", "transfer_days")
    return {**{name: getattr(settings, name) for name in names}, "use_sd": matter.use_sd}


def records(copy: Published, scope: Scope, settings: Settings) -> Answer:  # noqa: ARG001
    """Tell what the ledger holds, and what waits for a person."""
    rows = copy.frame("select * from about.reconciliation order by kind")
    extra = {
        "imports": copy.frame(query("imports_told")),
        "uncoded": copy.frame("select * from about.uncoded order by rows desc, list, word"),
        "masked": copy.frame(query("masked_by_import")),
        "near_misses": copy.frame("select list, word, code from accepted.words where how = 'near miss' order by list, word"),
        "left_out_rows": copy.frame('select file, sheet, line, kind, "column", value, reason, raw from about.left_out order by row_id'),
        "left_out_of_lives": copy.frame(
            "select reason, count(*) as rows from derived.left_out_of_lives group by reason order by rows desc, reason"
        ),
    }
    known = copy.frame("select as_of from derived.parameters")
    head = {
        "as_of": known["as_of"].item() if known.height else None,
        "ledger_version": copy.version,
        "records": int(rows["accepted"].sum()),
        "left_out": int(rows["left_out"].sum()),
    }
    return Answer(head, rows, extra)


def stored_rows(copy: Published, table: str, scope: Scope, settings: Settings, is_plain: bool) -> pl.DataFrame | None:
    """Return the rows made when the copy was published, where they answer this very question; else `None`."""
    if not (is_plain and scope.is_whole):
        return None
    mark = copy.frame("select settings from derived.made_with")["settings"].item()
    return copy.frame(f"select * from derived.{table}") if mark == made_with(settings) else None


def _day(ahead: date | None) -> dict[str, Any]:
    return {} if ahead is None else {"as_of": ahead}


def _note(ahead: date | None, source: Source) -> dict[str, Any]:
    return {} if ahead is None else {"note": told_of(ahead, known_day(source))}


def _evidence(lives: pl.DataFrame) -> int:
    """How many record rows the lives rest on."""
    return lives["evidence"].explode().drop_nulls().n_unique() if lives.height else 0
