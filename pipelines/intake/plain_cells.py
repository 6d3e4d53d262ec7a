"""Plain lines cut into cells, all at once.

In: whole lines as bytes, the delimiter, which columns have few distinct texts. Out: `Cells` a column; or nothing, where the lines are not
plain: quotes inside cells, cells over several lines, zero bytes, rows of another width.
A column of few distinct texts is told by those and by where each stands, so that each is read once.
Elsewhere: what the cells say (`plain_parts`), lines that are not plain (`delimited`).
"""

from collections.abc import Sequence
from dataclasses import dataclass

import polars as pl
import pyarrow as pa
import pyarrow.csv as pc

QUOTE, LINE_END, RETURN = b'"', b"\n", b"\r"


@dataclass(frozen=True)
class Cells:
    """One column of cells.

    Attributes
    ----------
    texts
        Each text, null where the cell is empty; of a column of few texts each distinct one.
    places
        For a column of few texts: where each row's text stands among them, null where the cell is empty.
    """

    texts: pl.Series
    places: pl.Series | None = None

    @property
    def height(self) -> int:
        """How many rows it has."""
        return self.texts.len() if self.places is None else self.places.len()

    def spread(self, values: pl.Series) -> pl.Series:
        """Put values that were made of the texts where the rows have them."""
        return values if self.places is None else values.gather(self.places)


def plain_cells(data: bytes, delimiter: str, few: tuple[bool, ...]) -> list[Cells] | None:
    """Cut plain lines.

    Parameters
    ----------
    data
        Whole lines.
    delimiter
        What stands between cells.
    few
        A column each: whether it has few distinct texts.

    Returns
    -------
    list[Cells] | None
        A column each; nothing if the lines are not plain, or are not UTF-8.
    """
    if not _is_plain(data, delimiter.encode()):
        return None
    kinds = [(str(index), pa.dictionary(pa.int32(), pa.string()) if of_few else pa.string()) for index, of_few in enumerate(few)]
    try:
        table = pc.read_csv(
            pa.py_buffer(data),
            pc.ReadOptions(use_threads=False, block_size=len(data), column_names=[name for name, _ in kinds]),
            pc.ParseOptions(delimiter=delimiter, ignore_empty_lines=False),
            pc.ConvertOptions(column_types=dict(kinds), null_values=[""], strings_can_be_null=True),
        )
    except pa.ArrowInvalid:
        return None
    # A cell that runs over a line end makes fewer rows than lines.
    return [_cells(column) for column in table.columns] if table.num_rows == count_lines(data) else None


def count_lines(data: bytes) -> int:
    """Count lines, the last also if nothing ends it."""
    return data.count(LINE_END) + (not data.endswith(LINE_END))


def _signs(data: bytes) -> pl.Series:
    """Return the bytes of a text as numbers, without a copy."""
    return pl.Series(pa.Array.from_buffers(pa.uint8(), len(data), [None, pa.py_buffer(data)]))


def lines_at(data: bytes, places: Sequence[int]) -> list[tuple[int, int]]:
    """Return where some lines, numbered from 0, begin and where they end, without what ends them."""
    ends = (_signs(data) == LINE_END[0]).arg_true()
    return [(ends[place - 1] + 1 if place else 0, ends[place] if place < ends.len() else len(data)) for place in places]


def text_of(data: bytes, line: tuple[int, int]) -> str:
    """Return one line as it came."""
    return data[slice(*line)].removesuffix(RETURN).decode("utf-8")


def _is_plain(data: bytes, delimiter: bytes) -> bool:
    """Whether each quote begins or ends a cell that holds none, and lines end in one way."""
    if b"\x00" in data or (RETURN in data and data.count(RETURN) != data.count(RETURN + LINE_END)):
        return False
    signs = _signs(data)
    quotes = (signs == QUOTE[0]).arg_true()
    opening, closing = quotes.gather_every(2), quotes.gather_every(2, 1)
    before = signs.gather(opening.filter(opening > 0) - 1)
    behind = signs.gather(closing.filter(closing < len(data) - 1) + 1)
    ends = [LINE_END[0], delimiter[0]]
    return opening.len() == closing.len() and before.is_in(ends).all() and behind.is_in([*ends, RETURN[0]]).all()


def _cells(column: pa.ChunkedArray) -> Cells:
    cells = column.chunk(0)
    if isinstance(cells, pa.DictionaryArray):
        return Cells(pl.Series(cells.dictionary), pl.Series(cells.indices))
    return Cells(pl.Series(cells))
