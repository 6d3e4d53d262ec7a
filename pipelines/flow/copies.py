"""The published copy that questions are asked of, made first if it is owed.

In: a ledger's path. Out: `Published`; backup and restore of the whole ledger.
Elsewhere: what is made of the records when a copy is published (`building`), the questions (`answering`).
"""

from collections.abc import Iterator
from contextlib import contextmanager
from functools import partial
from pathlib import Path

from pipelines.errors import LedgerUnavailable
from pipelines.flow.building import build
from pipelines.ledger import backup as copying
from pipelines.ledger.publishing import publish
from pipelines.ledger.reading import Published, is_owed, open_published
from pipelines.ledger.store import Ledger
from pipelines.ledger.writing import open_for_writing
from pipelines.terms.settings import Settings

SHORT_WAIT_S = 0.5


def publish_anew(ledger: Ledger, settings: Settings) -> None:
    """Give readers the ledger's present version, with lives and estimates made."""
    publish(ledger, partial(build, settled=ledger.settled_words(), mapping_text=ledger.kept_mapping(), settings=settings))


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
    """Open the newest published version.

    Raises
    ------
    NoLedger
        If there is no ledger.
    LedgerDamaged
        If the ledger or its copy is not sound.
    """
    finish_what_is_owed(ledger_path, settings)
    with open_published(ledger_path) as copy:
        yield copy


def backup(ledger_path: Path, file: Path) -> str:
    """Write a whole, checked copy of the ledger; say so."""
    told = copying.backup(ledger_path, file)
    return str(told)


def restore(file: Path, ledger_path: Path, settings: Settings) -> str:
    """Put a checked copy in the ledger's place and publish it; say so."""
    told = copying.restore(file, ledger_path)
    finish_what_is_owed(ledger_path, settings)
    return str(told)
