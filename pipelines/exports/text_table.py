"""A table to read in a terminal: chosen columns under plain headings, with units, aligned.

In: an `Answer` and the verb it answers. Out: text. Figures are shortened for reading here only; JSON and CSV hold them whole.
Elsewhere: which columns are shown (`listings`, `listed_beside`).
"""

import math
from collections.abc import Sequence
from datetime import date, datetime
from typing import Any

from pipelines.exports.answer import Answer
from pipelines.exports.listed_beside import SECTIONS
from pipelines.exports.listings import LISTINGS
from pipelines.exports.shown import WIDEST, Shown, one
from pipelines.exports.withholding import withheld

NOTHING = "–"
NO_ROWS = "Nothing in the records answers this; look at `towless records`, or widen the filters."
NO_ROWS_OF = {
    "alarms": "Nothing wants a look: nothing runs above its forecast, no batch or fitter fails early, no hours stand still.",
    "find": "Nothing goes by these words. Each must begin a word of an id, a name, a word for a part, or a note.",
}
SECTION_ROWS = 20


def as_table(answer: Answer, verb: str) -> str:
    """Return the answer of `verb` as an aligned table, its head on the first line; a column that says nothing in any row is not shown."""
    if answer.rows.is_empty():
        return f"{head_line(answer)}\n{NO_ROWS_OF.get(verb, NO_ROWS)}"
    wanted = LISTINGS.get(verb) or tuple(one(name, name, 2) for name in answer.rows.columns)
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
