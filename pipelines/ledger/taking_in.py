"""One import into the ledger, and its undoing; each runs inside a transaction that `store` holds.

In: checked rows from `intake`, a connection to the ledger. Out: rows in `received` and `held`, and what is to be told.
Elsewhere: the transaction and the version (`store`), how files are read and checked (`intake`).
"""

import json
from collections.abc import Sequence
from datetime import UTC, datetime

import duckdb
import polars as pl

from pipelines.errors import RowsLeftOut, WrongInput
from pipelines.intake.masking import ORIGINAL, fleet_words, mask
from pipelines.intake.masks import SORTS, Known, masked
from pipelines.intake.slicing import Sliced
from pipelines.intake.taking import Taken
from pipelines.ledger.connection import frame_of, poured, run_script, script
from pipelines.ledger.counts import Counts
from pipelines.ledger.identity import MADE, compare_exactly, hashed
from pipelines.ledger.tables_from_terms import ROW_ID, held_columns, quoted
from pipelines.ledger.texts import write_texts
from pipelines.terms.tables import RECORD_KINDS

ACCEPTED, LEFT_OUT = "accepted", "left_out"
SHOWN_AT_MOST = 5
AS_IT_CAME = f"{ROW_ID}, line, raw, {ORIGINAL}"


Takings = Sequence[Taken | Sliced]


def now() -> datetime:
    """Return the present moment in UTC, to the second."""
    return datetime.now(UTC).replace(tzinfo=None, microsecond=0)


def refuse_if_left_out(takings: Takings) -> None:
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


def told_again(connection: duckdb.DuckDBPyConnection, takings: Takings, mapping: str) -> list[bool]:
    """Say of each taking whether its very file is in already, read the same way, or stands a second time among these."""
    known = set(frame_of(connection, script("files_known")[0], {"mapping": mapping}).iter_rows())
    bearer: dict[str, str] = {}
    return [
        bool(taken.sha256) and ((taken.sha256, taken.kind) in known or bearer.setdefault(taken.sha256, taken.file) != taken.file)
        for taken in takings
    ]


def write_import(connection: duckdb.DuckDBPyConnection, takings: Takings, by: str, mapping: str) -> int:
    """Write every row of an import and work out the fates of the keys it touches; return the import's number."""
    number = _next(connection, "imports", "import_id")
    connection.execute("insert into received.imports values (?, ?, ?, ?, null, null)", [number, by, now(), mapping or None])
    registers = [word for taken in takings if isinstance(taken, Taken) for word in fleet_words(taken)]
    known = frame_of(connection, script("known_words")[0])["word"].to_list() + registers
    for taken in takings:
        _write_table(connection, number, taken, Known.of(known))
    work_out_fates(connection, number)
    return number


def keep_evidence(connection: duckdb.DuckDBPyConnection, number: int, version: int, figures: Sequence[str]) -> None:
    """Keep beside the rows of an import, in their order, what they were adopted on."""
    rows = frame_of(connection, "select row_id from received.rows where import_id = ? order by row_id", [number])["row_id"]
    for row_id, figure in zip(rows, figures, strict=True):
        connection.execute("insert into received.adoptions values (?, ?, ?, ?)", [row_id, number, version, figure or None])


def write_put_offs(connection: duckdb.DuckDBPyConnection, put_offs: pl.DataFrame, by: str) -> int:
    """Write tasks that are put off as an import of their own, reasons without who somebody else is; return the import's number."""
    number, first = _begun(connection, by), _next(connection, "put_offs", "put_off_no")
    known = Known.of(frame_of(connection, script("known_words")[0])["word"].to_list())
    rows = put_offs.with_row_index("put_off_no", first).with_columns(
        pl.lit(number, pl.Int64).alias("import_id"),
        pl.Series("because", [masked(text, known)[0] for text in put_offs["because"]], pl.String),
    )
    poured(connection, rows, "insert into received.put_offs by name select * from incoming")
    return number


def write_forecasts(connection: duckdb.DuckDBPyConnection, forecasts: pl.DataFrame, by: str) -> int:
    """Write what is foretold of a season as an import of its own; return the import's number."""
    number, first = _begun(connection, by), _next(connection, "forecasts", "forecast_no")
    rows = forecasts.with_row_index("forecast_no", first).with_columns(pl.lit(number, pl.Int64).alias("import_id"))
    poured(connection, rows, "insert into received.forecasts by name select * from incoming")
    return number


def said_in(connection: duckdb.DuckDBPyConnection, number: int) -> dict[str, int]:
    """Return by table how many rows an import wrote that are no records: what was put off, what was foretold."""
    counts = {table: _count(connection, table, number) for table in ("put_offs", "forecasts")}
    return {table: count for table, count in counts.items() if count}


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
    work_out_fates(connection, number)


