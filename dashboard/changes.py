"""The door for what a person changes, and what is looked over before: all of it behind the page, one change after the other.

In: what a form holds, files that were sent. Out: what became of it, as soon as it is safe.
What is raised on purpose (`TowlessError`) is passed on.
Elsewhere: questions and their caching (`readings`), the changes themselves (`pipelines.flow`).
"""

import tempfile
from collections.abc import Callable, Iterable, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path
from typing import Any, Protocol

import polars as pl
import streamlit as st

from dashboard.readings import MOST_ANSWERS, Scope, generation, ledger_path, own_ledger, settings, shows_sample
from dashboard.sign_in import DECIDE, RECORD, is_on, signed
from pipelines.errors import NotAllowed
from pipelines.flow import adopting, by_hand, copies, kept_forecasts, mapped, mending, putting_off, sample, settling, shelf, taking
from pipelines.flow.by_hand import Written
from pipelines.flow.mapped import Choices as MapChoices
from pipelines.flow.shelf import ShelfChange, ShelfWritten
from pipelines.intake.finding import find_files
from pipelines.intake.previewing import Preview


class Upload(Protocol):
    """A file a person sent: its name and its bytes."""

    name: str

    def getvalue(self) -> bytes:
        """Return the bytes."""
        ...


def write_down(kind: str, row: dict[str, Any], by: str) -> Written:
    """Keep one ticket line or call; it returns as soon as the row is safe, and the figures are made anew behind it."""
    return _kept(by_hand.write_down, ledger_path(), kind, row, signed(by, RECORD), settings())


def write_shelf(done: Sequence[ShelfChange], by: str, because: str, form: str) -> ShelfWritten:
    """Keep what was ordered, received or counted; returns as `write_down` does."""
    return _kept(shelf.write_shelf, ledger_path(), done, signed(by, RECORD), because, form, settings())


def take_back(written: Written, by: str) -> Written:
    """Take what was written down out of every count again; returns as `write_down` does."""
    return _kept(by_hand.take_back, ledger_path(), written, signed(by, RECORD), settings())


def keep_settled(settled: Sequence[settling.Settled], by: str) -> int:
    """Keep what a person settled; it returns as soon as all is safe."""
    return _kept(settling.settle, ledger_path(), settled, signed(by, RECORD), settings())


def cells_of(raw: str, header: str) -> dict[str, str]:
    """Return the cells of a row as it came, by the names of its header."""
    return mending.cells_of(raw, header)


def take_mended(rows: pl.DataFrame, cells: Sequence[dict[str, str]], by: str) -> Any:
    """Take mended rows in; it returns, with what became of them, as soon as they are safe."""
    return _kept(mending.take_mended, ledger_path(), rows, cells, signed(by, RECORD), settings())


def undo(number: int, by: str) -> str:
    """Take an import out of every count, and return what was done in a sentence."""
    return taking.undo(ledger_path(), number, settings(), signed(by, DECIDE)).sentence


def adopt(component: str, every_h: float | None, every_months: float | None, by: str, because: str, scope: Scope) -> str:
    """Make an interval the fleet's plan, and return what was done in a sentence."""
    adoption = adopting.Adoption((component,), every_h, every_months, signed(by, DECIDE), because)
    return adopting.adopt(ledger_path(), adoption, scope, settings())


def keep_forecast(by: str) -> str:
    """Keep what is foretold of the season that comes, and return what was done in a sentence."""
    return kept_forecasts.keep(ledger_path(), signed(by, DECIDE), settings())


def put_off(wish: putting_off.PutOff) -> str:
    """Put a task off and return what was done in a sentence; it returns as soon as that is safe."""
    return _kept(putting_off.put_off, ledger_path(), replace(wish, by=signed(wish.by, DECIDE)), settings())


def _kept(change: Callable[..., Any], *given: Any) -> Any:
    """Run a change behind the page, and return what it did, or raise what it refused, once it is safe."""
    safe: Future[Any] = Future()

    def run() -> None:
        try:
            change(*given, kept=safe.set_result)
        except BaseException as fault:
            if safe.done():
                return  # the row is safe; whoever asks next finds that a publication is owed, and finishes it
            safe.set_exception(fault)

    _behind().submit(run)
    return safe.result()


@st.cache_resource(show_spinner=False)
def _behind() -> ThreadPoolExecutor:
    """Return the one worker that changes the ledger behind the pages: changes wait for one another, pages wait for none."""
    return ThreadPoolExecutor(1, "behind the pages")


def files_in(folder: str) -> list[Path]:
    """Return the files of records in a folder of this machine, or that go by a pattern.

    Raises
    ------
    NotAllowed
        If the dashboard is shared: its machine is not that of who asks.
    """
    if is_on():
        raise NotAllowed("A shared dashboard reads no folders of its machine. Send the files, or there: towless intake FOLDER")
    return find_files([folder])


def saved(files: Iterable[Upload], folder: Path) -> list[Path]:
    """Save uploaded files in a folder under their own names, and return where they are."""
    return [_saved(file, folder) for file in files]


def _saved(file: Upload, folder: Path) -> Path:
    path = folder / Path(file.name).name
    data = file.getvalue()
    if not path.exists() or path.read_bytes() != data:
        path.write_bytes(data)
    return path


def preview(path: Path, mapping_text: str, kind: str) -> list[Preview]:
    """Return what one file would come to with a mapping, before anything of it is taken in."""
    return _previewed("" if shows_sample() else generation(), str(path), path.stat().st_mtime_ns, mapping_text, kind)


@st.cache_resource(max_entries=MOST_ANSWERS, show_spinner="Reading the file …")
def _previewed(generation: str, path: str, changed: int, mapping_text: str, kind: str) -> list[Preview]:  # noqa: ARG001
    return taking.preview(Path(path), mapping_text, kind, own_ledger() if generation else None)


def kept_mapping() -> str:
    """Return the mapping that is kept with the ledger; empty: none is."""
    if shows_sample() or not generation():
        return ""
    with copies.current_copy(ledger_path(), settings()) as copy:
        return mapped.kept_mapping(copy)


def with_choices(mapping_text: str, suggestion: str, choices: MapChoices) -> str:
    """Return a mapping with a suggestion and then a person's choices laid over it."""
    return mapped.with_choices(mapped.laid_over(mapping_text, suggestion) if suggestion else mapping_text, choices)


def load_sample() -> taking.TakenIn:
    """Take the invented fleet into a ledger of its own beside where one's own would be; it is shown until there is one."""
    signed("the invented fleet", RECORD)  # whoever may not record is refused
    return sample.take_in_sample(sample.sample_beside(own_ledger()), settings())


def take_in(paths: Iterable[Path], by: str, mapping_text: str = "", kind: str = "") -> taking.TakenIn:
    """Take files in as one import, read with a mapping that is then kept, and return what became of their rows."""
    by = signed(by, RECORD)
    with tempfile.TemporaryDirectory() as folder:
        mapping = Path(folder) / "mapping.toml"
        if mapping_text:
            mapping.write_text(mapping_text, encoding="utf-8")
        wish = taking.Wish(tuple(paths), mapping if mapping_text else None, kind or None, False, by)
        return taking.take_in(own_ledger(), wish, settings())
