"""What a column is: its type, unit and meaning, said once.

In: nothing. Out: `Column` and the types a column can have. The DuckDB tables, the intake checks, the glossary
and the export headers are all made from these declarations.
Elsewhere: which columns make a record kind (`tables`), what a coded column may hold (`components`, `causes`, `codes`).
"""

from dataclasses import dataclass
from enum import StrEnum

import polars as pl


class ColumnType(StrEnum):
    """How the text of a cell is read; the value is the DuckDB type it is stored as."""

    TEXT = "VARCHAR"
    DATE = "DATE"
    MOMENT = "TIMESTAMP"
    NUMBER = "DOUBLE"
    WHOLE = "BIGINT"
    YES_NO = "BOOLEAN"


POLARS_TYPES: dict[ColumnType, pl.DataType] = {
    ColumnType.TEXT: pl.String(),
    ColumnType.DATE: pl.Date(),
    ColumnType.MOMENT: pl.Datetime("us"),
    ColumnType.NUMBER: pl.Float64(),
    ColumnType.WHOLE: pl.Int64(),
    ColumnType.YES_NO: pl.Boolean(),
}


@dataclass(frozen=True)
class Column:
    """One column of one table.

    Attributes
    ----------
    name
        As it stands in files, tables and JSON; ends in its unit where it has one (`_h`, `_on`, `_months`).
    type
        How it is read and stored.
    unit
        SI or trade unit in words; empty for text.
    meaning
        One sentence a yard would understand.
    required
        A row whose cell is empty is left out.
    coded_as
        Name of the code list (`codes.CODE_LISTS`) that its words are coded by; empty: free text.
    low
        Least value allowed; `None`: no bound.
    """

    name: str
    type: ColumnType
    meaning: str
    unit: str = ""
    required: bool = False
    coded_as: str = ""
    low: float | None = None

    @property
    def polars_type(self) -> pl.DataType:
        """The Polars type this column is held as in memory."""
        return POLARS_TYPES[self.type]


def text(name: str, meaning: str, *, required: bool = False, coded_as: str = "") -> Column:
    """Declare a column of words."""
    return Column(name, ColumnType.TEXT, meaning, required=required, coded_as=coded_as)


def date(name: str, meaning: str, *, required: bool = False) -> Column:
    """Declare a column of calendar dates (ISO 8601)."""
    return Column(name, ColumnType.DATE, meaning, "date", required)


def moment(name: str, meaning: str, *, required: bool = False) -> Column:
    """Declare a column of dates with an optional time of day; a bare date is midnight."""
    return Column(name, ColumnType.MOMENT, meaning, "date and time", required)


def number(name: str, unit: str, meaning: str, *, required: bool = False, low: float | None = 0.0) -> Column:
    """Declare a column of decimal numbers, by default 0 or more."""
    return Column(name, ColumnType.NUMBER, meaning, unit, required, low=low)


def whole(name: str, unit: str, meaning: str, *, required: bool = False, low: float | None = 0.0) -> Column:
    """Declare a column of whole numbers, by default 0 or more."""
    return Column(name, ColumnType.WHOLE, meaning, unit, required, low=low)


def yes_no(name: str, meaning: str) -> Column:
    """Declare a column that says yes or no; empty is unknown."""
    return Column(name, ColumnType.YES_NO, meaning, "yes or no")
