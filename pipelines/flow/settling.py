"""What a person settles on a page, many at a time: words, rows, pairs. Each lot is published once.

In: a ledger, what is settled, who says so. Out: how many were kept.
Elsewhere: one at a time, with every check of what a person typed (`coding_queue`, `pairs`); what waits (`coding_queue.queue`).
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from pipelines.errors import WrongInput
from pipelines.flow.copies import publish_anew
from pipelines.ledger.store import Ledger
from pipelines.ledger.writing import open_for_writing
from pipelines.terms.settings import Settings


@dataclass(frozen=True)
class Word:
    """A word of a list and the code it stands for."""

    code_list: str
    word: str
    code: str

    def keep(self, ledger: Ledger, by: str) -> None:
        """Remember it for every row that holds the word."""
        ledger.settle_word(self.code_list, self.word, self.code, by)


@dataclass(frozen=True)
class RowCode:
    """A suggestion for one row, confirmed."""

    kind: str
    row_id: int
    column: str
    code: str

    def keep(self, ledger: Ledger, by: str) -> None:
        """Remember it for that row."""
        ledger.settle_row(self.kind, self.row_id, self.column, self.code, by)


@dataclass(frozen=True)
class Pair:
    """A call and a ticket line that are one breakdown, or are not."""

    call_row_id: int
    ticket_row_id: int
    same: bool
    because: str = ""

    def keep(self, ledger: Ledger, by: str) -> None:
        """Remember it by the keys of both rows."""
        ledger.settle_pair(self.call_row_id, self.ticket_row_id, same=self.same, by=by, because=self.because)


Settled = Word | RowCode | Pair


def settle(ledger_path: Path, settled: Sequence[Settled], by: str, settings: Settings, kept: Callable[[int], None] | None = None) -> int:
    """Keep what was settled, publish once, and return how many were kept.

    Parameters
    ----------
    ledger_path, settings
        The ledger, and what is made when it is published.
    settled
        What the queues offered and a person chose.
    by
        Who says so (needed).
    kept
        Called as soon as all is safe, before the figures are made anew.

    Raises
    ------
    WrongInput
        If nobody's name is given, or nothing was chosen.
    """
    refuse_nothing(settled, by)
    with open_for_writing(ledger_path, "settle") as ledger:
        for each in settled:
            each.keep(ledger, by.strip())
        if kept:
            kept(len(settled))
        publish_anew(ledger, settings)
    return len(settled)


def refuse_nothing(settled: Sequence[Settled], by: str) -> None:
    """Raise `WrongInput` where nothing was chosen or nobody says so."""
    if not by.strip() or not settled:
        raise WrongInput("Nothing was settled: " + ("say who says so." if settled else "choose at least one."))