def work_out_fates(connection: duckdb.DuckDBPyConnection, number: int) -> None:
    """Work out what the rows are whose keys an import touched, comparing value by value where hashes are equal."""
    greater_part = frame_of(connection, "select 4 * count(*) filter (import_id = ?) > count(*) from received.rows", [number]).item()
    touched = f"where key_hash in (select key_hash from received.rows where import_id = {number})"
    compare_exactly(connection, "" if greater_part else touched)
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


def _write_table(connection: duckdb.DuckDBPyConnection, number: int, taken: Taken | Sliced, known: Known) -> None:
    """Write the rows of a table, slice by slice, each with its number in order of line and without who somebody is."""
    counts = dict.fromkeys(SORTS, 0)
    file_id, rows_in = _next(connection, "files", "file_id"), 0
    row_id = _next(connection, "rows", ROW_ID)
    for part in taken.slices():
        masked = mask(part, known)
        counts = {sort: count + masked.counts[sort] for sort, count in counts.items()}
        _write_part(connection, masked.taken, {"import_id": number, "file_id": file_id}, row_id + rows_in)
        rows_in += part.rows_in
    place = [file_id, number, taken.file, taken.sheet or None, taken.sha256 or None, taken.kind]
    header = json.dumps(taken.header, ensure_ascii=False)
    told = [*place, header, rows_in, *counts.values()]
    connection.execute(f"insert into received.files values ({', '.join('?' * len(told))})", told)


def _write_part(connection: duckdb.DuckDBPyConnection, part: Taken, of: dict[str, int], first: int) -> None:
    sound, faulty = _numbered(part, first)
    kind = RECORD_KINDS[part.kind]
    known = f"{of['import_id']} as import_id, {of['file_id']} as file_id, '{kind.name}' as kind"
    rows = sound.select(*held_columns(kind), "line", "raw", MADE, ORIGINAL)
    columns = ", ".join(quoted(name) for name in held_columns(kind) if rows[name].null_count() < max(rows.height, 1))
    told = f"'{ACCEPTED}' as fate, made, {hashed(kind)} as key_hash"
    poured(connection, rows, f"insert into held.{kind.name} ({columns}) select {columns} from incoming")
    poured(connection, rows, f"insert into received.rows by name select {AS_IT_CAME}, {known}, {told} from incoming")
    if faulty.height:
        left = f"'{LEFT_OUT}' as fate"
        poured(connection, faulty, f"insert into received.rows by name select {AS_IT_CAME}, {known}, {left} from incoming")
        poured(connection, faulty, f'insert into received.faults select {ROW_ID}, "column", value, reason from incoming')
    if part.text:
        write_texts(connection, of["file_id"], *part.text)


def _numbered(part: Taken, first: int) -> tuple[pl.DataFrame, pl.DataFrame]:
    """Rows of one part, sound and faulty, numbered in order of line."""
    if part.left_out.is_empty():
        return part.rows.with_row_index(ROW_ID, first), part.left_out
    lines = pl.concat([part.rows["line"], part.left_out["line"]])
    places = (lines.rank("ordinal") - 1 + first).cast(pl.Int64).alias(ROW_ID)
    sound = part.rows.with_columns(places.head(part.rows.height))
    return sound, part.left_out.with_columns(places.tail(part.left_out.height))


def _begun(connection: duckdb.DuckDBPyConnection, by: str) -> int:
    """Begin an import that holds no rows of a file; return its number."""
    number = _next(connection, "imports", "import_id")
    connection.execute("insert into received.imports values (?, ?, ?, null, null, null)", [number, by, now()])
    return number


def _count(connection: duckdb.DuckDBPyConnection, table: str, number: int) -> int:
    return frame_of(connection, f"select count(*) from received.{table} where import_id = ?", [number]).item()


def _next(connection: duckdb.DuckDBPyConnection, table: str, column: str) -> int:
    return frame_of(connection, f"select coalesce(max({column}), 0) + 1 from received.{table}").item()


def _refuse_unless_standing(connection: duckdb.DuckDBPyConnection, number: int) -> None:
    imports = {row[0]: row[1] for row in frame_of(connection, "select import_id, undone_at from received.imports").iter_rows()}
    if number not in imports:
        known = f"There are imports 1 to {max(imports)}" if imports else "Nothing has been taken in yet"
        raise WrongInput(f"--undo {number}: no such import. {known}; see: towless records")
    if imports[number] is not None:
        raise WrongInput(f"--undo {number}: undone already, on {imports[number]:%Y-%m-%d}. Its rows are out of every count.")
