"""What waits for a person to say what it means: words without a code, near misses, and suggestions for rows that came without one.

In: a published copy, or a ledger and what a person says. Out: the queue; what was said, kept and published.
A suggestion enters no count and no rate until a person confirms it; an unknown cause stays unknown.
Elsewhere: how suggestions are made (`code_suggestions`), how words are coded (`intake.coding`), where both are kept (`ledger`).
"""

from pathlib import Path

import polars as pl

from pipelines.errors import UnknownWord, WrongInput
from pipelines.exports.answer import Answer
from pipelines.flow.copies import current_copy, publish_anew
from pipelines.flow.fleet_words import code_of, words_known
from pipelines.flow.queries import query
from pipelines.ledger.reading import Published
from pipelines.ledger.writing import open_for_writing
from pipelines.terms.causes import UNCODED, UNKNOWN
from pipelines.terms.columns import Column
from pipelines.terms.scope import Scope
from pipelines.terms.settings import Settings
from pipelines.terms.tables import RECORD_KINDS

FRAMES = ("uncoded", "near_misses", "suggestions", "confirmed")


def queue(copy: Published) -> dict[str, pl.DataFrame]:
    """Return what waits for a person and what people confirmed.

    Returns
    -------
    dict[str, pl.DataFrame]
        `uncoded`: `list`, `word`, `rows`, the most frequent first. `near_misses`: `list`, `word`, `code` (taken for), `rows`.
        `suggestions`: `row_id`, `kind`, `column`, `code`, `confidence` (0 to 1), `evidence` (words), and of the row `dated`, `vessel_id`,
        `notes`, `file`, `line`; the surest first. `confirmed`: `row_id`, `kind`, `column`, `code`, `settled_by`, `settled_at`.
    """
    return {name: copy.frame(query(f"queue_{name}")) for name in FRAMES}


def to_code(copy: Published, scope: Scope, settings: Settings) -> Answer:  # noqa: ARG001
    """Answer with the suggestions, and beside them the words that wait."""
    frames = queue(copy)
    rows = frames.pop("suggestions")
    known = copy.frame("select as_of from derived.parameters")
    as_of = known["as_of"].item() if known.height else None
    return Answer({"as_of": as_of, "ledger_version": copy.version, "records": rows["row_id"].n_unique(), "left_out": 0}, rows, frames)


def words(copy: Published, scope: Scope, settings: Settings, code_list: str = "") -> Answer:  # noqa: ARG001
    """Answer with the codes of a list, or of all, and the words that lead to each."""
    rows = words_known(copy, code_list)
    return Answer({"as_of": None, "ledger_version": copy.version, "records": rows.height, "left_out": 0}, rows)


def settle_word(ledger_path: Path, code_list: str, word: str, code: str, by: str, settings: Settings) -> str:
    """Remember what a word means for every row that holds it or ever will, publish, and say so.

    Parameters
    ----------
    ledger_path
        The ledger.
    code_list
        Such as `component` or `cause`.
    word
        As written in the records.
    code
        A code of the list or any word that leads to one; `uncoded`: it means none, as with a near miss that was none.
    by
        Who says so (needed).

    Raises
    ------
    UnknownWord
        If the list or the code is not known.
    WrongInput
        If nobody's name or no word is given.
    """
    _refuse_nobody(by)
    if not word.strip():
        raise WrongInput("no word is given; an empty cell is not a word. A row that came without a code is settled by its number.")
    with current_copy(ledger_path, settings) as copy:
        meant = UNCODED if code.strip() == UNCODED else code_of(copy, code_list, code)
    with open_for_writing(ledger_path, "settle a word") as ledger:
        ledger.settle_word(code_list, word, meant, by.strip())
        publish_anew(ledger, settings)
    return f"Settled: {word!r} is {meant!r} in {code_list}, in every row that holds it."


def confirm_row(ledger_path: Path, row_id: int, column: str, code: str, by: str, settings: Settings) -> str:
    """Give one row that came without it the code of a column, publish, and say so; an empty code takes back what was said.

    Parameters
    ----------
    ledger_path
        The ledger.
    row_id
        Number of the row.
    column
        A coded column of its kind, such as `cause`.
    code
        A code, or any word that leads to one.
    by
        Who says so (needed).

    Raises
    ------
    UnknownWord
        If there is no such row, column or code.
    WrongInput
        If nobody's name is given, or the row's own words say what it is.
    """
    _refuse_nobody(by)
    with current_copy(ledger_path, settings) as copy:
        kind, coded = _column_of(copy, row_id, column)
        _refuse_said(copy, kind, row_id, column)
        meant = code_of(copy, coded.coded_as or "", code) if code.strip() else None
    with open_for_writing(ledger_path, "confirm a row") as ledger:
        ledger.settle_row(kind, row_id, column, meant, by.strip())
        publish_anew(ledger, settings)
    return f"Confirmed: row {row_id} has {column} {meant!r}." if meant else f"Row {row_id} has no confirmed {column} any more."


def _refuse_nobody(by: str) -> None:
    if not by.strip():
        raise WrongInput("a word or row is settled by somebody: --by NAME")


def _column_of(copy: Published, row_id: int, column: str) -> tuple[str, Column]:
    kinds = copy.frame("select kind from about.rows where row_id = ? and fate = 'accepted'", [row_id])["kind"].to_list()
    if not kinds:
        raise UnknownWord(f"{row_id}: no row that counts has that number. Rows that wait: towless records --queue")
    coded = {each.name: each for each in RECORD_KINDS[kinds[0]].columns if each.coded_as}
    if column not in coded:
        raise UnknownWord(f"{column!r}: no coded column of {kinds[0]}. It has {', '.join(coded)}; a system follows from its cause.")
    return kinds[0], coded[column]


def _refuse_said(copy: Published, kind: str, row_id: int, column: str) -> None:
    """Refuse to overrule what the record itself says; a record is corrected by sending it again."""
    held = copy.frame(f"select {column} as code, {column}_as_written as word from accepted.{kind} where row_id = ?", [row_id])
    confirmed = copy.frame('select 1 from accepted.settled_rows where row_id = ? and "column" = ?', [row_id, column]).height
    code, word = held.row(0)
    if code not in (None, UNCODED, UNKNOWN) and not confirmed:
        raise WrongInput(f"row {row_id} says {column} {word!r} itself. Correct the record and take it in again, or settle the word.")
