"""The ledger while it is open for writing: every change is one transaction and one version.

In: what is to be written. Out: `Ledger`, with what each change did.
Elsewhere: who may open it (`writing`), what an import writes (`taking_in`), what readers get (`publishing`).
"""

from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager

import duckdb
import polars as pl

from pipelines.intake.masks import SORTS
from pipelines.intake.slicing import Sliced
from pipelines.intake.taking import Taken
from pipelines.ledger import taking_in
from pipelines.ledger.beside import Beside, sync_folder
from pipelines.ledger.connection import Parameters, frame_of, script
from pipelines.ledger.counts import Counts, FileIn, TakenIn, Undone

BOUNDED: Mapping[str, str | int] = {"memory_limit": "600MB", "threads": 1, "write_buffer_row_group_count": 1}
"""Settings of DuckDB while a large file is taken in: what it may hold, who writes, and how many full blocks wait before they are packed."""


class Ledger:
    """A ledger that this process alone writes to.

    Attributes
    ----------
    beside
        Names of the ledger and of what stands beside it.
    changed
        Whether anything was written since it was opened.
    """

    def __init__(self, connection: duckdb.DuckDBPyConnection, beside: Beside) -> None:
        self.connection = connection
        self.beside = beside
        self.changed = False

    @property
    def version(self) -> int:
        """Goes up by one at every change."""
        return self.frame("select version from received.state").item()

    def frame(self, sql: str, parameters: Parameters = ()) -> pl.DataFrame:
        """Run one query over `received` and `held` and return its rows."""
        return frame_of(self.connection, sql, parameters)

    def take_in(
        self, takings: taking_in.Takings, by: str, mapping_text: str = "", *, strict: bool = False, known: Sequence[FileIn] = ()
    ) -> TakenIn:
        """Take checked rows in, all or none.

        Parameters
        ----------
        takings
            One a file or sheet; without `sha256` it was written by hand and is never the same file again.
        by
            Who takes it in.
        mapping_text
            The mapping it was read with; kept, so that the next import can use it. Empty: the one that is kept, if there is one.
        strict
            Take in nothing if any row would be left out.
        known
            Files that were not read because they are in already (`file_in`).

        Returns
        -------
        TakenIn
            What became of the rows, by record kind. Files that are in already are told as repeated and not written.

        Raises
        ------
        RowsLeftOut
            If `strict` and a row would be left out.
        """
        mapping = mapping_text or (self.kept_mapping() if any(taken.sha256 for taken in takings) else "")
        again = taking_in.told_again(self.connection, takings, mapping)
        new = [taken for taken, known in zip(takings, again, strict=True) if not known]
        old = [taken for taken, known in zip(takings, again, strict=True) if known]
        if strict:
            taking_in.refuse_if_left_out(new)
        files = tuple(dict.fromkeys([*(file.file for file in known), *(taken.file for taken in old)]))
        if not new:
            return TakenIn(None, _repeated(old, new, known), {}, files)
        with self._change(), _bounded(self.connection, new):
            number = taking_in.write_import(self.connection, new, by, mapping)
            if strict:
                taking_in.refuse_if_left_out(new)
            corrected = taking_in.changed_elsewhere(self.connection, number, "corrected")
        return TakenIn(number, _added(_repeated(old, new, known), taking_in.told(self.connection, number)), corrected, files)

    def adopt(self, plan: Taken, by: str, version: int, figures: Sequence[str]) -> int:
        """Take plan rows in with what they were adopted on, all or none; return the import's number.

        Parameters
        ----------
        plan
            Rows of the kind `plan`.
        by
            Who adopts them.
        version
            Version of the ledger whose figures they rest on.
        figures
            One a row, in their order: the verdict as it was then, as JSON; empty: there was none.
        """
        with self._change(), _bounded(self.connection, [plan]):
            number = taking_in.write_import(self.connection, [plan], by, "")
            taking_in.keep_evidence(self.connection, number, version, figures)
        return number

    def put_off(self, put_offs: pl.DataFrame, by: str) -> int:
        """Write down tasks that are put off, all or none, as an import that can be undone; return its number.

        Parameters
        ----------
        put_offs
            One row a task: engine_id, vessel_id, component, position, task, until_on, until_h, put_off_on, put_off_by, because, due_on.
        by
            Who puts them off.
        """
        with self._change():
            return taking_in.write_put_offs(self.connection, put_offs, by)

    def keep_forecast(self, forecasts: pl.DataFrame, by: str) -> int:
        """Write down what is foretold of a season, all or none, as an import that can be undone; return its number.

        Parameters
        ----------
        forecasts
            One row a sort, part and base, with the columns of `received.forecasts` but for forecast_no and import_id.
        by
            Who keeps it.
        """
        with self._change():
            return taking_in.write_forecasts(self.connection, forecasts, by)

    def file_in(self, sha256: str, mapping_text: str) -> dict[str, int]:
        """Return by record kind how many rows are in of a file's bytes, read with a mapping (empty: the kept one); none if it is not in."""
        asked = {"sha256": sha256, "mapping": mapping_text or self.kept_mapping()}
        return dict(self.frame(script("files_in")[0], asked).select("kind", "rows_in").iter_rows())

    def unlisted(self, import_id: int) -> pl.DataFrame:
        """Return what rows of an import name that is in no list: `what` (engine, boat), `rows`, `ids`, `example`."""
        return self.frame(script("unlisted")[0], {"import": import_id})

    def undo(self, import_id: int, by: str) -> Undone:
        """Take an import out of every count; its rows are kept and marked, and the keys it touched are worked out again.

        Raises
        ------
        WrongInput
            If there is no such import, or it is undone already.
        """
        with self._change():
            taking_in.take_out(self.connection, import_id, by)
            restored = taking_in.changed_elsewhere(self.connection, import_id, "restored")
        rows_out = {kind: counts.rows_in for kind, counts in taking_in.told(self.connection, import_id).items()}
        said = taking_in.said_in(self.connection, import_id)
        return Undone(import_id, rows_out | said, restored)

    def settle_word(self, code_list: str, word: str, code: str, by: str) -> None:
        """Remember that a word as written stands for a code, for all rows that hold it or ever will; the last settling counts."""
        with self._change():
            self.connection.execute("delete from received.settled_words where list = ? and word = ?", [code_list, word])
            settled = [code_list, word, code, by, taking_in.now()]
            self.connection.execute("insert into received.settled_words values (?, ?, ?, ?, ?)", settled)

    def masked(self, import_id: int) -> dict[str, int]:
        """Return how much was masked in an import before it was stored, by sort (`intake.masks.SORTS`)."""
        return dict(zip(SORTS, self.frame(script("masked_told")[0], {"import": import_id}).row(0), strict=True))

    def settled_words(self) -> pl.DataFrame:
        """Words that people settled: `list`, `word`, `code`, `settled_by`, `settled_at` (UTC)."""
        return self.frame("select * from received.settled_words order by list, word")

    def settle_pair(self, call_row_id: int, ticket_row_id: int, *, same: bool, by: str, because: str = "") -> None:
        """Remember whether a call and a ticket line tell of one breakdown, by the keys of their rows; the last word on a pair counts.

        Raises
        ------
        WrongInput
            If a row is no call, or no ticket line, that counts or counted.
        """
        call = taking_in.key_of(self.connection, "rescue_calls", call_row_id)
        line = taking_in.key_of(self.connection, "service_tickets", ticket_row_id)
        with self._change():
            number = self.frame("select coalesce(max(settled_no), 0) + 1 from received.settled_pairs").item()
            settled = [number, call, line, call_row_id, ticket_row_id, same, by, taking_in.now(), because or None]
            self.connection.execute("insert into received.settled_pairs values (?, ?, ?, ?, ?, ?, ?, ?, ?)", settled)

    def settled_pairs(self) -> pl.DataFrame:
        """Pairs that people settled and whose rows count now: `call_row_id`, `ticket_row_id`, `same`, who, when (UTC) and why."""
        return self.frame(script("settled_pairs")[0])

    def settle_row(self, kind: str, row_id: int, column: str, code: str | None, by: str) -> None:
        """Remember the code of one column of one row that came without, by the row's key; the last word counts, `None` takes it back.

        Raises
        ------
        WrongInput
            If no row of that kind that counts or counted has that number.
        """
        key = taking_in.key_of(self.connection, kind, row_id)
        with self._change():
            number = self.frame("select coalesce(max(settled_no), 0) + 1 from received.settled_rows").item()
            settled = [number, kind, key, row_id, column, code, by, taking_in.now()]
            self.connection.execute("insert into received.settled_rows values (?, ?, ?, ?, ?, ?, ?, ?)", settled)

    def settled_rows(self) -> pl.DataFrame:
        """Codes that people gave to rows that count now: `row_id`, `kind`, `column`, `code`, `settled_by`, `settled_at` (UTC)."""
        return self.frame(script("settled_rows")[0])

    def reconciliation(self) -> pl.DataFrame:
        """Return what became of every row that came in: `kind`, `rows_in`, `accepted`, `repeated`, `superseded`, `left_out`."""
        return self.frame(script("reconciliation")[0])

    def kept_mapping(self) -> str:
        """Return the mapping last used by an import that stands; empty: none was."""
        used = self.frame("select mapping from received.imports where undone_at is null and mapping is not null order by import_id desc")
        return "" if used.is_empty() else used["mapping"][0]

    @contextmanager
    def _change(self) -> Iterator[None]:
        """Run the block as one transaction that raises the version; from before the commit, readers are owed a publication."""
        owed_before = self.beside.owed.exists()
        self.connection.execute("begin transaction")
        try:
            yield
            self.connection.execute("update received.state set version = version + 1")
            mark_owed(self.beside)
            self.connection.execute("commit")
        except BaseException:
            self._take_back(owed_before)
            raise
        self.changed = True

    def _take_back(self, owed_before: bool) -> None:
        try:
            self.connection.execute("rollback")
        except duckdb.Error:
            return  # the transaction is gone with the connection; the marker stays, which costs a publication of the same version
        if not owed_before:
            self.beside.owed.unlink(missing_ok=True)


