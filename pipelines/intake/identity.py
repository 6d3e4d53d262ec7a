"""Which row is which: made ids, the hash of a row's key and the hash of its content.

In: typed rows. Out: `key_hash` and `content_hash`, 64-bit whole numbers, and ids for rows that came without.
Canonical form of a row, the same on every machine and version: the record kind and then the values in the order of the contract,
joined by the unit separator (U+001F); a missing value is U+2400; text as trimmed; a date as days and a moment as microseconds since
1970-01-01; a number as the 64 bits of its IEEE 754 double (minus zero as zero) read as a signed whole number; yes 1, no 0. The hash is
the first 8 bytes of BLAKE2b (digest size 8) over its UTF-8, little-endian and signed.
Elsewhere: what follows from equal keys (`ledger`).
"""

from array import array
from hashlib import blake2b

import polars as pl

from pipelines.terms.columns import ColumnType
from pipelines.terms.tables import RecordKind

SEPARATOR, ABSENT = "\x1f", "\u2400"
MADE_LINE = "made line"
ROWS_AT_ONCE = 100_000
SAME_JOB = ("component", "position", "action")
"""Lines of one ticket that have no line number are told apart by these."""


def identified(rows: pl.DataFrame, kind: RecordKind, place: str) -> pl.DataFrame:
    """Add the hashes to typed rows and fill the ids that are absent.

    Parameters
    ----------
    rows
        Columns of the kind, `line` and `extra`.
    kind
        Record kind of the rows.
    place
        File, with the sheet if it has one: made ids are `place#line`.
    """
    canonical = {column.name: _canonical(column.name, column.type) for column in kind.columns}
    whole = _joined(kind, list(canonical.values()))
    content = pl.concat_str([whole, pl.col("extra").fill_null(ABSENT)], separator=SEPARATOR)
    numbered = rows.with_columns(_made_lines(rows)) if "line_no" in kind.key else rows
    hashed = rows.with_columns(content_hash=_hashed(rows, content), key_hash=_hashed(numbered, _key(kind, canonical, whole)))
    if not kind.made_id:
        return hashed
    made = pl.format("{}#{}", pl.lit(place), "line")
    return hashed.with_columns(pl.coalesce(kind.made_id, made).alias(kind.made_id))


def _key(kind: RecordKind, canonical: dict[str, pl.Expr], whole: pl.Expr) -> pl.Expr:
    if not kind.key:
        return whole
    made_line = pl.coalesce("line_no", MADE_LINE, pl.lit(ABSENT))
    named = _joined(kind, [made_line if name == "line_no" else canonical[name] for name in kind.key])
    return pl.when(pl.col(kind.made_id).is_not_null()).then(named).otherwise(whole) if kind.made_id else named


def _made_lines(rows: pl.DataFrame) -> pl.Series:
    """Give each further job of a ticket whose lines have no number one; the first has none, so a ticket of one job keeps its key."""
    job = pl.concat_str([pl.col(name).fill_null("").str.to_lowercase() for name in SAME_JOB], separator=SEPARATOR)
    open_ = rows.select("ticket_id", "line_no", job=job).with_row_index("row")
    open_ = open_.filter(pl.col("ticket_id").is_not_null() & pl.col("line_no").is_null())
    jobs = open_.unique(["ticket_id", "job"], keep="first", maintain_order=True)
    jobs = jobs.with_columns(number=pl.int_range(pl.len()).over("ticket_id")).filter(pl.col("number") > 0)
    numbered = open_.join(jobs.select("ticket_id", "job", "number"), on=["ticket_id", "job"])
    made = numbered.select("row", pl.format("+{}", pl.col("number") + 1).alias(MADE_LINE))
    every = pl.DataFrame({"row": pl.int_range(rows.height, eager=True, dtype=pl.UInt32)})
    return every.join(made, on="row", how="left", maintain_order="left")[MADE_LINE]


def _canonical(name: str, column_type: ColumnType) -> pl.Expr:
    column = pl.col(name)
    if column_type is ColumnType.NUMBER:
        column = pl.when(column == 0).then(0.0).otherwise(column).reinterpret(dtype=pl.Int64)
    elif column_type is not ColumnType.TEXT:
        column = column.cast(pl.Int64)
    return column.cast(pl.String).fill_null(ABSENT)


def _joined(kind: RecordKind, columns: list[pl.Expr]) -> pl.Expr:
    return pl.concat_str([pl.lit(kind.name), *columns], separator=SEPARATOR)


def _hashed(rows: pl.DataFrame, text: pl.Expr) -> pl.Series:
    """Hash the canonical text of each row, some rows at a time so that the texts never all stand in memory."""
    whole = array("q")
    for part in rows.iter_slices(ROWS_AT_ONCE):
        texts = part.select(text.cast(pl.Binary).alias("text"))["text"].to_list()
        whole.frombytes(b"".join([blake2b(each, digest_size=8).digest() for each in texts]))
    return pl.Series(whole, dtype=pl.Int64)
