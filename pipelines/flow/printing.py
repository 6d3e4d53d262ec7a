"""A paper from a published copy: what it needs is asked for, put on sheets and set as a PDF.

In: a copy, filters, settings, which paper. Out: a file.
Elsewhere: what stands on each paper (`exports.papers`), the figures (`answering`, `estimating`).
"""

from collections.abc import Callable
from datetime import date, timedelta
from difflib import get_close_matches
from pathlib import Path

import polars as pl

from pipelines.advice.picking import pick_list
from pipelines.errors import UnknownWord, WrongInput
from pipelines.exports.frames import as_file
from pipelines.exports.papers.blocks import Sheet
from pipelines.exports.papers.boat_cards import Happened, boat_cards, fuel_of
from pipelines.exports.papers.briefing import briefing_sheet
from pipelines.exports.papers.kit import kit_sheets
from pipelines.exports.papers.plan import plan_sheet
from pipelines.exports.papers.season import Report, Year, season_report
from pipelines.exports.papers.shelf import order_sheets, shelf_sheets
from pipelines.exports.papers.typesetting import Imprint, write_paper
from pipelines.exports.papers.work import inspection_sheets, job_cards, pick_list_sheets, visit_cards
from pipelines.exports.shelf_tables import order_table, shelf_table
from pipelines.exports.whole_file import write_whole
from pipelines.fits.watched_hours import boat_months, fell_within, with_known_hours
from pipelines.flow import answering, estimating
from pipelines.flow.desk import Desk, KitLimits
from pipelines.flow.sources import Source, known_source
from pipelines.ledger.reading import Published
from pipelines.terms.papers import PAPERS, TABLE_FORMS
from pipelines.terms.scope import Scope
from pipelines.terms.settings import Settings

YEARS_OF_CALLS = 3
FAR_AHEAD_DAYS = 3_650


def print_paper(
    copy: Published,
    scope: Scope,
    settings: Settings,
    paper: str,
    file: Path,
    size: str = "a4",
    days: int = 30,
    boat: str = "",
    budget: float | None = None,
    kit_limits: KitLimits = (None, None),
) -> int:
    """Write one paper as a PDF, or as a table if the file's name asks for one, and return how many sheets or rows it has.

    Parameters
    ----------
    paper
        A key of `PAPERS`.
    file
        Where to.
    size
        A key of `terms.papers.SIZES`.
    days
        How far ahead due work is looked for.
    boat
        Only this boat; empty: all of the scope.
    budget
        Money for the order list; `None`: what the service level asks for.
    kit_limits
        Of the kit list.

    Raises
    ------
    UnknownWord
        If no boat of that number is on record.
    WrongInput
        If the file cannot be written, or its ending is none that the paper can have.
    """
    form = form_of(paper, file)
    with known_source(copy, scope, settings) as source:
        _refuse_unknown_boat(source, boat)
        desk = Desk(copy, source, scope, settings, days, boat, budget, kit_limits)
        if form != "pdf":
            rows = TABLES[paper](desk)
            write_whole(as_file(rows, form, PAPERS[paper].title), file)
            return rows.height
        sheets = MAKERS[paper](desk)
        write_paper(sheets, Imprint(PAPERS[paper].title, desk.as_of, copy.version, size), file)
    return len(sheets)


def form_of(paper: str, file: Path) -> str:
    """Return in which form a file of that name is written: pdf, or a form of table where the paper has one.

    Raises
    ------
    WrongInput
        If the ending is none of them.
    """
    form = file.suffix.lower().removeprefix(".")
    known = ("pdf", *(TABLE_FORMS if PAPERS[paper].as_table else ()))
    if form in known:
        return form
    tables = ", ".join(name for name, one in PAPERS.items() if one.as_table)
    told = "" if PAPERS[paper].as_table else f" Tables (.{', .'.join(TABLE_FORMS)}) can be had of {tables}."
    raise WrongInput(f"{file}: {paper} is written as .{', .'.join(known)}. Give the file that ending.{told}")


def _refuse_unknown_boat(source: Source, boat: str) -> None:
    known = source.frame("select vessel_id from accepted.vessels order by vessel_id")["vessel_id"].to_list()
    if boat and boat not in known:
        near = get_close_matches(boat, known, n=1, cutoff=0.4)
        told = f"The nearest is {near[0]!r}." if near else f"Known: {', '.join(known[:8]) or 'none'}."
        raise UnknownWord(f"--boat {boat!r}: no boat of that number in the records. {told}")


def _job_cards(desk: Desk) -> list[Sheet]:
    return job_cards(desk.boats(), desk.due(), desk.picks(), desk.labels, desk.days)


def _visit_cards(desk: Desk) -> list[Sheet]:
    jobs = desk.visit_jobs()
    return visit_cards(desk.boats(), jobs, desk.parts_of(jobs), desk.labels, desk.days)


def _inspection_sheets(desk: Desk) -> list[Sheet]:
    sorts = desk.source.frame("select component, wear_visible, hidden, safety from accepted.catalogue")
    fitted = desk.rows("derived.fitted_now").join(sorts, on="component", how="left")
    return inspection_sheets(desk.boats(), desk.due(), fitted, desk.labels)


def _pick_list(desk: Desk) -> list[Sheet]:
    return pick_list_sheets(pick_list(desk.picks()), desk.labels, desk.days)


