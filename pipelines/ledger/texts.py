"""The lines of a large file as they came, packed, so that each row can be shown as it came without a text of its own.

In: a run of whole lines, or rows whose text is asked for. Out: rows of `received.texts`, or the texts.
Elsewhere: rows of other files, and rows that run over several lines, which keep their text beside them in `received.rows`.
"""

from collections.abc import Iterator

import duckdb
import polars as pl
import pyarrow as pa

from pipelines.ledger.connection import lent, poured

PIECE = 1 << 20
"""Bytes that are packed together: enough to pack well, little enough to unpack for one line."""
_PACKING = pa.Codec("zstd", 1)
_SIZE = 8


def write_texts(connection: duckdb.DuckDBPyConnection, file_id: int, first_line: int, lines: bytes) -> None:
    """Keep whole lines of a file, of which the first has the number `first_line`."""
    pieces = list(_pieces(first_line, lines))
    schema = {"file_id": pl.Int64, "first_line": pl.Int64, "last_line": pl.Int64, "packed": pl.Binary}
    packed = pl.DataFrame([(file_id, *piece) for piece in pieces], schema=schema, orient="row")
    poured(connection, packed, "insert into received.texts select * from incoming")


def with_texts(connection: duckdb.DuckDBPyConnection, rows: pl.DataFrame, schema: str = "received") -> pl.DataFrame:
    """Fill `raw` of the rows that have none from the packed lines of their file; `rows` has `file_id`, `line` and `raw`.

    A row that was written by a form and has no text stays without.
    """
    wanted = rows.filter(pl.col("raw").is_null()).select("file_id", "line").unique()
    if wanted.is_empty():
        return rows
    found = pl.DataFrame(
        list(_found(connection, wanted, schema)), schema={"file_id": pl.Int64, "line": pl.Int64, "kept": pl.String}, orient="row"
    )
    joined = rows.join(found, on=["file_id", "line"], how="left", maintain_order="left")
    return joined.with_columns(pl.coalesce("raw", "kept").alias("raw")).drop("kept")


def _pieces(first_line: int, lines: bytes) -> Iterator[tuple[int, int, bytes]]:
    start, line, uncopied = 0, first_line, memoryview(lines)
    while start < len(lines):
        end = lines.find(b"\n", min(start + PIECE, len(lines)) - 1) + 1 or len(lines)
        count = lines.count(b"\n", start, end) + (lines[end - 1 : end] != b"\n")
        yield line, line + count - 1, (end - start).to_bytes(_SIZE, "little") + _PACKING.compress(uncopied[start:end], asbytes=True)
        start, line = end, line + count


def _found(connection: duckdb.DuckDBPyConnection, wanted: pl.DataFrame, schema: str) -> Iterator[tuple[int, int, str]]:
    joined = f"from incoming w join {schema}.texts t on t.file_id = w.file_id and w.line between t.first_line and t.last_line"
    with lent(connection, wanted):
        pieces = connection.sql(
            f"select t.file_id, t.first_line, any_value(t.packed) as packed, list(w.line) as lines {joined} group by all"
        ).pl()
    for file_id, first_line, packed, numbers in pieces.iter_rows():
        lines = _unpacked(packed).split(b"\n")
        yield from ((file_id, number, lines[number - first_line].rstrip(b"\r").decode("utf-8", "replace")) for number in numbers)


def _unpacked(packed: bytes) -> bytes:
    return _PACKING.decompress(packed[_SIZE:], int.from_bytes(packed[:_SIZE], "little"), asbytes=True)
