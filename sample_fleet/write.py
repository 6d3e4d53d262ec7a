"""Records to files: CSV as any program writes it, and a workbook with one sheet a year.

In: text frames. Out: files whose bytes depend on the frames alone. Columns that begin with a dot are left out.
Elsewhere: which rows go to which file (`bundles`).
"""

import json
from datetime import datetime
from pathlib import Path

import polars as pl
import xlsxwriter
from xlsxwriter.format import Format
from xlsxwriter.worksheet import Worksheet

MADE_AT = datetime(2025, 12, 1, 9, 0, 0)


def told(frame: pl.DataFrame) -> pl.DataFrame:
    """Return the frame without the columns that begin with a dot."""
    return frame.select([name for name in frame.columns if not name.startswith(".")])


def write_csv(frame: pl.DataFrame, path: Path, *, separator: str = ",", mark: bool = False) -> None:
    """Write a CSV file; `mark` puts a byte-order mark before it."""
    text = told(frame).with_columns(pl.all().cast(pl.String).replace("", None)).write_csv(separator=separator, quote_style="necessary")
    path.write_bytes((b"\xef\xbb\xbf" if mark else b"") + text.encode("utf-8"))


def write_json_lines(frame: pl.DataFrame, path: Path, numbers: tuple[str, ...]) -> None:
    """Write one JSON object a row; columns named in `numbers` are numbers, empty cells are left out."""
    lines = []
    for row in told(frame).iter_rows(named=True):
        filled = {name: float(text) if name in numbers else text for name, text in row.items() if text}
        lines.append(json.dumps(filled, ensure_ascii=False) + "\n")
    path.write_bytes("".join(lines).encode("utf-8"))


def write_workbook(sheets: dict[str, pl.DataFrame], path: Path, numbers: tuple[str, ...], dates: tuple[str, ...]) -> None:
    """Write one sheet a frame; columns named in `numbers` and `dates` become numbers and days where their text is one."""
    with xlsxwriter.Workbook(str(path), {"strings_to_urls": False, "strings_to_formulas": False}) as book:
        book.set_properties({"created": MADE_AT})
        day, bold = book.add_format({"num_format": "yyyy-mm-dd"}), book.add_format({"bold": True})
        for name, frame in sheets.items():
            sheet = book.add_worksheet(name)
            shown = told(frame)
            sheet.write_row(0, 0, shown.columns, bold)
            for column, (header, values) in enumerate(zip(shown.columns, shown.iter_columns(), strict=True)):
                kind = "number" if _plain(header) in numbers else "date" if _plain(header) in dates else "text"
                for row, text in enumerate(values.to_list(), start=1):
                    _write_cell(sheet, row, column, text, kind, day)


def _plain(header: str) -> str:
    return header.strip().lower().replace(" ", "_")


def _write_cell(sheet: Worksheet, row: int, column: int, text: str, kind: str, day: Format) -> None:
    if not text:
        return
    if kind == "number" and text.lstrip("-").replace(".", "", 1).isdigit():
        sheet.write_number(row, column, float(text))
    elif kind == "date" and len(text) == 10 and text[:4].isdigit() and _is_day(text):
        sheet.write_datetime(row, column, datetime.fromisoformat(text), day)
    else:
        sheet.write_string(row, column, text)


def _is_day(text: str) -> bool:
    try:
        datetime.fromisoformat(text)
    except ValueError:
        return False
    return True