def _boat_cards(desk: Desk) -> list[Sheet]:
    boats = desk.boats()
    trips = desk.source.frame("select vessel_id, engine_h, fuel_l, distance_nm from accepted.trips")
    fuels = {boat.vessel_id: fuel_of(boat, trips, desk.settings.level) for boat in boats}
    first, _ = _twelve_months(desk.as_of)
    calls = desk.rows("derived.calls").filter(pl.col("called_on") >= first)
    happened = Happened(desk.rows("derived.fitted_now"), desk.due(FAR_AHEAD_DAYS), calls)
    return boat_cards(boats, happened, fuels, desk.labels)


def _briefing(desk: Desk) -> list[Sheet]:
    since = desk.scope.since or desk.as_of - timedelta(days=round(365.25 * YEARS_OF_CALLS))
    calls = desk.rows("derived.calls").filter(pl.col("called_on") >= since)
    if desk.scope.until:
        calls = calls.filter(pl.col("called_on") <= desk.scope.until)
    where = " · ".join(word for word in (desk.boat, desk.scope.vessel_class, desk.scope.base) if word)
    return [briefing_sheet(calls, f"{where + ', ' if where else ''}calls since {since}")]


def _season_report(desk: Desk) -> list[Sheet]:
    calls, months = desk.rows("derived.calls"), desk.rows("derived.engine_months")
    first, last = _twelve_months(desk.as_of)
    before = _twelve_months(first - timedelta(days=1))
    due = desk.due(0).filter(pl.col("overdue").fill_null(value=False))
    report = Report(
        _year(calls, months, first, last),
        _year(calls, months, *before),
        len(desk.boats()),
        _work_done(desk, first, last),
        due.group_by("task").len("tasks").sort("task"),
        _past_limit(desk, due),
        {name: int(total) for name, total in _account(desk).items()},
        desk.settings.level,
        estimating.matter_of(desk.source, desk.scope).currency,
    )
    return [season_report(report, desk.scope.base)]


def _plan(desk: Desk) -> list[Sheet]:
    answer = answering.intervals(desk.copy, desk.scope, desk.settings)
    return [plan_sheet(answer.rows, desk.labels, answer.extra["currency"])]


def _order_list(desk: Desk) -> list[Sheet]:
    rows, currency = desk.stock()
    return order_sheets(rows, desk.labels, currency)


def _shelf_list(desk: Desk) -> list[Sheet]:
    return shelf_sheets(desk.stock()[0], desk.labels)


def _kit_list(desk: Desk) -> list[Sheet]:
    answer = desk.kits()
    return kit_sheets(answer.extra["kits"], answer.extra["currency"])


def _order_table(desk: Desk) -> pl.DataFrame:
    rows, currency = desk.stock()
    return order_table(rows, desk.labels, currency)


TABLES: dict[str, Callable[[Desk], pl.DataFrame]] = {
    "order-list": _order_table,
    "shelf-list": lambda desk: shelf_table(desk.stock()[0], desk.labels),
    "kit-list": lambda desk: desk.kits().rows,
}


MAKERS: dict[str, Callable[[Desk], list[Sheet]]] = {
    "job-cards": _job_cards,
    "visit-cards": _visit_cards,
    "inspection-sheets": _inspection_sheets,
    "pick-list": _pick_list,
    "boat-cards": _boat_cards,
    "briefing": _briefing,
    "season-report": _season_report,
    "plan": _plan,
    "order-list": _order_list,
    "shelf-list": _shelf_list,
    "kit-list": _kit_list,
}


def _twelve_months(last: date) -> tuple[date, date]:
    """Return the first day of the twelve calendar months that a day ends, and that day."""
    return date(last.year - (last.month < 12), last.month % 12 + 1, 1), last


def _year(calls: pl.DataFrame, months: pl.DataFrame, first: date, last: date) -> Year:
    own = calls.filter(pl.col("called_on").is_between(first, last))
    watched = months.filter(pl.col("month").is_between(first, last))
    known = with_known_hours(watched)
    days = boat_months(watched)["days"].sum()
    return Year(first, last, own, int(fell_within(own, known).sum()), float(known["engine_h"].sum()), float(days))


def _work_done(desk: Desk, first: date, last: date) -> pl.DataFrame:
    ours = pl.DataFrame({"vessel_id": [boat.vessel_id for boat in desk.boats()]}, schema={"vessel_id": pl.String})
    lines = desk.source.frame("select vessel_id, engine_id, done_on, action, reason from accepted.service_tickets")
    places = desk.source.frame("select engine_id, vessel_id as on_boat from derived.engine_places where to_on is null")
    placed = lines.join(places, on="engine_id", how="left").with_columns(pl.coalesce("vessel_id", "on_boat").alias("vessel_id"))
    year = placed.filter(pl.col("done_on").is_between(first, last)).join(ours, on="vessel_id", how="semi")
    return (
        year.group_by("action", "reason").len("tasks").sort(["tasks", "action", "reason"], descending=[True, False, False], nulls_last=True)
    )


def _past_limit(desk: Desk, overdue: pl.DataFrame) -> int:
    """How many overdue positions have a limit of their task that must be kept."""
    matter = estimating.matter_of(desk.source, desk.scope)
    by_task = {"renew": matter.fleet.renewals, "inspect": matter.fleet.inspections, "test": matter.fleet.tests}
    place = ["engine_id", "vessel_id", "component", "position"]
    kept = [frame.filter("limit_is_ceiling").select(*place, pl.lit(task).alias("task")) for task, frame in by_task.items()]
    return overdue.join(pl.concat(kept), on=[*place, "task"], how="semi", nulls_equal=True).height


def _account(desk: Desk) -> dict[str, int]:
    totals = desk.copy.frame("select * from about.reconciliation").select("rows_in", "accepted", "repeated", "superseded", "left_out").sum()
    return {name: int(value or 0) for name, value in totals.row(0, named=True).items()}
