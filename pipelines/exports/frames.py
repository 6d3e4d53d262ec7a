"""A table as a file: CSV, XLSX or Parquet, with every figure to its last digit.

In: frames. Out: bytes. Craft identification numbers are withheld in each; words that a spreadsheet would run as a formula are quoted in
CSV and are plain words in XLSX, where a cell says what it is.
Elsewhere: which columns there are (`terms.package_tables`), many tables with their dictionary (`package`).
"""

import io
import json
import math
from collections.abc import Mapping
from datetime import date, datetime, time
from typing import Any

import polars as pl
import xlsxwriter
from xlsxwriter.worksheet import Worksheet

from pipelines.exports.answer import as_csv, plain
from pipelines.exports.withholding import without_craft_numbers
from pipelines.terms.spreadsheets import QUOTE, QUOTED, RUNS

FORMS = ("csv", "xlsx", "parquet")
MEDIA = {
    "csv": "text/csv",
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    "parquet": "application/vnd.apache.parquet",
}
"""{form of a file: its media type}."""

LONGEST_SHEET = 1_048_575
"""Rows of a sheet below its heading."""
LONGEST_CELL = 32_767
"""Letters a cell of a sheet can hold."""
CUT = " … (cut here: a sheet holds no more; the CSV and Parquet tables have all of it)"
_BOOK = {"strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False, "in_memory": True}
_GREATEST_NAME = 31
_WIDEST_COLUMN = 42


class Exact(float):
    """A number that is written with all its digits: the writer of sheets would keep sixteen, and some need seventeen."""

    def __format__(self, form: str) -> str:
        """Return the shortest words that read back as this very number."""
        return repr(float(self))


def as_file(frame: pl.DataFrame, form: str, name: str = "figures") -> bytes:
    """Return one table as the bytes of a file.

    Parameters
    ----------
    frame
        Any columns; groups and lists are told as JSON in CSV and XLSX, and stay what they are in Parquet.
    form
        One of `FORMS`.
    name
        Of the sheet.
    """
    if form == "csv":
        return as_csv(frame).encode()
    if form == "xlsx":
        return as_workbook({name: frame})
    file = io.BytesIO()
    without_craft_numbers(frame).write_parquet(file)
    return file.getvalue()


def as_workbook(frames: Mapping[str, pl.DataFrame]) -> bytes:
    """Return a workbook with a sheet for each table, or several where one does not hold all its rows."""
    file = io.BytesIO()
    with xlsxwriter.Workbook(file, _BOOK) as book:
        looks = {
            "quoted": book.add_format({"quote_prefix": True}),
            "heading": book.add_format({"bold": True, "bottom": 1, "text_wrap": True, "valign": "top"}),
            "day": book.add_format({"num_format": "yyyy-mm-dd"}),
            "moment": book.add_format({"num_format": "yyyy-mm-dd hh:mm:ss"}),
        }
        for name, frame in frames.items():
            for sheet, rows in _sheets(name, without_craft_numbers(frame)):
                _fill(book.add_worksheet(sheet), rows, looks)
    return file.getvalue()


def _sheets(name: str, frame: pl.DataFrame) -> list[tuple[str, pl.DataFrame]]:
    starts = range(0, max(frame.height, 1), LONGEST_SHEET)
    named = [f" {place}" if place > 1 else "" for place in range(1, len(starts) + 1)]
    short = "".join("-" if letter in "[]:*?/\\'" else letter for letter in name)[: _GREATEST_NAME - 4]
    return [(short + end, frame.slice(start, LONGEST_SHEET)) for start, end in zip(starts, named, strict=True)]


def _fill(sheet: Worksheet, frame: pl.DataFrame, looks: Mapping[str, Any]) -> None:
    sheet.freeze_panes(1, 0)
    for place, name in enumerate(frame.columns):
        sheet.write_string(0, place, name, looks["heading"])
        sheet.set_column(place, place, min(_WIDEST_COLUMN, max(11, len(name) + 2)))
        for line, cell in enumerate(frame[name].to_list(), start=1):
            _write(sheet, line, place, cell, looks)


def _write(sheet: Worksheet, line: int, place: int, cell: Any, looks: Mapping[str, Any]) -> None:
    if cell is None or (isinstance(cell, float) and not math.isfinite(cell)):
        return
    if isinstance(cell, bool):
        sheet.write_boolean(line, place, cell)
    elif isinstance(cell, int | float):
        sheet.write_number(line, place, Exact(cell))
    elif isinstance(cell, datetime):
        sheet.write_datetime(line, place, cell, looks["moment"])
    elif isinstance(cell, date):
        sheet.write_datetime(line, place, datetime.combine(cell, time()), looks["day"])
    else:
        word = _fitting(cell if isinstance(cell, str) else json.dumps(plain(cell), ensure_ascii=False))
        told = QUOTE + word if QUOTED.match(word) else word
        sheet.write_string(line, place, told, looks["quoted"] if RUNS.match(word) else None)


def _fitting(word: str) -> str:
    return word if len(word) <= LONGEST_CELL else word[: LONGEST_CELL - len(CUT)] + CUT
