"""One import into the ledger, and its undoing; each runs inside a transaction that `store` holds.

In: checked rows from `intake`, a connection to the ledger. Out: rows in `received` and `held`, and what is to be told.
Elsewhere: the transaction and the version (`store`), how files are read and checked (`intake`).
"""

import json
from collections.abc import Iterable, Sequence
from datetime import UTC, datetime

import duckdb
import polars as pl

from pipelines.errors import RowsLeftOut, WrongInput
from pipelines.intake.taking import Taken
from pipelines.ledger.connection import frame_of, lent, run_script, script
from pipelines.ledger.counts import Counts
from pipelines.ledger.tables_from_terms import ROW_ID, held_columns, quoted
from pipelines.terms.tables import RECORD_KINDS

ACCEPTED, LEFT_OUT = "accepted", "left_out"
SHOWN_AT_MOST = 5

_RECEIVED = (ROW_ID, "import_id", "file_id", "line", "kind", "raw", "key_hash", "content_hash", "fate")
_FAULTS = (ROW_ID, "column", "value", "reason")


def now() -> datetime:
    """Return the present moment in UTC, to the second."""
    return datetime.now(UTC).replace(tzinfo=None, microsecond=0)


def refuse_if_left_out(takings: Iterable[Taken]) -> None:
    """Refuse the import whole when a row of it would be left out.

    Raises
    ------
    RowsLeftOut
        With the first reasons.
    """
    reasons = [reason for taken in takings for reason in taken.left_out["reason"]]
    if reasons:
        shown = "\n".join(reasons[:SHOWN_AT_MOST])
        more = f"\nand {len(reasons) - SHOWN_AT_MOST:,} more" if len(reasons) > SHOWN_AT_MOST else ""
        raise RowsLeftOut(f"{shown}{more}\nNothing was taken in, because --strict was asked for.")


def told_again(connection: duckdb.DuckDBPyConnection, takings: Sequence[Taken], mapping: str) -> list[bool]:
    """Say of each taking whether its very file is in already, read the same way, or stands a second time among these."""
    known = set(frame_of(connection, script("files_known")[0], {"mapping": mapping}).iter_rows())
    bearer: dict[str, str] = {}
    return [
        bool(taken.sha256) and ((taken.sha256, taken.kind) in known or bearer.setdefault(taken.sha256, taken.file) != taken.file)
        for taken in takings
    ]


def write_import(connection: duckdb.DuckDBPyConnection, takings: Sequence[Taken], by: str, mapping: str) -> int:
    """Write every row of an import and work out the fates of the keys it touches; return the import's number."""
    number = _next(connection, "imports", "import_id")
    connection.execute("insert into received.imports values (?, ?, ?, ?, null, null)", [number, by, now(), mapping or None])
    for taken in takings:
        _write_table(connection, number, taken)
    run_script(connection, "fates", **{"import": number})
    return number


def take_out(connection: duckdb.DuckDBPyConnection, number: int, by: str) -> None:
    """Mark an import and its rows as undone and work out the fates of the keys it touched.

    Raises
    ------
    WrongInput
        If there is no such import, or it is undone already.
    """
    _refuse_unless_standing(connection, number)
    connection.execute("update received.imports set undone_by = ?, undone_at = ? where import_id = ?", [by, now(), number])
    connection.execute("update received.rows set fate = 'undone' where import_id = ?", [number])
    run_script(connection, "fates", **{"import": number})


def told(connection: duckdb.DuckDBPyConnection, number: int) -> dict[str, Counts]:
    """Return what became of the rows of an import, by record kind."""
    return {row[0]: Counts(*row[1:]) for row in frame_of(connection, script("import_told")[0], {"import": number}).iter_rows()}


def changed_elsewhere(connection: duckdb.DuckDBPyConnection, number: int, change: str) -> dict[str, int]:
    """Return by record kind how many rows of other imports were `corrected` or `restored` by what was just done."""
    frame = frame_of(connection, script("fates_told")[0], {"import": number})
    return {row["kind"]: row[change] for row in frame.iter_rows(named=True) if row[change]}


def key_of(connection: duckdb.DuckDBPyConnection, kind: str, row_id: int) -> int:
    """Return the key under which a row of a record kind is known.

    Raises
    ------
    WrongInput
        If no row of that kind has that number.
    """
    keys = frame_of(connection, script("keys")[0], {"row": row_id, "kind": kind})["key_hash"].to_list()
    if not keys:
        raise WrongInput(f"{row_id}: no row of {kind} has that number. The pairs to settle and their rows: towless records --pairs")
    return keys[0]


def _write_table(connection: duckdb.DuckDBPyConnection, number: int, taken: Taken) -> None:
    file_id = _next(connection, "files", "file_id")
    place = [file_id, number, taken.file, taken.sheet or None, taken.sha256 or None, taken.kind]
    header = json.dumps(taken.header, ensure_ascii=False)
    connection.execute("insert into received.files values (?, ?, ?, ?, ?, ?, ?, ?)", [*place, header, taken.rows_in])
    rows = _numbered(taken, _next(connection, "rows", ROW_ID)).with_columns(
        pl.lit(value).alias(name) for name, value in (("import_id", number), ("file_id", file_id), ("kind", taken.kind))
    )
    _insert(connection, "received.rows", rows, _RECEIVED)
    _insert(connection, f"held.{taken.kind}", rows.filter(pl.col("fate") == ACCEPTED), tuple(held_columns(RECORD_KINDS[taken.kind])))
    _insert(connection, "received.faults", rows.filter(pl.col("fate") == LEFT_OUT), _FAULTS)


def _numbered(taken: Taken, first: int) -> pl.DataFrame:
    """Rows of one table in order of line, sound and faulty, each with its number and first fate."""
    sound = taken.rows.with_columns(fate=pl.lit(ACCEPTED))
    faulty = taken.left_out.with_columns(fate=pl.lit(LEFT_OUT))
    both = pl.concat([sound, faulty], how="diagonal")
    ordered = both if faulty.is_empty() else both.sort("line", maintain_order=True)
    return ordered.with_row_index(ROW_ID, first)


def _insert(connection: duckdb.DuckDBPyConnection, table: str, frame: pl.DataFrame, columns: Sequence[str]) -> None:
    with lent(connection, frame.select(columns)):
        connection.execute(f"insert into {table} ({', '.join(map(quoted, columns))}) select * from incoming")


def _next(connection: duckdb.DuckDBPyConnection, table: str, column: str) -> int:
    return frame_of(connection, f"select coalesce(max({column}), 0) + 1 from received.{table}").item()


def _refuse_unless_standing(connection: duckdb.DuckDBPyConnection, number: int) -> None:
    imports = {row[0]: row[1] for row in frame_of(connection, "select import_id, undone_at from received.imports").iter_rows()}
    if number not in imports:
        known = f"There are imports 1 to {max(imports)}" if imports else "Nothing has been taken in yet"
        raise WrongInput(f"--undo {number}: no such import. {known}; see: towless records")
    if imports[number] is not None:
        raise WrongInput(f"--undo {number}: undone already, on {imports[number]:%Y-%m-%d}. Its rows are out of every count.")
