"""The published copy that questions are asked of, made first if it is owed.

In: a ledger's path. Out: `Published`; backup and restore of the whole ledger.
Elsewhere: what is made of the records when a copy is published (`building`), the questions (`answering`).
"""

from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from datetime import date
from functools import partial
from pathlib import Path
from typing import TypeVar

from pipelines.errors import CopyUnsound, LedgerDamaged, LedgerUnavailable
from pipelines.flow.building import build
from pipelines.flow.sources import day_of
from pipelines.ledger import backup as copying
from pipelines.ledger.publishing import publish
from pipelines.ledger.reading import Published, is_owed, open_published
from pipelines.ledger.store import Ledger
from pipelines.ledger.writing import open_for_writing
from pipelines.terms.settings import Settings

SHORT_WAIT_S = 0.5
Told = TypeVar("Told")


def publish_anew(ledger: Ledger, settings: Settings, *, anew: bool = False) -> None:
    """Give readers the ledger's present version, with lives and estimates made; `anew` also where they have it, but cannot read it."""
    making = partial(build, settled=ledger.settled_words(), mapping_text=ledger.kept_mapping(), settings=settings)
    publish(ledger, making, anew=anew)


def finish_what_is_owed(ledger_path: Path, settings: Settings) -> None:
    """Publish the version that an interrupted command left unpublished.

    Where somebody is writing now or the folder cannot be written, readers keep the version before; without one, opening it says
    what is wrong.
    """
    if not is_owed(ledger_path):
        return
    try:
        with open_for_writing(ledger_path, "publish", wait_s=SHORT_WAIT_S) as ledger:
            publish_anew(ledger, settings)
    except LedgerUnavailable:
        return


@contextmanager
def current_copy(ledger_path: Path, settings: Settings) -> Iterator[Published]:
    """Open the newest published version; one that is damaged, or laid out by another towless, is made anew from the ledger first.

    Raises
    ------
    NoLedger
        If there is no ledger.
    CopyUnsound
        If a damaged page of the copy shows only while it is asked; it has been made anew then, and can be asked again (`asked`).
    LedgerDamaged
        If the ledger is not sound, so that no copy can be made of it.
    """
    finish_what_is_owed(ledger_path, settings)
    with ExitStack() as held:
        try:
            copy = held.enter_context(open_published(ledger_path))
        except CopyUnsound:
            make_anew(ledger_path, settings)
            copy = held.enter_context(open_published(ledger_path))
        try:
            yield copy
        except CopyUnsound:
            make_anew(ledger_path, settings)
            raise


def make_anew(ledger_path: Path, settings: Settings) -> None:
    """Make the published copy of the ledger's present version once more, in place of one that cannot be read.

    Raises
    ------
    LedgerDamaged
        If the ledger it would be made from is not there.
    """
    if not Path(ledger_path).exists():
        raise LedgerDamaged(
            f"{ledger_path}: the copy for readers cannot be read, and the ledger it was made from is gone. "
            f"Bring a backup back: towless restore BACKUP --ledger {ledger_path}"
        )
    with open_for_writing(ledger_path, "publish") as ledger:
        publish_anew(ledger, settings, anew=True)


def asked(ledger_path: Path, settings: Settings, question: Callable[[Published], Told]) -> Told:
    """Ask the newest published version, and once more where it turned out damaged and was made anew."""
    try:
        with current_copy(ledger_path, settings) as copy:
            return question(copy)
    except CopyUnsound:
        with current_copy(ledger_path, settings) as copy:
            return question(copy)


def last_day_published(ledger_path: Path) -> date | None:
    """Return the last day that the published copy knows of; `None`: no record has a date."""
    with open_published(ledger_path) as copy:
        return day_of(copy)


def backup(ledger_path: Path, file: Path) -> str:
    """Write a whole, checked copy of the ledger; say so."""
    told = copying.backup(ledger_path, file)
    return str(told)


def restore(file: Path, ledger_path: Path, settings: Settings) -> str:
    """Put a checked copy in the ledger's place and publish it; say so."""
    told = copying.restore(file, ledger_path)
    finish_what_is_owed(ledger_path, settings)
    return str(told)
