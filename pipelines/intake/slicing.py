"""A large delimited file taken in by parts, so that memory is bounded and cells in good order cost little.

In: the path of a file, a mapping. Out: `Sliced`, whose parts are `Taken`s that together are what `taking.read_file` gives for the whole.
A part whose lines are plain is cut and typed all at once (`plain_parts`); any other is read as a small file is (`delimited`, `cells`).
What a file shows of its dates and numbers holds for all of its parts. Where its first lines show one form only, so do the others as a
rule; a part that shows another stops the reading (`ShowsOtherwise`), which then begins again with the whole file looked through first.
Elsewhere: small files and other forms (`taking`), reading lines by parts (`parts`), the transaction that is taken back (`ledger`).
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from pathlib import Path

import polars as pl

from pipelines.intake import dates, numbers
from pipelines.intake.decoding import Source, decoder_of, is_lines_of_text
from pipelines.intake.delimited import grid_of, layout_of, rows_of
from pipelines.intake.evidence import Evidence, gather
from pipelines.intake.identity import MADE, MADE_ID
from pipelines.intake.layouts import Layout
from pipelines.intake.mapping import Mapping
from pipelines.intake.mending import LONGEST_ROW
from pipelines.intake.parts import LINE_END, MARK, Lines, Recode, opened
from pipelines.intake.plain_parts import Plain, PlainForm, plain_part
from pipelines.intake.recognise import known_names
from pipelines.intake.tables import Table, recognised, table_of
from pipelines.intake.taking import IN_NUMBERS, IN_TIME, LEFT_OUT_SCHEMA, Looked, Taken, checked, evidence_of

FROM_BYTES = 24_000_000
"""Size from which on a file is taken in by parts."""
FIRST, PART = 1 << 18, 1 << 24
"""Bytes of the first part, which is read with care and shows the form, and of the others."""
FEWEST_COLUMNS = 2
Progress = Callable[[int, int], None]
"""Told how many bytes of how many are done."""


class ShowsOtherwise(Exception):
    """A later part of the file shows another form of dates or numbers than the first; the whole must be looked through first."""

    def __init__(self, sliced: "Sliced") -> None:
        super().__init__(sliced.file)
        self.sliced = sliced


class NotUtf8(Exception):
    """The file is not all UTF-8, so that only the whole of it shows how it is decoded (`recoded`)."""

    def __init__(self, path: Path) -> None:
        super().__init__(path.name)
        self.path = path


class NeedsWhole(Exception):
    """The file cannot be read by parts: it has tickets whose lines are told apart over the whole file only, or is a damaged UTF-8 one."""

    def __init__(self, path: Path) -> None:
        super().__init__(path.name)
        self.path = path


def _nothing_said(done: int, of: int) -> None:
    """Say nothing of how far the reading is."""


@dataclass
class Sliced:
    """One large file, recognised, whose rows are read when they are asked for.

    Attributes
    ----------
    path, layout, table, evidence
        Where it lies, how it is cut, its first lines, and what they (or, once it is settled, all lines) show.
    sha256, remarks
        As of `Taken`.
    today
        Day of taking in; `None`: today.
    settled
        Whether the whole file was looked through for its form.
    recode
        Makes its lines UTF-8; `None`: they are.
    progress
        Told how far the reading is.
    rows_in
        Rows given so far.
    """

    path: Path
    layout: Layout
    table: Table
    evidence: Evidence
    sha256: str
    today: date | None = None
    recode: Recode | None = None
    settled: bool = False
    remarks: tuple[str, ...] = ()
    progress: Progress = _nothing_said
    rows_in: int = 0
    faults: list[pl.DataFrame] = field(default_factory=list)
    sheet: str = ""

    @property
    def kind(self) -> str:
        """Name of the record kind."""
        return self.table.kind.name

    @property
    def file(self) -> str:
        """Name of the file."""
        return self.path.name

    @property
    def header(self) -> tuple[str, ...]:
        """Column names as written."""
        return self.layout.header

    @property
    def left_out(self) -> pl.DataFrame:
        """Rows left out so far, as of `Taken`."""
        return pl.concat(self.faults) if self.faults else pl.DataFrame(schema=LEFT_OUT_SCHEMA)

    def slices(self) -> Iterator[Taken]:
        """Read the file part by part.

        Raises
        ------
        ShowsOtherwise
            If a part shows another form than the first lines did and the file was not settled; what was given must be taken back.
        NotUtf8, NeedsWhole
            If the file is to be decoded otherwise, or cannot be read by parts after all; the same holds.
        UnreadableFile
            If the file is changed while it is read.
        """
        self.rows_in, self.faults = 0, []
        with Lines.of(self.path, self.recode) as lines:
            while data := lines.part(PART if lines.line > 1 else FIRST):
                taken = replace(self._part(lines, data), sha256=self.sha256)
                self.rows_in += taken.rows_in
                self.faults.append(taken.left_out)
                self.progress(min(lines.done, lines.size), lines.size)
                yield taken

    def settle(self) -> "Sliced":
        """Return this file with the whole of it looked through for the form of its dates and numbers, column by column."""
        found: dict[str, pl.Series] = {}
        with Lines.of(self.path, self.recode) as lines:
            while data := lines.part(FIRST if lines.line == 1 else PART):
                table = self._careful(lines, data)
                for name in _formed(table):
                    texts = table.ours[name].drop_nulls()
                    found[name] = pl.concat([found[name], texts]).unique() if name in found else texts.unique()
        return self.as_shown(gathered(self.table, found))

    def as_shown(self, evidence: Evidence) -> "Sliced":
        """Return this file with the form that the whole of it shows."""
        said = self.table.rules
        remarks = evidence.remarks(self.file, order_said=bool(said.date_order), mark_said=bool(said.decimal))
        return replace(self, evidence=evidence, remarks=tuple(remarks), settled=True)

    def _part(self, lines: Lines, data: bytes) -> Taken:
        plain = self._plain(lines, data) if lines.line > self.layout.line else None
        if plain is not None:
            lines.take(len(data))
            taken, showing = plain.taken, plain.showing
        else:
            table = self._careful(lines, data)
            taken = checked(Looked("", [table], self.evidence, []), 0, self.today)
            showing = {name: table.ours[name].drop_nulls().unique() for name in _formed(table)}
        if not self.settled and shows_otherwise(self.table, showing):
            raise ShowsOtherwise(self)
        if _told_apart_over_all(taken):
            raise NeedsWhole(self.path)
        return taken

    def _plain(self, lines: Lines, data: bytes) -> Plain | None:
        latest = (self.today or date.today()) + timedelta(days=1)
        return plain_part(PlainForm(self.table, self.layout, self.evidence, latest), lines.line, data)

    def _careful(self, lines: Lines, data: bytes) -> Table:
        """Cut a part as a small file is cut, looking ahead so that its last row is whole, and take from the lines what it used."""
        ahead = lines.ahead(len(data), LONGEST_ROW)
        first, beyond = lines.line, lines.line + data.count(LINE_END) + (not data.endswith(LINE_END))
        records, torn = rows_of(_text(self.path, data + ahead), self.layout, first)
        next_row = _first_from(records, torn, beyond)
        lines.take_lines(next_row - first if next_row is not None else None, len(data) + len(ahead))
        own = pl.col("line").is_between(self.layout.line + 1, beyond - 1)
        grid = grid_of(self.file, records.filter(own), torn.filter(own), self.layout)
        return table_of(grid, self.table.fit, self.table.rules)


def open_sliced(
    path: Path, sha256: str, mapping: Mapping, as_kind: str = "", today: date | None = None, recode: Recode | None = None
) -> Sliced | None:
    """Recognise a large delimited file by its first lines; nothing if it is of another form or not for reading by parts.

    Raises
    ------
    UnknownKind
        If its columns fit no record kind.
    WrongMapping
        If two of its columns are the same column of ours.
    NeedsWhole
        If it cannot be read by parts.
    """
    try:
        sliced = _recognised(path, mapping, as_kind, recode)
        if sliced is None:
            return None
        sliced = replace(sliced, sha256=sha256, today=today)
        return sliced if one_form(sliced.table, sliced.evidence) else sliced.settle()
    except NotUtf8:
        return open_sliced(path, sha256, mapping, as_kind, today, recoded(path))


def recoded(path: Path) -> Recode:
    """Look a file through for how its lines are decoded, and return what makes them UTF-8.

    Raises
    ------
    NeedsWhole
        If it is marked as UTF-8 and is not.
    """
    with opened(path) as file:
        if file.peek(len(MARK)).startswith(MARK):  # type: ignore[attr-defined]
            raise NeedsWhole(path)
        decoded = decoder_of(path.name, iter(lambda: file.read(PART) + file.readline(), b""))
    return lambda lines: decoded(lines).encode()


def _recognised(path: Path, mapping: Mapping, as_kind: str, recode: Recode | None) -> Sliced | None:
    with Lines.of(path, recode) as lines:
        first = lines.part(FIRST)
    if not is_lines_of_text(Source(path.name, first)):
        return None
    text = _text(path, first)
    layout = layout_of(text, lambda row: known_names(row, mapping, path.name, as_kind))
    grid = grid_of(path.name, *rows_of(text.split("\n", layout.line - 1)[-1], layout, layout.line), layout)
    tables, _ = recognised([grid], mapping, as_kind)
    targets = [target for target in tables[0].fit.targets if target]
    if len(set(targets)) < len(targets) or len(layout.header) < FEWEST_COLUMNS or tables[0].ours.is_empty():
        return None
    return Sliced(path, layout, tables[0], evidence_of(tables), "", recode=recode)


def one_form(table: Table, evidence: Evidence) -> bool:
    """Whether first lines show nothing of the order of dates, and only decimal points."""
    columns = [column for column in table.kind.columns if column.name in table.ours.columns]
    plain_dates = bool(table.rules.date_order) or (not any(evidence.orders.whole) and not evidence.year_first)
    marks = {table.rules.decimal or evidence.mark(column.name) for column in columns if column.type in IN_NUMBERS}
    return plain_dates and marks <= {"."} and (bool(table.rules.decimal) or not evidence.marks.whole[1])


def shows_otherwise(table: Table, showing: dict[str, pl.Series]) -> bool:
    """Whether texts show an order of dates, or another mark than the point."""
    return any(_shows(table, name, texts.drop_nulls()) for name, texts in showing.items())


def _shows(table: Table, name: str, texts: pl.Series) -> bool:
    column = table.kind.column(name)
    if column.type in IN_NUMBERS:
        return not table.rules.decimal and numbers.marks_shown(texts, column.unit)[1] > 0
    if table.rules.date_order:
        return False
    found = dates.numbered(texts)
    return bool(found.select(((pl.col("one") > 12) | (pl.col("two") > 12) | ~pl.col("wide")).any()).item())


def gathered(table: Table, found: dict[str, pl.Series]) -> Evidence:
    """Return what all the texts of a file show."""
    columns = [table.kind.column(name) for name in found]
    in_time = [(column.name, found[column.name]) for column in columns if column.type in IN_TIME]
    in_numbers = [(column.name, column.unit, found[column.name], False) for column in columns if column.type in IN_NUMBERS]
    return gather(in_time, in_numbers, table.grid.point)


def _formed(table: Table) -> list[str]:
    """Return our columns of a table whose texts have a form."""
    return [column.name for column in table.kind.columns if column.type in (*IN_TIME, *IN_NUMBERS) and column.name in table.ours.columns]


def _told_apart_over_all(taken: Taken) -> bool:
    """Whether a row is a line of a ticket without a number: which job of the ticket it is, only the whole file tells."""
    if taken.kind != "service_tickets":
        return False
    return bool(taken.rows.select((pl.col("line_no").is_null() & (pl.col(MADE).fill_null("") != MADE_ID)).any()).item())


def _first_from(records: pl.DataFrame, torn: pl.DataFrame, line: int) -> int | None:
    """Return the line of the first row that begins on `line` or below it."""
    starts = pl.concat([records["line"], torn["line"]])
    return starts.filter(starts >= line).min()  # type: ignore[return-value]


def _text(path: Path, data: bytes) -> str:
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError as fault:
        raise NotUtf8(path) from fault
