"""A workbook to grids, one a sheet that holds anything.

In: the bytes of an XLSX file and what a header looks like. Out: `Grid`s; every cell as text, a date as ISO 8601, the spreadsheet's row
number as the line. The packed file is looked through before it is opened: a broken archive, one that unpacks to more than a workbook
can sensibly hold, or a sheet whose stray cells span an area no memory holds, is refused.
Elsewhere: which kind a sheet is (`recognise`), reading the texts (`cells`).
"""

import re
import zipfile
import zlib
from io import BytesIO

import fastexcel
import polars as pl

from pipelines.errors import UnreadableFile
from pipelines.intake.decoding import Source
from pipelines.intake.grids import HEADER_WITHIN, Grid, Score, header_row
from pipelines.intake.guarded import guarded
from pipelines.intake.json_rows import as_objects

MOST_UNPACKED = 1_500_000_000
"""Bytes that a workbook may unpack to: a full sheet of twenty columns is near 0.8 thousand million."""
MOST_TIMES, SURELY_FINE = 200, 50_000_000
"""Times its packed size that a workbook may unpack to, asked only above so many bytes: sheets pack 10 to 100 times smaller."""
MOST_CELLS = 40_000_000
"""Cells that the used area of a sheet may span, filled or not."""
CHUNK = 1 << 20
FILLED_CELL = re.compile(rb'<(?:\w+:)?c [^>]*?r="([A-Z]{1,3})(\d{1,7})"[^>]*(?<!/)>')
OVERLAP = 300
"""Bytes of one chunk that are looked at again with the next, so that no cell is cut in two."""


def is_workbook(data: bytes) -> bool:
    """Tell whether the bytes are a packed workbook by its table of contents; a broken archive that begins as one counts too."""
    if not data.startswith(b"PK"):
        return False
    try:
        names = zipfile.ZipFile(BytesIO(data)).namelist()
    except (zipfile.BadZipFile, ValueError, OSError, NotImplementedError):
        return b"xl/" in data or b"[Content_Types].xml" in data
    return any(name.startswith("xl/") for name in names)


def read_workbook(source: Source, score: Score) -> list[Grid]:
    """Read every sheet of a workbook that holds anything.

    Raises
    ------
    UnreadableFile
        If it is broken, locked with a password, unpacks to too much, or holds nothing at all.
    """
    _look_through(source)
    with guarded(source.name, "a sound workbook"):
        reader = fastexcel.read_excel(source.data)
        sheets = [(name, _cells(reader, name)) for name in reader.sheet_names]
    grids = [_grid(source.name, name, cells, score) for name, cells in sheets if cells.height]
    if not grids:
        raise UnreadableFile(f"{source.name}: no sheet of the workbook holds anything. Save the records again and give the new file.")
    return grids


def _look_through(source: Source) -> None:
    """Unpack every part once without keeping it, and refuse what is broken, too large, or spans too wide an area."""
    try:
        with zipfile.ZipFile(BytesIO(source.data)) as archive:
            _refuse_bomb(source, sum(part.file_size for part in archive.infolist()))
            for part in archive.infolist():
                _look_through_part(source.name, archive, part)
    except (zipfile.BadZipFile, zlib.error, EOFError, OSError, ValueError, RuntimeError, NotImplementedError) as fault:
        raise UnreadableFile(
            f"{source.name}: is a broken or locked workbook ({fault}). Open it, save it again and give the new file."
        ) from fault


def _refuse_bomb(source: Source, unpacked: int) -> None:
    most = MOST_UNPACKED if unpacked <= SURELY_FINE else min(MOST_UNPACKED, max(SURELY_FINE, MOST_TIMES * len(source.data)))
    if unpacked > most:
        raise UnreadableFile(f"{source.name}: unpacks to {unpacked:,} bytes, more than a workbook of its size can hold. Give it as CSV.")


def _look_through_part(file: str, archive: zipfile.ZipFile, part: zipfile.ZipInfo) -> None:
    """Read a part to its end, which checks its sum, and see how far the filled cells of a sheet reach."""
    is_sheet = part.filename.startswith("xl/worksheets/")
    tail, widest, lowest = b"", 0, 0
    with archive.open(part) as packed:
        while chunk := packed.read(CHUNK):
            if is_sheet:
                cells = FILLED_CELL.findall(tail + chunk)
                widest = max(widest, *(_column_number(column) for column in {column for column, _ in cells}), 0)
                lowest = max(lowest, int(cells[-1][1]) if cells else 0)
                tail = chunk[-OVERLAP:]
    if widest * lowest > MOST_CELLS:
        spread = f"{lowest:,} rows and {widest:,} columns"
        raise UnreadableFile(f"{file}, {part.filename}: its cells are spread over {spread}. Delete the stray cells, or give it as CSV.")


def _column_number(letters: bytes) -> int:
    number = 0
    for letter in letters:
        number = number * 26 + letter - 64
    return number


def _cells(reader: fastexcel.ExcelReader, name: str) -> pl.DataFrame:
    """Return the cells of a sheet as text with their row numbers; rows with nothing in them are left off."""
    frame = reader.load_sheet(name, header_row=None, skip_rows=0, dtypes="string").to_polars()
    frame = frame.rename({old: f"c{index}" for index, old in enumerate(frame.columns)})
    filled = pl.any_horizontal(pl.all().str.strip_chars().str.len_chars().fill_null(0) > 0) if frame.width else pl.lit(False)
    return frame.with_columns(filled=filled).with_row_index("line", offset=1).filter("filled").drop("filled").cast({"line": pl.Int64})


def _grid(file: str, sheet: str, cells: pl.DataFrame, score: Score) -> Grid:
    names = [name for name in cells.columns if name != "line"]
    top = header_row(cells.select(names).head(HEADER_WITHIN).rows(), score)
    header = tuple(_name(cell) for cell in cells.select(names).row(top))
    body = cells[top + 1 :]
    rows = body.select("line", as_objects(header, names).alias("raw"), *names)
    return Grid(file, sheet, header, rows, typed=True)


def _name(cell: str | None) -> str:
    return (cell or "").strip()
