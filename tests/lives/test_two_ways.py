"""The SQL files against a plain second way of telling lives, on seeded random records."""

from datetime import date, timedelta
from random import Random
from typing import Any

import polars as pl
import pytest

from pipelines.ledger.tables_from_terms import accepted_columns
from pipelines.ledger.workbench import Workbench, scratch
from pipelines.lives.lives import derive
from pipelines.terms.settings import Settings
from pipelines.terms.tables import RECORD_KINDS
from tests.lives.reference_lives import reference_lives
from tests.lives.reference_records import Row, World
from tests.support.lives_tables import put_vocabulary

FIRST, AS_OF = date(2014, 1, 1), date(2022, 12, 31)
CATALOGUE = """component     | carried_by | hidden | drives | named
               impeller      | engine     | no     |        | no
               belt          | engine     | no     |        | no
               start battery | vessel     | no     |        | no
               bilge pump    | vessel     | yes    |        | no
               trim relay    | engine     | yes    |        | no"""
PARTS = {
    "inboard": ("impeller", "impeller", "belt", "start battery", "bilge pump"),
    "outboard": ("impeller", "impeller", "start battery", "bilge pump", "trim relay"),
}
FITTED: list[Row] = [
    {"component": "impeller", "drive": None, "positions": None},
    {"component": "belt", "drive": "inboard", "positions": "inner; outer"},
    {"component": "start battery", "drive": None, "positions": None},
    {"component": "bilge pump", "drive": None, "positions": "fore;aft"},
    {"component": "trim relay", "drive": "outboard", "positions": ""},
]
PLAN: list[Row] = [
    {"component": "impeller", "every_h": 600.0, "every_months": None},
    {"component": "belt", "every_h": 2500.0, "every_months": 30.0},
    {"component": "start battery", "every_h": None, "every_months": 40.0},
    {"component": "bilge pump", "every_h": None, "every_months": 60.0},
]


def day_between(random: Random, first: date, last: date) -> date:
    return first + timedelta(days=random.randrange((last - first).days + 1))


def random_fleet(random: Random, boats: int) -> dict[str, list[Row]]:
    """Boats with one engine or two, a few of them sold, a few engines moved or withdrawn."""
    vessels, engines, moves = [], [], []
    for number in range(boats):
        vessel = f"V{number:02d}"
        born = day_between(random, FIRST, date(2020, 6, 1))
        sold = day_between(random, date(2021, 6, 1), date(2022, 11, 1)) if random.random() < 0.15 else None
        tickets_from = day_between(random, date(2016, 1, 1), date(2018, 1, 1))
        vessels.append({"vessel_id": vessel, "in_service_on": born, "withdrawn_on": sold, "tickets_from_on": tickets_from})
        for place in ("port", "starboard") if random.random() < 0.25 else ("single",):
            new = born + timedelta(days=random.choice((0, 0, 3, 30)))
            gone = day_between(random, date(2021, 1, 1), date(2022, 6, 1)) if random.random() < 0.1 else None
            drive = random.choice(("outboard", "inboard"))
            name = f"E{len(engines):02d}"
            engines.append(
                {"engine_id": name, "vessel_id": vessel, "place": place, "drive": drive, "commissioned_on": new, "withdrawn_on": gone}
            )
            if random.random() < 0.15 and gone is None and sold is None and number:
                day = day_between(random, date(2020, 7, 1), date(2021, 6, 1))
                moves.append({"engine_id": name, "vessel_id": f"V{random.randrange(number):02d}", "place": place, "moved_on": day})
    return {"vessels": vessels, "engines": engines, "engine_moves": moves, "fitted": FITTED, "plan": PLAN}


def random_tickets(random: Random, fleet: dict[str, list[Row]], pace: dict[str, float], count: int) -> list[Row]:
    """Lines of all kinds; now and then one says again what another said, or follows it by a few days."""
    lines: list[Row] = []
    while len(lines) < count:
        engine = random.choice(fleet["engines"])
        line = {"component": random.choice(PARTS[engine["drive"]]), "done_on": day_between(random, engine["commissioned_on"], AS_OF)}
        if lines and random.random() < 0.25:
            last = lines[-1]
            engine = next(each for each in fleet["engines"] if each["engine_id"] == last["owner"])
            line = {"component": last["component"], "done_on": min(last["done_on"] + timedelta(days=random.randrange(1, 6)), AS_OF)}
        names_engine = random.random() < 0.7
        run = round(pace[engine["engine_id"]] * (line["done_on"] - engine["commissioned_on"]).days, 4)
        lines.append(
            line
            | {
                "owner": engine["engine_id"],
                "engine_id": engine["engine_id"] if names_engine else None,
                "vessel_id": None if names_engine else engine["vessel_id"],
                "place": engine["place"] if random.random() < 0.7 else None,
                "meter_h": run if names_engine and random.random() < 0.5 else None,
                "position": random.choice((None, "inner", "outer", "fore", "aft")),
                "action": random.choice(("renew",) * 5 + ("fit", "inspect", "test", "test", "clean", "repair")),
                "reason": random.choice((None, "planned", "planned", "failed", "failed", "condition", "opportunistic")),
                "finding": random.choice((None, None, "sound", "worn", "failed", "outside damage", "no fault found")),
                "cause": random.choice((None, None, None, "belt broken", "impeller failed", "impeller burnt, run dry")),
            }
        )
    return lines


