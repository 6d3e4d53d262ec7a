"""The statements that make the ledger's tables, from the columns declared in `terms`.

In: record kinds and derived tables. Out: SQL text. Nothing is run here.
Elsewhere: what runs them (`writing`, `publishing`, `workbench`), the tables of imports and rows (`received.sql`).
"""

from collections.abc import Iterable

from pipelines.terms.columns import Column, ColumnType
from pipelines.terms.derived import DerivedTable
from pipelines.terms.tables import RecordKind

AS_WRITTEN = "_as_written"
ROW_ID = "row_id"
EXTRA = "extra"


def held_columns(kind: RecordKind) -> dict[str, str]:
    """Columns of `held.<kind>` as {name: DuckDB type}: the row, its columns with words as written, the rest."""
    return {ROW_ID: ColumnType.WHOLE.value, **_typed(kind.columns), EXTRA: ColumnType.TEXT.value}


def accepted_columns(kind: RecordKind) -> dict[str, str]:
    """Columns of `accepted.<kind>` as {name: DuckDB type}: coded columns hold codes, their words stand in `<name>_as_written`."""
    words = {f"{column.name}{AS_WRITTEN}": ColumnType.TEXT.value for column in coded_columns(kind)}
    return {ROW_ID: ColumnType.WHOLE.value, **_typed(kind.columns), **words, EXTRA: ColumnType.TEXT.value}


def coded_columns(kind: RecordKind) -> tuple[Column, ...]:
    """Columns of a kind whose words are coded."""
    return tuple(column for column in kind.columns if column.coded_as)


def create_held(kind: RecordKind) -> str:
    """Statement that makes an empty `held.<kind>`.

    Ids stand as they are: nearly each differs from the next, so packing them costs as much processor as all else in a row and saves little.
    """
    ids = {column.name: f"{column.type.value} using compression uncompressed" for column in kind.columns if column.name.endswith("_id")}
    return create_table(f"held.{kind.name}", {**held_columns(kind), **ids})


def create_accepted(kind: RecordKind) -> str:
    """Statement that makes an empty `accepted.<kind>`."""
    return create_table(f"accepted.{kind.name}", accepted_columns(kind))


def create_derived(table: DerivedTable, schema: str = "derived") -> str:
    """Statement that makes an empty derived table, `derived.<name>` or in another schema."""
    return create_table(f"{schema}.{table.name}", _typed(table.columns))


def create_table(name: str, columns: dict[str, str]) -> str:
    """Statement that makes an empty table of these columns, given as {name: DuckDB type}."""
    return f"create table {name} ({', '.join(f'{quoted(column)} {kind}' for column, kind in columns.items())})"


def quoted(name: str) -> str:
    """Return a name as SQL writes it when it may hold anything."""
    return '"' + name.replace('"', '""') + '"'


def _typed(columns: Iterable[Column]) -> dict[str, str]:
    return {column.name: column.type.value for column in columns}
