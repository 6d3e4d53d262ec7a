"""Small fleets written as text tables, so that a rule of lives is one readable test.

The yard of these tests: boat V1 with the single engine E1, both new on 2020-01-01 with records from that day, an hour meter that gains one
hour a day, and one impeller on every engine. So an age in hours is an age in days. The last day known is 2022-12-31.
A table given by a test takes the place of the yard's own; columns that it does not name have the values of `USUAL`.
"""

from collections.abc import Mapping
from datetime import date, datetime

import polars as pl

from pipelines.ledger.tables_from_terms import accepted_columns
from pipelines.ledger.workbench import Workbench, scratch
from pipelines.lives.lives import derive
from pipelines.terms.causes import CAUSES, remedy_of
from pipelines.terms.settings import Settings
from pipelines.terms.tables import RECORD_KINDS
from pipelines.terms.vocabulary import VOCABULARY_TABLES

LAST_DAY = date(2022, 12, 31)
YARD = {
    "vessels": """vessel_id | base  | in_service_on | tickets_from_on
                  V1        | North | 2020-01-01    | 2020-01-01""",
    "engines": """engine_id | vessel_id | place  | drive    | fuel   | engine_model | commissioned_on
                  E1        | V1        | single | outboard | petrol | M1           | 2020-01-01""",
    "hour_readings": """engine_id | read_on    | meter_h
                        E1        | 2020-01-01 | 0
                        E1        | 2022-12-31 | 1095""",
    "fitted": """component
                 impeller""",
}
USUAL = {
    "service_tickets": {"engine_id": "E1", "component": "impeller", "action": "renew"},
    "rescue_calls": {"vessel_id": "V1"},
    "hour_readings": {"engine_id": "E1"},
    "plan": {"component": "impeller"},
    "limits": {"component": "impeller", "task": "renew"},
}
CATALOGUE = """component     | carried_by | hidden | drives              | named
               impeller      | engine     | no     |                     | no
               belt          | engine     | no     | inboard; sterndrive | no
               start battery | vessel     | no     |                     | no
               bilge pump    | vessel     | yes    |                     | no
               thermostat    | engine     | no     |                     | no"""
CODES = {
    "raw-water pump impeller": "impeller",
    "drive belt": "belt",
}


def rows_of(text: str) -> list[dict[str, str]]:
    """Read a text table: one header line, cells between bars, an empty cell left out."""
    lines = [[cell.strip() for cell in line.split("|")] for line in text.strip().splitlines()]
    return [{name: cell for name, cell in zip(lines[0], line, strict=True) if cell} for line in lines[1:]]


def bench_from(**tables: str) -> Workbench:
    """Derive everything from the yard's records and those given, as {record kind or `catalogue`: text table}."""
    return bench_as(Settings(), LAST_DAY, tables)


def bench_as(settings: Settings, as_of: date | None, tables: Mapping[str, str]) -> Workbench:
    """Derive the same with other settings, or as known on another day."""
    bench = scratch()
    put_vocabulary(bench, tables.get("catalogue", CATALOGUE))
    row_id = 0
    for kind, text in (YARD | {kind: text for kind, text in tables.items() if kind != "catalogue"}).items():
        rows = [usual_for(kind, row) | row for row in rows_of(text)]
        put_records(bench, kind, rows, row_id)
        row_id += 100
    derive(bench, as_of, settings)
    return bench


def usual_for(kind: str, row: dict[str, str]) -> dict[str, str]:
    """What a row means where it says nothing; a ticket that names a boat names no engine unless it does."""
    usual = USUAL.get(kind, {})
    return {name: word for name, word in usual.items() if not (name == "engine_id" and "vessel_id" in row)}


def put_records(bench: Workbench, kind: str, rows: list[dict[str, str]], first_row: int) -> None:
    """Put rows of text into an accepted table; `row_id` counts from `first_row` + 1."""
    columns = accepted_columns(RECORD_KINDS[kind])
    numbered = [{"row_id": str(first_row + at)} | row for at, row in enumerate(rows, start=1)]
    bench.put(f"accepted.{kind}", typed(numbered, columns))


def put_vocabulary(bench: Workbench, catalogue: str) -> None:
    """Put the catalogue given and the trade's cause tree, in the short words of these tests."""
    columns = {column.name: column.type.value for column in VOCABULARY_TABLES["catalogue"].columns}
    bench.put("accepted.catalogue", typed([_short(row) for row in rows_of(catalogue)], columns))
    tree = [
        {
            "cause": cause.code,
            "system": cause.system,
            "remedy": remedy_of(cause.code),
            "component": CODES.get(cause.component, cause.component),
            "effect": cause.effect.value,
        }
        for cause in CAUSES.values()
    ]
    bench.put("accepted.cause_tree", pl.DataFrame(tree))


def _short(row: dict[str, str]) -> dict[str, str]:
    return {name: cell.replace("; ", ";") for name, cell in row.items()}


def typed(rows: list[dict[str, str]], columns: Mapping[str, str]) -> pl.DataFrame:
    """Give rows of text the types of a table; a column that no row names is empty."""
    readers = {
        "VARCHAR": (pl.String, str),
        "DATE": (pl.Date, date.fromisoformat),
        "TIMESTAMP": (pl.Datetime("us"), datetime.fromisoformat),
        "DOUBLE": (pl.Float64, float),
        "BIGINT": (pl.Int64, int),
        "BOOLEAN": (pl.Boolean, lambda word: word == "yes"),
    }
    unknown = {name for row in rows for name in row} - set(columns)
    assert not unknown, f"no such columns: {unknown}"
    return pl.DataFrame(
        {
            name: pl.Series([readers[kind][1](row[name]) if name in row else None for row in rows], dtype=readers[kind][0])
            for name, kind in columns.items()
        }
    )


def lives_from(**tables: str) -> list[tuple]:
    """Lives of one part as (age at entry, low, high, ending) in engine hours, in order of position and beginning.

    A failed life has low = high; one that had not failed has high `None`.
    """
    with bench_from(**tables) as bench:
        return lives_in(bench)


def lives_in(bench: Workbench) -> list[tuple]:
    """Return the lives of a derived bench in the form of `lives_from`."""
    frame = bench.frame("select * from derived.lives order by engine_id, vessel_id, component, position, began_on")
    return frame.select(pl.col("entry_h", "low_h", "high_h").round(1), "ending").rows()


def left_out_of(bench: Workbench) -> list[str]:
    """Reasons for what was left out, in alphabetical order."""
    return bench.frame("select reason from derived.left_out_of_lives order by reason")["reason"].to_list()


def hours_in(bench: Workbench) -> dict[str, float]:
    """Trusted engine hours of E1 as {day: hours since commissioning}."""
    frame = bench.frame("select on_date, hours from derived.clean_hours where engine_id = 'E1' order by on_date")
    return {day.isoformat(): round(hours, 1) for day, hours in frame.iter_rows()}


def hours_from(readings: str, **tables: str) -> dict[str, float]:
    """Trusted hours told from readings of E1 given as a text table with read_on and meter_h."""
    with bench_from(hour_readings=readings, **tables) as bench:
        return hours_in(bench)


def set_aside_in(bench: Workbench) -> dict[str, float]:
    """Readings that were not believed, as {day: meter_h}."""
    frame = bench.frame("select on_date, meter_h from derived.hours_set_aside order by on_date")
    return {day.isoformat(): meter for day, meter in frame.iter_rows()}
