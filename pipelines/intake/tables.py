"""A grid to a table of a record kind, still text: its cells under our names, the fleet's own columns beside them.

In: the grids of one file, a mapping. Out: `Table`s, and what was passed over.
Elsewhere: which kind a header is (`recognise`), reading the texts (`cells`).
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import polars as pl

from pipelines.errors import UnknownKind
from pipelines.intake.cells import cleaned
from pipelines.intake.grids import Grid
from pipelines.intake.mapping import Mapping, Rules
from pipelines.intake.names import tidy
from pipelines.intake.recognise import Fit, fits_of, recognise
from pipelines.terms.tables import RecordKind

DRIFTED = 2
"""Known columns from which on a sheet that lacks a required one is taken for records whose header has drifted."""


@dataclass(frozen=True)
class Table:
    """A recognised table, still text: cleaned cells of our columns, and the fleet's own columns with {place in the header: name}."""

    grid: Grid
    fit: Fit
    rules: Rules
    ours: pl.DataFrame
    own: pl.DataFrame
    own_names: dict[int, str]

    @property
    def kind(self) -> RecordKind:
        """Record kind of the table."""
        return self.fit.kind


def recognised(grids: Sequence[Grid], mapping: Mapping, as_kind: str) -> tuple[list[Table], list[str]]:
    """Return the tables of a file, and a remark for each sheet that holds none.

    In a workbook of which some sheets are records, a sheet whose header has drifted still counts: its rows are left out one by one, each
    with the column it lacks. A sheet that has nothing in common with records is passed over and named.

    Raises
    ------
    UnknownKind
        If no grid fits a record kind.
    WrongMapping
        If two columns are the same column of ours.
    """
    fits: list[Fit | UnknownKind] = [_fit(grid, mapping, as_kind) for grid in grids]
    kinds = {fit.kind.name for fit in fits if isinstance(fit, Fit)}
    faults = [fit for fit in fits if isinstance(fit, UnknownKind)]
    if not kinds:
        raise faults[0]
    tables, remarks = [], []
    for grid, fit in zip(grids, fits, strict=True):
        drifted = fit if isinstance(fit, Fit) else _drifted(grid, mapping, as_kind, kinds)
        if drifted is None:
            remarks.append(f"{grid.place}: passed over, {grid.rows.height:,} rows. None of its columns is known.")
        else:
            tables.append(table_of(grid, drifted, mapping.rules(grid.file, drifted.kind.name)))
    return tables, remarks


def _fit(grid: Grid, mapping: Mapping, as_kind: str) -> Fit | UnknownKind:
    try:
        return recognise(grid.header, mapping, grid.file, grid.place, as_kind)
    except UnknownKind as fault:
        return fault


def _drifted(grid: Grid, mapping: Mapping, as_kind: str, kinds: set[str]) -> Fit | None:
    """Return the fit of a sheet whose header has drifted, of a kind of its neighbours if it can be; `None` if it is no records."""
    fits = fits_of(grid.header, mapping, grid.file, as_kind)
    near = [fit for fit in fits if fit.kind.name in kinds and fit.known >= DRIFTED] or [fit for fit in fits if fit.known >= DRIFTED]
    return near[0] if near else None


def table_of(grid: Grid, fit: Fit, rules: Rules) -> Table:
    """Put the cells of a grid under our names, and the fleet's own beside them."""
    cells = grid.rows.select(cleaned(pl.col(f"c{index}")).alias(f"c{index}") for index in range(len(grid.header)))
    repeated = _is_header(cells, grid.header)
    own_names = _own_names(grid.header, fit)
    rows = grid.rows.filter(~repeated)
    return Table(
        replace(grid, rows=rows.select("line", "raw")),
        fit,
        rules,
        _ours(cells.filter(~repeated), fit, rules),
        cells.filter(~repeated).select(pl.col(f"c{index}").alias(name) for index, name in own_names.items()),
        own_names,
    )


def _is_header(cells: pl.DataFrame, header: tuple[str, ...]) -> pl.Series:
    """Tell rows that repeat the header, as files put together from several do: they are no records."""
    same = [pl.col(f"c{index}") == name.strip() for index, name in enumerate(header) if name.strip()]
    return cells.select(pl.all_horizontal(same).fill_null(False).alias("same")).to_series() if same else pl.Series([False] * cells.height)


def _ours(cells: pl.DataFrame, fit: Fit, rules: Rules) -> pl.DataFrame:
    """Name the cells that are ours; two that make one moment are joined; constants stand where there is no such column."""
    parts: dict[str, list[pl.Expr]] = {}
    for index, target in enumerate(fit.targets):
        if target:
            parts.setdefault(target, []).append(pl.col(f"c{index}"))
    columns = [_moment_of(each).alias(name) for name, each in parts.items()]
    constant = {name: value for name, value in rules.constants.items() if name in fit.kind.column_names and name not in parts}
    return cells.select(columns).with_columns(pl.lit(value).alias(name) for name, value in constant.items())


def _moment_of(parts: list[pl.Expr]) -> pl.Expr:
    if len(parts) == 1:
        return parts[0]
    day = parts[0].str.replace(r"\s+0{1,2}:00(?::00)?$", "")
    clock = parts[1].str.replace(r"^\d{4}-\d{2}-\d{2}\s+", "")
    return pl.when(clock.is_null()).then(parts[0]).otherwise(pl.concat_str([day, clock], separator=" "))


def _own_names(header: tuple[str, ...], fit: Fit) -> dict[int, str]:
    """Name the fleet's own columns; a second of the same name gets a number, one without a name that of its place."""
    names: dict[int, str] = {}
    for index, (name, target) in enumerate(zip(header, fit.targets, strict=True)):
        if not target:
            base = tidy(name) or f"column_{index + 1}"
            names[index] = base if base not in names.values() else f"{base}_{index + 1}"
    return names