def mark_owed(beside: Beside) -> None:
    """Say, so that a power cut cannot unsay it, that readers are owed a publication."""
    beside.owed.touch()
    sync_folder(beside.folder)


@contextmanager
def _bounded(connection: duckdb.DuckDBPyConnection, takings: taking_in.Takings) -> Iterator[None]:
    """Keep the memory of a large import within bounds; what does not fit goes to the disk.

    One thread writes: each of several would begin blocks of its own for every part, and all of those are written anew at the end.
    """
    if not any(isinstance(taken, Sliced) for taken in takings):
        yield
        return
    before = {name: frame_of(connection, f"select current_setting('{name}')").item() for name in BOUNDED}
    _set(connection, BOUNDED)
    try:
        yield
    finally:
        _set(connection, before)


def _set(connection: duckdb.DuckDBPyConnection, settings: Mapping[str, str | int]) -> None:
    for name, value in settings.items():
        connection.execute(f"set {name} = '{value}'")


def _repeated(old: taking_in.Takings, new: taking_in.Takings, known: Sequence[FileIn]) -> dict[str, Counts]:
    """Count the rows of files that are in already, or stand a second time among those taken."""
    first = {(taken.sha256, taken.kind): taken.rows_in for taken in new}
    rows = [(taken.kind, taken.rows_in or first.get((taken.sha256, taken.kind), 0)) for taken in old]
    counts: dict[str, Counts] = {}
    for kind, number in [*rows, *(each for file in known for each in file.rows_in.items())]:
        counts[kind] = counts.get(kind, Counts()) + Counts(rows_in=number, repeated=number)
    return counts


def _added(ours: dict[str, Counts], theirs: dict[str, Counts]) -> dict[str, Counts]:
    return {kind: ours.get(kind, Counts()) + theirs.get(kind, Counts()) for kind in {**ours, **theirs}}
