"""A table to read in a terminal: chosen columns under plain headings, with units, aligned.

In: an `Answer` and the verb it answers. Out: text. Figures are shortened for reading here only; JSON and CSV hold them whole.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from pipelines.exports.answer import Answer
from pipelines.exports.withholding import withheld

WIDEST = 60
WHOLE = 100_000
"""Width of a column that is never cut: what somebody could be hurt by not reading."""
NOTHING = "–"
NO_ROWS = "Nothing in the records answers this; look at `towless records`, or widen the filters."

NO_ROWS_OF = {
    "alarms": "Nothing wants a look: nothing runs above its forecast, no batch or fitter fails early, no hours stand still.",
    "find": "Nothing goes by these words. Each must begin a word of an id, a name, a word for a part, or a note.",
}


@dataclass(frozen=True)
class Shown:
    """One column of a listing: heading, how many decimals, the columns it is made of (value, or low and high), and its greatest width."""

    heading: str
    names: tuple[str, ...]
    decimals: int = 0
    widest: int = WIDEST


def _one(name: str, heading: str, decimals: int = 0) -> Shown:
    return Shown(heading, (name,), decimals)


def _range(low: str, high: str, heading: str, decimals: int = 0) -> Shown:
    return Shown(heading, (low, high), decimals)


LISTINGS: dict[str, tuple[Shown, ...]] = {
    "rates": (
        _one("group", "group"),
        _one("events", "events"),
        _one("share", "share", 3),
        _one("exposure_h", "hours watched"),
        _one("rate", "per 1,000 h", 3),
        _range("low", "high", "limits", 3),
    ),
    "lives": (
        _one("component", "component"),
        _one("engine_id", "engine"),
        _one("vessel_id", "boat"),
        _one("position", "position"),
        _one("began_on", "began"),
        _one("ended_on", "ended"),
        _range("low_h", "high_h", "hours", 1),
        _range("low_months", "high_months", "months", 1),
        _one("ending", "ending"),
    ),
    "fits": (
        _one("component", "component"),
        _one("group", "group"),
        _one("lives", "lives"),
        _one("failures", "failed"),
        _one("interval_censored", "between"),
        _one("shape", "shape", 2),
        _range("shape_low", "shape_high", "limits", 2),
        _one("scale", "scale"),
        _range("scale_low", "scale_high", "limits"),
        _one("b10", "B10"),
        _one("wears_out_probability", "wears out", 2),
        _one("note", "note"),
    ),
    "intervals": (
        _one("component", "component"),
        _one("group", "group"),
        _one("verdict", "verdict"),
        _one("renew_h", "hours"),
        _one("renew_months", "months"),
        _one("test_months", "test, months"),
        _one("range_h", "range, h"),
        _one("current_h", "now, h"),
        _one("current_months", "now, months"),
        _one("saving_per_year", "saving a year"),
        _range("saving_low", "saving_high", "limits"),
        _one("failures", "failures"),
    ),
    "adopted": (
        _one("adopted_on", "adopted"),
        _one("component", "component"),
        _one("engine_model", "model"),
        _one("base", "base"),
        _one("every_h", "hours"),
        _one("every_months", "months"),
        _one("adopted_by", "by"),
        _one("reason", "why"),
        _one("state", "state"),
        _one("import_id", "import"),
        _one("then_verdict", "verdict then"),
        _one("then_failures", "failures then"),
        _one("then_saving_per_year", "saving a year then"),
    ),
    "queue": (
        _one("row_id", "row"),
        _one("dated", "dated"),
        _one("vessel_id", "boat"),
        _one("column", "column"),
        _one("code", "suggested"),
        _one("confidence", "confidence", 2),
        _one("evidence", "because of"),
        _one("notes", "notes"),
    ),
    "words": (
        _one("list", "list"),
        _one("code", "code"),
        _one("words", "other words for it"),
    ),
    "pairs": (
        _one("call_id", "call"),
        _one("ticket_id", "ticket"),
        _one("line_no", "line"),
        _one("vessel_id", "boat"),
        _one("called_on", "called"),
        _one("done_on", "done"),
        _one("symptom", "seen"),
        _one("call_component", "part by the call"),
        _one("component", "part by the ticket"),
        _one("work", "work"),
        _one("reason", "reason"),
        _one("score", "chance", 2),
        _one("doubt", "doubt"),
    ),
    "due": (
        _one("vessel_id", "boat"),
        _one("engine_id", "engine"),
        _one("component", "component"),
        _one("position", "position"),
        _one("task", "task"),
        _one("age_h", "age, h"),
        _one("age_months", "age, months", 1),
        _one("due_on", "due on"),
        _one("overdue", "overdue"),
        _one("deferred_until", "put off until"),
        _one("failure_probability", "chance of failing first", 2),
        _one("because", "why"),
        _one("caution", "caution"),
    ),
    "put-offs": (
        _one("put_off_on", "put off on"),
        _one("vessel_id", "boat"),
        _one("engine_id", "engine"),
        _one("component", "component"),
        _one("position", "position"),
        _one("task", "task"),
        _one("due_on", "was due on"),
        _one("until_on", "until"),
        _one("until_h", "or until so old, h"),
        _one("put_off_by", "by"),
        _one("because", "why"),
        _one("state", "state"),
        _one("import_id", "import"),
        _one("undone_by", "taken back by"),
    ),
    "likely": (
        _one("cause", "cause"),
        _one("component", "part"),
        _one("probability", "chance", 3),
        _range("low", "high", "limits", 3),
        _one("check_first", "check first"),
        _one("bring", "bring"),
    ),
    "visits": (
        _one("visit_on", "visit on"),
        _one("vessel_id", "boat"),
        _one("base", "base"),
        _one("jobs", "jobs"),
        _one("overdue", "overdue"),
        _one("why", "why"),
        _one("cost", "cost", 2),
        _one("saving", "saving", 2),
    ),
    "spare_boats": (
        _one("group", "base, class"),
        _one("month", "month"),
        _one("boats", "boats"),
        _one("stoppages", "stoppages", 1),
        _one("boats_down", "down at once", 2),
        _range("low", "high", "limits", 2),
        _one("spares_needed", "spare boats"),
        _one("chance_enough", "enough", 3),
        _one("boat_days_lost", "boat-days lost", 1),
        _one("boat_days_short", "not covered", 1),
        _one("one_more_covers", "one more covers", 1),
    ),
    "stock": (
        _one("part_id", "part"),
        _one("component", "component"),
        _one("base", "base"),
        _one("on_hand", "on hand"),
        _one("mean_demand", "expected use", 1),
        _range("demand_low", "demand_high", "90 % range"),
        _one("reorder_point", "reorder at"),
        _one("order_up_to", "up to"),
        _one("order_quantity", "order"),
        _one("probability_of_stock_out", "chance of running out", 3),
        _one("order_cost", "cost", 2),
        _one("order_by", "order by"),
        _one("runs_out_even_on", "out as likely as not by"),
        _one("hold", "hold"),
        _one("note", "note"),
    ),
    "kit": (
        _one("boat_type", "type of boat"),
        _one("boats", "boats"),
        _one("item", "item"),
        _one("aboard", "aboard"),
        _one("pieces", "pieces"),
        _one("price", "price", 2),
        _one("weight_kg", "kg", 2),
        _one("tows_stopped", "tows spared a season", 3),
        _range("low", "high", "limits", 3),
        _one("tools", "tools"),
        _one("note", "why not"),
    ),
    "backtest": (
        _one("season", "season"),
        _one("component", "component"),
        _one("base", "base"),
        _one("expected", "foretold", 1),
        _range("low", "high", "90 % range"),
        _one("actual", "came"),
    ),
    "look_over": (
        _one("file", "file"),
        _one("sheet", "sheet"),
        _one("kind", "read as"),
        _one("rows_in", "rows looked at"),
        _one("left_out", "would be left out"),
        _one("whole", "whole file"),
        Shown("would be refused, because", ("refusal",), widest=WHOLE),
    ),
    "coming": (
        _one("season", "season"),
        _one("sort", "what"),
        _one("component", "component"),
        _one("base", "base"),
        _one("expected", "foretold", 1),
        _range("low", "high", "90 % range"),
        _one("begins", "from"),
        _one("ends", "to"),
    ),
    "kept_forecasts": (
        _one("forecast", "forecast"),
        _one("season", "season"),
        _one("kept_by", "kept by"),
        _one("known_on", "known up to"),
        _one("ends", "to"),
        _one("state", "state"),
        _one("sort", "what"),
        _one("component", "component"),
        _one("base", "base"),
        _one("expected", "foretold", 1),
        _range("low", "high", "90 % range"),
        _one("so_far", "so far"),
        _one("actual", "came"),
    ),
    "alarms": (
        _one("alarm", "alarm"),
        _one("since", "since"),
        _one("seen", "seen"),
        _one("expected", "expected", 1),
        _one("chance", "chance", 4),
        _one("sentence", "what"),
        _one("look_at", "look at"),
    ),
    "find": (
        _one("found", "found"),
        _one("id", "id"),
        _one("label", "what"),
        _one("vessel_id", "boat"),
        _one("on", "day"),
        _one("met_by", "met by"),
    ),
    "history": (
        _one("row_id", "row"),
        _one("fate", "fate"),
        _one("reason", "what became of it"),
        _one("file", "file"),
        _one("sheet", "sheet"),
        _one("line", "line"),
        _one("import_id", "import"),
        _one("taken_by", "taken in by"),
        _one("taken_at", "when (UTC)"),
        _one("sha256", "hash of the file"),
        _one("raw", "as it came"),
    ),
}

SECTIONS: dict[str, dict[str, tuple[str, tuple[Shown, ...]]]] = {
    "stock": {
        "lists": (
            "Plain rules against the best buys: share of the season's renewals that find their part",
            (
                _one("list", "rule"),
                _one("spend", "costs", 2),
                _one("service_level", "finds", 3),
                _one("same_money_level", "best buys for that money", 3),
                _one("same_service_spend", "best buys for that service", 2),
            ),
        ),
        "sharing": (
            "One shelf for several bases instead of one at each",
            (
                _one("part_id", "part"),
                _one("component", "component"),
                _one("shelf_at", "shelf at"),
                _one("pieces_apart", "pieces apart"),
                _one("pieces_shared", "shared"),
                _one("advice", "advice"),
                _one("reason", "because"),
            ),
        ),
        "unserved": (
            "Positions that no part on the shelf is for",
            (_one("component", "component"), _one("base", "base"), _one("positions", "positions")),
        ),
    },
    "look_over": {
        "columns": (
            "Your columns, and what each is taken for",
            (
                _one("file", "file"),
                _one("sheet", "sheet"),
                _one("kind", "read as"),
                _one("yours", "your column"),
                _one("ours", "is"),
                _one("settled", "read with"),
                _one("example", "such as"),
            ),
        ),
        "left_out_rows": ("Rows that would be left out", (_one("file", "file"), _one("line", "line"), _one("reason", "because"))),
        "words": (
            "Words nobody knows yet (uncoded), and near misses",
            (_one("file", "file"), _one("list", "of"), _one("word", "word"), _one("code", "taken as"), _one("rows", "rows")),
        ),
    },
    "due": {
        "tied_up": (
            "Boats that should stay tied up until a person has looked (a licensed technician decides whether a boat may go out)",
            (
                _one("vessel_id", "boat"),
                _one("since", "since"),
                _one("jobs", "jobs"),
                Shown("why, the gravest first", ("reason",), widest=WHOLE),
            ),
        ),
        "week_totals": (
            "The yard's weeks (each begins on the Monday told)",
            (
                _one("week", "week"),
                _one("jobs", "jobs"),
                _one("labour_h", "hours", 1),
                _one("slipped", "slipped from an earlier week"),
                _one("past_ceiling", "past what must be kept"),
            ),
        ),
        "does_not_fit": (
            "What does not fit in its week",
            (
                _one("vessel_id", "boat"),
                _one("engine_id", "engine"),
                _one("component", "component"),
                _one("task", "task"),
                _one("labour_h", "hours", 1),
                _one("week", "week"),
                Shown("what happens", ("note",), widest=WHOLE),
            ),
        ),
    },
    "backtest": {
        "totals": (
            "Failures of a whole season",
            (
                _one("season", "season"),
                _one("until", "up to"),
                _one("expected", "foretold", 1),
                _range("low", "high", "90 % range"),
                _one("actual", "came"),
            ),
        ),
        "by_base": (
            "By base: share of ranges that held; log score of the forecast and of a plain count, nearer 0 is better",
            (
                _one("base", "base"),
                _one("expected", "foretold", 1),
                _one("actual", "came"),
                _one("covered", "held", 2),
                _one("log_score", "log score", 2),
                _one("naive_log_score", "plain count", 2),
            ),
        ),
        "advice_cost": (
            "Money a year at the advice of each season's start and at what was in force, by what is believed today",
            (_one("season", "season"), _one("advised_cost", "advice"), _one("done_cost", "in force"), _one("saving", "saving")),
        ),
        "adopted": (
            "Failures before and after an interval was adopted (a hint, no proof: after a bad spell things get better by themselves)",
            (
                _one("component", "component"),
                _one("base", "base"),
                _one("adopted_on", "adopted"),
                _one("before", "before"),
                _one("before_years", "part-years", 1),
                _one("after", "after"),
                _one("after_years", "part-years", 1),
                _one("ratio", "ratio", 2),
                _range("low", "high", "limits", 2),
            ),
        ),
    },
    "kit": {
        "of_types": (
            "Tows a boat and season, and how many of them the kit could spare",
            (
                _one("boat_type", "type of boat"),
                _one("boats", "boats"),
                _one("calls", "calls counted"),
                _one("tows", "tows", 2),
                _one("tows_stopped", "spared", 2),
                _one("share_stopped", "share", 2),
                _one("spend", "price", 2),
                _one("weight_kg", "known kg", 2),
            ),
        ),
        "uncovered": (
            "What no kit covers, and what covers it instead",
            (
                _one("boat_type", "type of boat"),
                _one("fault", "fault"),
                _one("tows", "tows", 3),
                _one("share", "share", 2),
                _one("why_not", "why not"),
                _one("covered_by", "instead"),
            ),
        ),
    },
    "records": {
        "imports": (
            "Imports",
            (
                _one("import_id", "import"),
                _one("taken_by", "taken in by"),
                _one("taken_at", "when (UTC)"),
                _one("undone_by", "undone by"),
                _one("undone_at", "undone (UTC)"),
                _one("rows_in", "rows in"),
                _one("accepted", "accepted"),
                _one("files", "files"),
                _one("sha256", "hashes of the files"),
            ),
        ),
        "uncoded": (
            "Words that nobody has given a code yet",
            (_one("list", "list"), _one("word", "word"), _one("rows", "rows")),
        ),
        "near_misses": (
            "Words taken for a near one, to be looked over",
            (_one("list", "list"), _one("word", "word"), _one("code", "taken for")),
        ),
        "left_out_of_lives": (
            "Accepted, and in no life",
            (_one("rows", "rows"), _one("reason", "reason")),
        ),
    },
}
"""{verb: {key beside the rows: (heading, columns)}}: what else is shown below the rows of a verb."""

SECTION_ROWS = 20


def as_table(answer: Answer, verb: str) -> str:
    """Return the answer of `verb` as an aligned table, its head on the first line; a column that says nothing in any row is not shown."""
    if answer.rows.is_empty():
        return f"{head_line(answer)}\n{NO_ROWS_OF.get(verb, NO_ROWS)}"
    wanted = LISTINGS.get(verb) or tuple(_one(name, name, 2) for name in answer.rows.columns)
    shown = [column for column in wanted if any(answer.rows[name].is_not_null().any() for name in column.names)]
    body = [[_cell(row, column) for column in shown] for row in answer.rows.to_dicts()]
    widest = [column.widest for column in shown]
    lines = aligned([[column.heading for column in shown], *body], widest)
    return withheld("\n".join([head_line(answer), *lines, *_sections(answer, verb)]))


def _sections(answer: Answer, verb: str) -> list[str]:
    """Lines of what stands beside the rows: heading, the first rows, and how many more there are."""
    lines: list[str] = []
    for name, (heading, columns) in SECTIONS.get(verb, {}).items():
        rows = answer.extra.get(name)
        if rows is None or rows.is_empty():
            continue
        first = [[_cell(row, column) for column in columns] for row in rows.head(SECTION_ROWS).to_dicts()]
        more = rows.height - len(first)
        widest = [column.widest for column in columns]
        lines += ["", heading, *aligned([[column.heading for column in columns], *first], widest)]
        lines += [f"(+{more:,} more; `--format json` lists them all)"] if more > 0 else []
    return lines


def aligned(lines: list[list[str]], widest: Sequence[int] = ()) -> list[str]:
    """Return rows of cells as lines of text with each column as wide as its widest cell, up to `widest`; figures stand to the right."""
    if not lines:
        return []
    most = widest or [WIDEST] * len(lines[0])
    widths = [min(most[place], max(len(line[place]) for line in lines)) for place in range(len(lines[0]))]
    return ["  ".join(_placed(cell, width) for cell, width in zip(line, widths, strict=True)).rstrip() for line in lines]


def _placed(cell: str, width: int) -> str:
    short = cell if len(cell) <= width else cell[: width - 1] + "…"
    figure = short[:1].isdigit() or (short[:1] in "-–<" and len(short) < 14)
    return short.rjust(width) if figure else short.ljust(width)


def head_line(answer: Answer) -> str:
    """Return what an answer rests on: the day, the version, records used and left out."""
    head = answer.head
    day = f"as of {head['as_of']}, " if head.get("as_of") else ""
    version = head.get("ledger_version")
    known = f"{day}ledger version {version}" if version is not None else "nothing was taken in"
    money = f"; money in {answer.extra['currency']}" if answer.extra.get("currency") else ""
    records = head.get("records")
    return f"{known}, from {records:,} {'record' if records == 1 else 'records'}, {head.get('left_out'):,} left out{money}"


def _cell(row: dict[str, Any], column: Shown) -> str:
    parts = [_word(row.get(name), column.decimals) for name in column.names]
    return parts[0] if len(parts) == 1 else _span(*parts)


def _span(low: str, high: str) -> str:
    if low == high:
        return low
    return f"{low} to {'…' if high == NOTHING else high}"


def _word(value: Any, decimals: int) -> str:
    if value is None or (isinstance(value, float) and not math.isfinite(value)):
        return NOTHING
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{value:,.{decimals}f}"
    if isinstance(value, int):
        return f"{value:,}"
    if isinstance(value, datetime):
        return value.isoformat(" ", "seconds")
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, dict):
        return ", ".join(str(item) for item in value.values())
    if isinstance(value, list):
        return _span(*(_word(item, decimals) for item in value)) if len(value) == 2 else str(len(value))
    return str(value)
