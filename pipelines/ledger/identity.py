"""Which row is which: the key of a row, its hash, and the content.

In: a record kind. Out: SQL expressions over its columns. The key is the id columns of the kind when they are filled, else the whole row;
the content is the whole row with the fleet's own columns. An id that was made from file and line is no part of either.
The hash only finds the rows that may be equal: equal hashes are compared value by value before they are taken for the same. It is
DuckDB's own, the only one that costs next to nothing; it may change with its version, so the ledger keeps what a probe hashed to, and
hashes every row anew when that differs.
Elsewhere: what follows from equal rows (`fates.sql`), which ids were made (`intake.identity`).
"""

from collections.abc import Iterable

import duckdb

from pipelines.intake.identity import MADE_ID
from pipelines.ledger.connection import frame_of, run_script
from pipelines.ledger.tables_from_terms import EXTRA, ROW_ID, quoted
from pipelines.terms.columns import Column, ColumnType
from pipelines.terms.tables import RECORD_KINDS, RecordKind

MADE = "made"
PROBE = "select cast(hash('towless', 1.5::double, null::varchar, date '2024-07-14', true) >> 1 as bigint)"


def hashed(kind: RecordKind, of: str = "") -> str:
    """Return the expression of `key_hash`, a whole number of 63 bits; `of` names the table whose columns are meant."""
    whole = _hash(kind, _whole(kind, of))
    if not kind.key:
        return whole
    if not kind.made_id:
        return _hash(kind, _key(kind, of))
    return f"case when {of}{MADE} = '{MADE_ID}' then {whole} else {_hash(kind, _key(kind, of))} end"


def compare_exactly(connection: duckdb.DuckDBPyConnection, touched: str) -> None:
    """Make the view `exact_rows` of the rows that share the hash of their key, among those of `received.rows` that a clause names."""
    connection.execute(f"create or replace temp view touched_rows as from received.rows {touched}")
    run_script(connection, "contested")
    kinds = frame_of(connection, "select distinct kind from contested_rows")["kind"].to_list()
    connection.execute(f"create or replace temp view exact_rows as {exact_rows(kinds or RECORD_KINDS)}")


def exact_rows(kinds: Iterable[str]) -> str:
    """Return a query of the rows of these kinds whose hashes are shared: `row_id`, and `key` and `content` as lists of their values."""
    return " union all ".join(_exact(RECORD_KINDS[kind]) for kind in kinds)


def is_hashed_here(connection: duckdb.DuckDBPyConnection) -> bool:
    """Return whether the rows of the ledger in use were hashed as this DuckDB hashes."""
    return frame_of(connection, f"select hashed_as is not distinct from ({PROBE}) from received.state").item()


def hash_anew(connection: duckdb.DuckDBPyConnection) -> None:
    """Hash every row of the ledger in use as this DuckDB hashes, and what people settled by key with it; inside a transaction."""
    if frame_of(connection, "select hashed_as is null from received.state").item():
        _tell_made_ids(connection)
    for kind in RECORD_KINDS.values():
        made = f"select h.*, w.{MADE} from held.{kind.name} h join received.rows w using ({ROW_ID})"
        anew = f"select {ROW_ID}, {hashed(kind, 'r.')} as key_hash from ({made}) r"
        connection.execute(f"update received.rows set key_hash = n.key_hash from ({anew}) n where rows.{ROW_ID} = n.{ROW_ID}")
    run_script(connection, "hashed_anew")
    connection.execute(f"update received.state set hashed_as = ({PROBE})")


def _tell_made_ids(connection: duckdb.DuckDBPyConnection) -> None:
    """Mark the ids that were made from file and line in a ledger from before that was written down."""
    for kind in RECORD_KINDS.values():
        if kind.made_id:
            place = "f.file || coalesce('/' || trim(f.sheet), '') || '#' || w.line"
            of_it = f"select w.{ROW_ID} from received.rows w join received.files f using (file_id) join held.{kind.name} h using ({ROW_ID})"
            made = f"{of_it} where h.{kind.made_id} = {place}"
            connection.execute(f"update received.rows set {MADE} = '{MADE_ID}' where kind = '{kind.name}' and {ROW_ID} in ({made})")


def values_of(kind: RecordKind, of: str = "") -> tuple[str, str]:
    """Return the expressions of key and content, each a list of texts; `of` names the table whose columns are meant."""
    whole = [f"cast({value} as varchar)" for value in _whole(kind, of)]
    key = [f"cast({value} as varchar)" for value in _key(kind, of)] if kind.key else whole
    listed = f"[{', '.join(key)}]"
    if kind.made_id:
        listed = f"case when {of}{MADE} = '{MADE_ID}' then [{', '.join(whole)}] else {listed} end"
    return listed, f"[{', '.join([*whole, f'{of}{EXTRA}'])}]"


def _exact(kind: RecordKind) -> str:
    key, content = values_of(kind, "r.")
    told = f"c.kind as told_kind, c.key_hash as told_key, c.fate as told_fate, c.{MADE}"
    held = f"select h.*, {told} from held.{kind.name} h join contested_rows c using ({ROW_ID}) where c.kind = '{kind.name}'"
    values = f"{key} as key, {content} as content"
    return f"select {ROW_ID}, told_kind as kind, told_key as key_hash, told_fate as fate, {values} from ({held}) r"


def _hash(kind: RecordKind, values: Iterable[str]) -> str:
    return f"cast(hash('{kind.name}', {', '.join(values)}) >> 1 as bigint)"


def _whole(kind: RecordKind, of: str) -> list[str]:
    return [_value(column, kind, f"{of}{quoted(column.name)}", of) for column in kind.columns]


def _value(column: Column, kind: RecordKind, value: str, of: str) -> str:
    if column.name == kind.made_id:
        return f"case when {of}{MADE} = '{MADE_ID}' then null else {value} end"
    # Of the two zeros of floating point there is one.
    return f"{value} + 0.0" if column.type is ColumnType.NUMBER else value


def _key(kind: RecordKind, of: str) -> list[str]:
    return [f"coalesce({of}line_no, {of}{MADE})" if name == "line_no" else f"{of}{quoted(name)}" for name in kind.key]
