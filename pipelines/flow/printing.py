"""A paper from a published copy: what it needs is asked for, put on sheets and set as a PDF.

In: a copy, filters, settings, which paper. Out: a file.
Elsewhere: what stands on each paper (`exports.papers`), the figures (`answering`, `estimating`).
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta
from difflib import get_close_matches
from pathlib import Path

import polars as pl

from pipelines.advice.picking import pick_list, picked
from pipelines.errors import UnknownWord
from pipelines.exports.papers.blocks import Sheet
from pipelines.exports.papers.boat_cards import Happened, boat_cards, fuel_of
from pipelines.exports.papers.boats import Boat, boats_of
from pipelines.exports.papers.briefing import briefing_sheet
from pipelines.exports.papers.plan import plan_sheet
from pipelines.exports.papers.season import Report, Year, season_report
from pipelines.exports.papers.shelf import order_sheets, shelf_sheets
from pipelines.exports.papers.typesetting import Imprint, write_paper
from pipelines.exports.papers.work import inspection_sheets, job_cards, pick_list_sheets
from pipelines.fits.watched_hours import boat_months, fell_within, with_known_hours
from pipelines.flow import answering, estimating
from pipelines.flow.scoping import of_scope
from pipelines.flow.sources import Source, known_day, known_source
from pipelines.ledger.reading import Published
from pipelines.terms.papers import PAPERS
from pipelines.terms.scope import Scope
from pipelines.terms.settings import Settings

ON_BOATS = ("base", "vessel_class")
YEARS_OF_CALLS = 3
FAR_AHEAD_DAYS = 3_650


@dataclass(frozen=True, eq=False)
class Desk:
    """What every paper is made from: the copy and the question, asked as each paper needs.

    Attributes
    ----------
    days
        How far ahead due work is looked for.
    boat
        Only this boat; empty: all of the scope.
    """

    copy: Published
    source: Source
    scope: Scope
    settings: Settings
    days: int
    boat: str

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
        """Rows of the answer `due`."""
        rows = answering.due(self.copy, self.scope, self.settings, within_days=self.days if days is None else days).rows
        return rows.filter(pl.col("vessel_id") == self.boat) if self.boat else rows

    def picks(self) -> pl.DataFrame:
        """Parts that the due renewals take."""
        return picked(self.due(), self.source.frame("select * from derived.positions"), self.source.frame("select * from accepted.parts"))

    def stock(self) -> tuple[pl.DataFrame, str]:
        """Rows of the answer `stock` with supplier, pack and unit cost, and the currency."""
        answer = answering.stock(self.copy, self.scope, self.settings)
        parts = self.source.frame("select part_id, base, component, supplier, pack_size, unit_cost from accepted.parts")
        beside = parts.unique(["part_id", "base", "component"], keep="last", maintain_order=True)
        rows = answer.rows.join(beside, on=["part_id", "base", "component"], how="left", nulls_equal=True, maintain_order="left")
        return rows, answer.extra["currency"]


def print_paper(
    copy: Published, scope: Scope, settings: Settings, paper: str, file: Path, size: str = "a4", days: int = 30, boat: str = ""
) -> int:
    """Write one paper as a PDF and return how many sheets it has.

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

    Raises
    ------
    UnknownWord
        If no boat of that number is on record.
    WrongInput
        If the file cannot be written.
    """
    with known_source(copy, scope, settings) as source:
        _refuse_unknown_boat(source, boat)
        desk = Desk(copy, source, scope, settings, days, boat)
        sheets = MAKERS[paper](desk)
        write_paper(sheets, Imprint(PAPERS[paper].title, desk.as_of, copy.version, size), file)
    return len(sheets)


def _refuse_unknown_boat(source: Source, boat: str) -> None:
    known = source.frame("select vessel_id from accepted.vessels order by vessel_id")["vessel_id"].to_list()
    if boat and boat not in known:
        near = get_close_matches(boat, known, n=1, cutoff=0.4)
        told = f"The nearest is {near[0]!r}." if near else f"Known: {', '.join(known[:8]) or 'none'}."
        raise UnknownWord(f"--boat {boat!r}: no boat of that number in the records. {told}")


def _job_cards(desk: Desk) -> list[Sheet]:
    return job_cards(desk.boats(), desk.due(), desk.picks(), desk.labels, desk.days)


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


MAKERS: dict[str, Callable[[Desk], list[Sheet]]] = {
    "job-cards": _job_cards,
    "inspection-sheets": _inspection_sheets,
    "pick-list": _pick_list,
    "boat-cards": _boat_cards,
    "briefing": _briefing,
    "season-report": _season_report,
    "plan": _plan,
    "order-list": _order_list,
    "shelf-list": _shelf_list,
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
