"""Twelve months on a page, for owner and insurer.

In: the year's calls and the year's before, hours, work done, what is overdue, the account of the records. Out: a sheet.
Elsewhere: the rates (`fits.rates`), the account (`ledger`). No craft identification number and no person stands on it.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

import polars as pl

from pipelines.exports.papers.blocks import Bars, Block, Column, Heading, Share, Sheet, Words, table
from pipelines.exports.papers.written import counted, day, figure, share, span
from pipelines.fits.rates import rate_ratio, rate_with_limits
from pipelines.terms.causes import UNCODED, UNKNOWN

CAUSES_SHOWN = 8


@dataclass(frozen=True, eq=False)
class Year:
    """Twelve months of the fleet.

    Attributes
    ----------
    first, last
        Days it runs from and to.
    calls
        Rows of `derived.calls` in it.
    rated
        How many of them fell in boats and months whose hours are known.
    engine_h, boat_days
        Watched in it, summed over the boats; hours where they are known.
    """

    first: date
    last: date
    calls: pl.DataFrame
    rated: int
    engine_h: float
    boat_days: float

    @property
    def words(self) -> str:
        """The days as words."""
        return f"{day(self.first)} to {day(self.last)}"


@dataclass(frozen=True, eq=False)
class Report:
    """What the report is made from.

    Attributes
    ----------
    year, before
        These twelve months and the twelve before.
    boats
        Boats in service at the end.
    work
        action, reason, tasks: what the tickets of the year say was done.
    overdue
        task, tasks: overdue at the end by the plan in force.
    past_limit
        Positions that stand past a limit that must be kept.
    account
        rows_in, accepted, repeated, superseded, left_out over the whole ledger.
    level
        Level of the limits.
    currency
        ISO 4217 code; empty: not said.
    """

    year: Year
    before: Year
    boats: int
    work: pl.DataFrame
    overdue: pl.DataFrame
    past_limit: int
    account: Mapping[str, int]
    level: float
    currency: str


def season_report(report: Report, about: str) -> Sheet:
    """Put the year on a page."""
    blocks: list[Block] = [
        Words(_opening(report)),
        table(_COLUMNS, [_year_row(year, report.level) for year in (report.year, report.before)]),
        Words(_compared(report), faint=True),
        Heading("What stranded us"),
        _causes(report.year.calls),
        Heading("What would have prevented it"),
        _remedies(report.year.calls),
        Heading("Work done and work waiting"),
        *_work(report),
        Words(_basis(report), faint=True),
    ]
    return Sheet("Season report", about or report.year.words, tuple(blocks))


_COLUMNS = (
    Column("twelve months", share=1.6),
    Column("rescue calls", "right"),
    Column("engine hours", "right"),
    Column("boat days", "right"),
    Column("per 1,000 h", "right"),
    Column("limits", "right"),
    Column("hours down", "right"),
    Column("cost of calls", "right"),
)


def _opening(report: Report) -> str:
    calls = counted(report.year.calls.height, "rescue call", "rescue calls")
    towed = report.year.calls.filter(pl.col("outcome") == "towed").height
    boats, tows = counted(report.boats, "boat", "boats"), counted(towed, "of them a tow", "of them tows")
    return f"{boats} in service at the end, {calls} in the year, {tows}."


def _year_row(year: Year, level: float) -> list[str]:
    rate = rate_with_limits(year.rated, year.engine_h, level) if year.engine_h > 0 else None
    down, cost = (figure(float(year.calls[name].sum())) for name in ("downtime_h", "cost"))
    told = [figure(rate.value, 2), span(rate.low, rate.high, 2)] if rate else ["hours unknown", ""]
    return [year.words, figure(year.calls.height), figure(year.engine_h), figure(year.boat_days), *told, down, cost]


def _compared(report: Report) -> str:
    year, before = report.year, report.before
    if min(year.engine_h, before.engine_h) <= 0 or not before.rated + year.rated:
        return "There is nothing to set it against: the year before has no calls or no hours on record."
    ratio = rate_ratio(year.rated, year.engine_h, before.rated, before.engine_h, report.level)
    chance = "so chance alone can explain the difference" if ratio.low <= 1 <= ratio.high else "more than chance alone explains"
    times = f"The rate is {figure(ratio.value, 2)} times that of the year before ({span(ratio.low, ratio.high, 2)}), {chance}."
    return f"{times} Limits are at a level of {share(report.level)}."


def _causes(calls: pl.DataFrame) -> Block:
    if calls.is_empty():
        return Words("No rescue call came in.")
    known = calls.filter(~pl.col("cause").is_in([UNKNOWN, UNCODED]))
    ranked = known.group_by("cause").len().sort(["len", "cause"], descending=[True, False])
    top, rest = ranked.head(CAUSES_SHOWN), ranked.slice(CAUSES_SHOWN)["len"].sum()
    bars = [_bar(name, number, calls.height) for name, number in top.iter_rows()]
    bars += [_bar("all other known causes", int(rest), calls.height)] if rest else []
    return Bars((*bars, _bar("cause not known", calls.height - known.height, calls.height, unknown=True)))


def _remedies(calls: pl.DataFrame) -> Block:
    if calls.is_empty():
        return Words("–")
    ranked = calls.group_by("remedy").len().sort([pl.col("remedy") == UNKNOWN, "len", "remedy"], descending=[False, True, False])
    return Bars(tuple(_bar(name, number, calls.height, unknown=name == UNKNOWN) for name, number in ranked.iter_rows()))


def _bar(name: str, number: int, of: int, unknown: bool = False) -> Share:
    return Share(name, number / of, f"{number:,} ({share(number / of)})", unknown)


def _work(report: Report) -> list[Block]:
    rows = [[row["action"], row["reason"] or "reason not given", figure(row["tasks"])] for row in report.work.iter_rows(named=True)]
    late = ", ".join(f"{row['tasks']:,} to {row['task']}" for row in report.overdue.iter_rows(named=True)) or "none"
    limit = f"{counted(report.past_limit, 'position stands', 'positions stand')} past a limit that must be kept."
    done = (
        table((Column("done", share=1), Column("reason", share=1), Column("ticket lines", "right")), rows)
        if rows
        else Words("No ticket is dated in the year.")
    )
    return [done, Words(f"Overdue at the end by the plan in force: {late}. {limit}")]


def _basis(report: Report) -> str:
    account = report.account
    return (
        f"From {account['rows_in']:,} rows of records = {account['accepted']:,} accepted + {account['repeated']:,} repeated + "
        f"{account['superseded']:,} superseded + {account['left_out']:,} left out. Rates are calls over engine hours watched, with exact "
        f"limits (Garwood 1936); a cause that is not known is never shared out among the known ones."
        + (f" Money in {report.currency}." if report.currency else "")
    )