def random_calls(random: Random, fleet: dict[str, list[Row]], tickets: list[Row], count: int) -> list[Row]:
    """Calls on days of their own, many of them a few days before a ticket."""
    calls: dict[tuple[str, date], Row] = {}
    for _ in range(count):
        ticket = random.choice(tickets)
        engine = next(each for each in fleet["engines"] if each["engine_id"] == ticket["owner"])
        day = ticket["done_on"] - timedelta(days=random.randrange(0, 35))
        if day < engine["commissioned_on"]:
            continue
        moved = any(move["engine_id"] == engine["engine_id"] and move["moved_on"] <= day for move in fleet["engine_moves"])
        calls[engine["vessel_id"], day] = {
            "vessel_id": engine["vessel_id"],
            "engine_id": engine["engine_id"] if random.random() < 0.6 and not moved else None,
            "called_at": day,
            "symptom": random.choice((None, "overheats", "won't start, no crank")),
            "cause": random.choice((None, None, "impeller failed", "belt broken", "battery worn out", "fuel exhausted")),
            "component": random.choice((None, ticket["component"])),
            "outcome": random.choice(("towed", "towed", "fixed aboard", None)),
        }
    return list(calls.values())


def put(bench: Workbench, kind: str, rows: list[Row], first_row: int) -> None:
    """Put rows into an accepted table with every column it has."""
    kinds = {
        "VARCHAR": pl.String,
        "DATE": pl.Date,
        "TIMESTAMP": pl.Datetime("us"),
        "DOUBLE": pl.Float64,
        "BIGINT": pl.Int64,
        "BOOLEAN": pl.Boolean,
    }
    columns = {name: kinds[kind] for name, kind in accepted_columns(RECORD_KINDS[kind]).items()}
    numbered = [row | {"row_id": first_row + at} for at, row in enumerate(rows)]
    bench.put(
        f"accepted.{kind}",
        pl.DataFrame({name: pl.Series([row.get(name) for row in numbered], dtype=kind) for name, kind in columns.items()}),
    )
    for row, own in zip(rows, numbered, strict=True):
        row["row_id"] = own["row_id"]


def both_ways(seed: int, boats: int) -> tuple[dict[str, Any], dict[str, Any]]:
    """Tell the lives of a random fleet by SQL and by the second way."""
    random = Random(seed)
    records = random_fleet(random, boats)
    pace = {engine["engine_id"]: random.choice((0.5, 1.0, 2.5)) for engine in records["engines"]}
    records["service_tickets"] = random_tickets(random, records, pace, boats * 40)
    records["rescue_calls"] = random_calls(random, records, records["service_tickets"], boats * 8)
    born = {engine["engine_id"]: engine["commissioned_on"] for engine in records["engines"]}
    records["hour_readings"] = [
        {"engine_id": name, "read_on": day, "meter_h": pace[name] * (day - born[name]).days}
        for name in born
        for day in (born[name] + timedelta(days=200), AS_OF)
    ]
    with scratch() as bench:
        put_vocabulary(bench, CATALOGUE)
        for at, (kind, rows) in enumerate(records.items()):
            put(bench, kind, rows, at * 100_000 + 1)
        derive(bench, AS_OF, Settings())
        pairs = bench.frame("select call_row_id, ticket_row_id, certainty from derived.matches")
        causes = {row["cause"]: row for row in bench.frame("select * from accepted.cause_tree").iter_rows(named=True)}
        parts = {row["component"]: row for row in bench.frame("select * from accepted.catalogue").iter_rows(named=True)}
        told = bench.frame("select * from derived.lives").join(
            bench.frame("select * from derived.positions where source = 'fitted'"),
            on=["engine_id", "vessel_id", "component", "position"],
            how="semi",
            nulls_equal=True,
        )
    world = World(
        records["vessels"],
        records["engines"],
        records["engine_moves"],
        records["fitted"],
        records["service_tickets"],
        [call | {"called_on": call["called_at"]} for call in records["rescue_calls"]],
        records["plan"],
        parts,
        causes,
        {call: (line, certainty) for call, line, certainty in pairs.iter_rows()},
        AS_OF,
        lambda engine, day: pace[engine] * max((day - born[engine]).days, 0),
    )
    ages = [f"{part}_{clock}" for clock in ("h", "months") for part in ("entry", "low", "high")]
    told = told.with_columns(pl.col(ages).round(2)).select("life_id", "ended_on", *ages, "ending", "doubtful")
    return {row[0]: row[1:] for row in told.iter_rows()}, reference_lives(world)


def differences(one: dict[str, Any], other: dict[str, Any]) -> list[str]:
    """Lives that only one way tells, or that the two tell differently by more than a hundredth."""
    found = [f"{life}: {one.get(life)} / {other.get(life)}" for life in sorted(one.keys() ^ other.keys())]
    for life in sorted(one.keys() & other.keys()):
        alike = all(
            abs(a - b) <= 0.011 if isinstance(a, float) and isinstance(b, float) else a == b
            for a, b in zip(one[life], other[life], strict=True)
        )
        if not alike:
            found.append(f"{life}: {one[life]} / {other[life]}")
    return found


@pytest.mark.parametrize("seed", [1, 2])
def test_both_ways_tell_the_same_lives(seed: int):
    by_sql, by_hand = both_ways(seed, boats=12)
    assert len(by_hand) > 150
    assert differences(by_sql, by_hand) == []


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(10, 16))
def test_both_ways_tell_the_same_thousands_of_lives(seed: int):
    by_sql, by_hand = both_ways(seed, boats=60)
    assert len(by_hand) > 1_000
    assert differences(by_sql, by_hand) == []
