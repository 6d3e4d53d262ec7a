"""Calls and ticket lines that may be one breakdown: listed for a person, settled once, remembered.

In: a published copy, or a ledger and what a person says of a pair. Out: the pairs with what both rows say; the settlement, published.
Elsewhere: how pairs are found and why they are doubtful (`lives`), how a settlement is kept (`ledger`).
"""

from importlib.resources import files
from pathlib import Path

import polars as pl

from pipelines.errors import UnknownWord, WrongInput
from pipelines.exports.answer import Answer
from pipelines.flow.copies import current_copy, publish_anew
from pipelines.ledger.reading import Published
from pipelines.ledger.writing import open_for_writing
from pipelines.terms.scope import Scope
from pipelines.terms.settings import Settings

CALL_WORDS = "select row_id, call_id as word from accepted.rescue_calls"
TICKET_WORDS = "select row_id, ticket_id || coalesce('/' || line_no, '') as word from accepted.service_tickets"


def doubtful_pairs(copy: Published) -> pl.DataFrame:
    """Return the pairs that wait for a person, the likeliest first.

    Returns
    -------
    pl.DataFrame
        The columns of `derived.doubtful_pairs`, and of both rows as they stand in the records: `call_id`, `called_at`, `call_notes`,
        `ticket_id`, `line_no`, `ticket_notes`, and where they came from: `call_file`, `call_line`, `ticket_file`, `ticket_line`.
    """
    return copy.frame(_query("doubtful_pairs"))


def to_settle(copy: Published, scope: Scope, settings: Settings) -> Answer:  # noqa: ARG001
    """Answer with the pairs that wait for a person, and beside them what was settled."""
    rows = doubtful_pairs(copy)
    known = copy.frame("select as_of from derived.parameters")
    head = {
        "as_of": known["as_of"].item() if known.height else None,
        "ledger_version": copy.version,
        "records": 2 * rows.height,
        "left_out": 0,
    }
    return Answer(head, rows, {"settled": settled_pairs(copy)})


def settled_pairs(copy: Published) -> pl.DataFrame:
    """Return what people settled, the latest first: the pair by row and id, `same`, `settled_by`, `settled_at` (UTC), `because`."""
    return copy.frame(_query("settled_pairs"))


def settle_pair(ledger_path: Path, call: str | int, ticket: str | int, *, same: bool, by: str, because: str, settings: Settings) -> str:
    """Remember whether a call and a ticket line are one breakdown, publish, and say so.

    Parameters
    ----------
    ledger_path
        The ledger.
    call
        The call's id, or its row number.
    ticket
        The line as ticket id, `ticket id/line`, or its row number.
    same
        One breakdown, or not.
    by, because
        Who says so (needed) and why.

    Raises
    ------
    UnknownWord
        If no call or line goes by that word, or several do.
    WrongInput
        If nobody's name is given.
    """
    if not by.strip():
        raise WrongInput("a pair is settled by somebody: --by NAME")
    with current_copy(ledger_path, settings) as copy:
        call_row, ticket_row = _row_of(copy, CALL_WORDS, call, "call"), _row_of(copy, TICKET_WORDS, ticket, "ticket line")
    with open_for_writing(ledger_path, "settle a pair") as ledger:
        ledger.settle_pair(call_row, ticket_row, same=same, by=by.strip(), because=because.strip())
        publish_anew(ledger, settings)
    return f"Settled: call {call} and ticket {ticket} are {'one breakdown' if same else 'not one breakdown'}. It is not asked again."


def _row_of(copy: Published, words: str, said: str | int, what: str) -> int:
    """Find the row that a person means: by id first, a ticket's only line by the ticket's id, else by row number."""
    known = copy.frame(words)
    word = str(said).strip()
    found = known.filter((pl.col("word") == word) | pl.col("word").str.starts_with(f"{word}/"))["row_id"].to_list()
    if isinstance(said, int) or (not found and word.isdigit()):
        found = known.filter(pl.col("row_id") == int(word))["row_id"].to_list()
    if len(found) == 1:
        return found[0]
    told = f"no {what} goes by that" if not found else f"{len(found)} lines go by that; name one, such as {word}/1"
    raise UnknownWord(f"{word!r}: {told}. The pairs to settle: towless records --pairs")


def _query(name: str) -> str:
    return files("pipelines.flow").joinpath(f"{name}.sql").read_text(encoding="utf-8")
