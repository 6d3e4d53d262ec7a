"""What ever came in under the key of a row: what it says now, what it said before, who sent each and when.

In: an open ledger and which rows. Out: a frame, one row a version.
Elsewhere: how it is told (`flow.history`), fates (`taking_in`).
"""

from collections.abc import Sequence

import polars as pl

from pipelines.errors import UnknownWord, WrongInput
from pipelines.ledger.connection import script
from pipelines.ledger.identity import compare_exactly
from pipelines.ledger.store import Ledger
from pipelines.ledger.tables_from_terms import ROW_ID
from pipelines.ledger.texts import with_texts
from pipelines.terms.tables import RECORD_KINDS

BETWEEN = "/"


def history_of(ledger: Ledger, rows: Sequence[int]) -> pl.DataFrame:
    """Return every row that ever came in under the keys of `rows`, the earliest first.

    Returns
    -------
    pl.DataFrame
        The columns that `history.sql` gives; times are UTC.
    """
    asked = f"select key_hash from received.rows where {ROW_ID} in ({', '.join(map(str, rows)) or 'null'})"
    compare_exactly(ledger.connection, f"where key_hash in ({asked})")
    return with_texts(ledger.connection, ledger.frame(script("history")[0], {"rows": list(rows)})).drop("file_id")


def rows_named(ledger: Ledger, kind: str, key: str) -> list[int]:
    """Return the rows of a record kind that a person names by id.

    Parameters
    ----------
    ledger
        The open ledger.
    kind
        The record kind.
    key
        Its id as written, the parts of a longer one with `/` between; the first parts alone name every row that begins so.

    Raises
    ------
    WrongInput
        If rows of that kind have no id of their own.
    UnknownWord
        If no row goes by it.
    """
    columns = RECORD_KINDS[kind].key
    if not columns:
        raise WrongInput(f"{kind}: a row of that kind has no id of its own. Name it by its number: towless records --row N")
    found = _first([_rows_with(ledger, kind, columns, words) for words in _readings(key, len(columns))])
    if not found:
        raise UnknownWord(f"{key!r}: no row of {kind} goes by that {BETWEEN.join(columns)}. Write it as it stands in the file.")
    return found


def is_row(ledger: Ledger, row: int) -> bool:
    """Return whether a row of that number ever came in."""
    return not ledger.frame("select 1 from received.rows where row_id = ?", [row]).is_empty()


def _rows_with(ledger: Ledger, kind: str, columns: Sequence[str], words: Sequence[str]) -> list[int]:
    query = " and ".join(f"cast({column} as varchar) = ?" for column in columns[: len(words)])
    return ledger.frame(f"select {ROW_ID} from held.{kind} where {query} order by {ROW_ID}", words)[ROW_ID].to_list()


def _readings(key: str, parts: int) -> list[list[str]]:
    """Ways to read an id: parted at its last slashes, or whole as the first part, for a ticket's own id may hold some."""
    return [[part.strip() for part in key.rsplit(BETWEEN, parts - 1)] if parts > 1 else [key.strip()], [key.strip()]]


def _first(found: Sequence[list[int]]) -> list[int]:
    return next((rows for rows in found if rows), [])
