"""Records to files: CSV as any program writes it, and a workbook with one sheet a year.

In: text frames. Out: files whose bytes depend on the frames alone. Columns that begin with a dot are left out.
Elsewhere: which rows go to which file (`bundles`).
"""

import json
import zipfile
from datetime import datetime
from io import BytesIO
from pathlib import Path

import polars as pl
import xlsxwriter
from xlsxwriter.format import Format
from xlsxwriter.worksheet import Worksheet

MADE_AT = datetime(2025, 12, 1, 9, 0, 0)


def told(frame: pl.DataFrame) -> pl.DataFrame:
    """Return the frame without the columns that begin with a dot."""
    return frame.select([name for name in frame.columns if not name.startswith(".")])


def write_text(text: str, path: Path) -> None:
    """Write text in UTF-8 with plain line ends on every system."""
    path.write_bytes(text.encode("utf-8"))


def write_csv(frame: pl.DataFrame, path: Path, *, separator: str = ",", mark: bool = False) -> None:
    """Write a CSV file; `mark` puts a byte-order mark before it."""
    text = told(frame).with_columns(pl.all().cast(pl.String).replace("", None)).write_csv(separator=separator, quote_style="necessary")
    path.write_bytes((b"\xef\xbb\xbf" if mark else b"") + text.encode("utf-8"))


def write_json_lines(frame: pl.DataFrame, path: Path, numbers: tuple[str, ...]) -> None:
    """Write one JSON object a row; columns named in `numbers` are numbers, empty cells are left out."""
    rows = (
        {name: float(text) if name in numbers else text for name, text in row.items() if text} for row in told(frame).iter_rows(named=True)
    )
    write_text("".join(json.dumps(row, ensure_ascii=False) + "\n" for row in rows), path)


def write_workbook(sheets: dict[str, pl.DataFrame], path: Path, numbers: tuple[str, ...], dates: tuple[str, ...]) -> None:
    """Write one sheet a frame; columns named in `numbers` and `dates` become numbers and days where their text is one."""
    packed = BytesIO()
    with xlsxwriter.Workbook(packed, {"in_memory": True, "strings_to_urls": False, "strings_to_formulas": False}) as book:
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

    path.write_bytes(_unpressed(packed))


def _unpressed(packed: BytesIO) -> bytes:
    """Return the archive without compression, because compressors differ from one system to the next and stored bytes do not."""
    stored = BytesIO()
    with zipfile.ZipFile(packed) as source, zipfile.ZipFile(stored, "w", zipfile.ZIP_STORED) as target:
        for name in source.namelist():
            entry = zipfile.ZipInfo(name)
            entry.create_system = 3
            target.writestr(entry, source.read(name))
    return stored.getvalue()


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
