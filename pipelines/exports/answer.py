"""An answer: the rows a question gave, with what they rest on, written as JSON, CSV or a table to read.

In: `Answer`, made by `flow`. Out: text. No number is changed on the way out; what is missing stays missing.
Elsewhere: which columns a person is shown (`listings`).
"""

import io
import json
import math
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any

import polars as pl

from pipelines.exports.withholding import withheld, without_craft_numbers
from pipelines.terms.spreadsheets import NEGATIVE, QUOTE, RUNS


@dataclass(frozen=True)
class Answer:
    """Rows with their head.

    Attributes
    ----------
    head
        `as_of`, `ledger_version`, `records` (rows used) and `left_out`.
    rows
        One row a line of the answer; columns named as in the contract.
    extra
        Further keys beside `rows`, such as `exposure_h` or `budget_curve`.
    """

    head: dict[str, Any]
    rows: pl.DataFrame
    extra: dict[str, Any] = field(default_factory=dict)


def as_json(answer: Answer) -> str:
    """Return the answer as one JSON object; a missing or infinite figure is `null`."""
    whole = {**answer.head, **answer.extra, "rows": [_of_own_group(row) for row in answer.rows.to_dicts()]}
    return withheld(json.dumps(plain(whole), ensure_ascii=False, indent=1))


def own_group(group: dict[str, Any] | None) -> dict[str, Any] | None:
    """Return the columns that a row is grouped by: rows of one answer may be grouped by others, and a word is empty only where all are."""
    told = {column: word for column, word in (group or {}).items() if word is not None}
    return told or group


def _of_own_group(row: dict[str, Any]) -> dict[str, Any]:
    return row | {"group": own_group(row["group"])} if isinstance(row.get("group"), dict) else row


def plain(value: Any) -> Any:
    """Return `value` as JSON can hold it: ISO dates, lists, and `None` for figures that are not finite."""
    if isinstance(value, dict):
        return {key: plain(item) for key, item in value.items()}
    if isinstance(value, pl.DataFrame):
        return plain(value.to_dicts())
    if isinstance(value, list | tuple | pl.Series):
        return [plain(item) for item in value]
    if isinstance(value, date | datetime):
        return value.isoformat()
    if isinstance(value, float) and not math.isfinite(value):
        return None
    return value


def as_csv(frame: pl.DataFrame) -> str:
    """Return `frame` as CSV with a header; groups and lists are written as JSON, cells a spreadsheet would run are quoted harmless."""
    flat = frame.with_columns(_flattened(frame, name) for name in frame.columns)
    text = io.StringIO()
    without_craft_numbers(flat).write_csv(text)
    return text.getvalue()


def _flattened(frame: pl.DataFrame, name: str) -> pl.Series:
    column = frame[name]
    if column.dtype.is_nested():
        return pl.Series(
            name,
            [
                None if cell is None else json.dumps(plain(own_group(cell) if name == "group" else cell), ensure_ascii=False)
                for cell in column.to_list()
            ],
            pl.String,
        )
    return harmless(column) if column.dtype == pl.String else column


def harmless(column: pl.Series) -> pl.Series:
    """Return words with an apostrophe before any that a spreadsheet would run as a formula; see `terms.spreadsheets`."""
    runs = (column.str.contains(RUNS.pattern) & ~column.str.contains(NEGATIVE.pattern)).fill_null(value=False)
    return pl.select(pl.when(runs).then(pl.lit(QUOTE) + column).otherwise(column).alias(column.name)).to_series()
