"""From accepted records to lives: runs the SQL files of this room in order.

In: a workbench that has `accepted.*`. Out: the tables of `terms.derived` in its schema `derived`, and what they are made through.
Elsewhere: frames for other rooms (`frames`), how often what fails (`fits`).
"""

from dataclasses import dataclass
from datetime import date
from functools import cache
from importlib.resources import files

import polars as pl

from pipelines.ledger.workbench import Workbench
from pipelines.terms.causes import CAUSES
from pipelines.terms.derived import DERIVED_TABLES
from pipelines.terms.settings import Settings


@dataclass(frozen=True)
class Rounds:
    """A table that is made several times, each round from the one before, since portable SQL has no loop.

    Attributes
    ----------
    steps
        Files that a round is made of; each makes the next state.
    state
        Table they read what stood before from.
    first
        What the state is before the first round, as a query.
    times
        How many rounds; enough when one more changes nothing in practice.
    """

    steps: tuple[str, ...]
    state: str
    first: str
    times: int


BELIEVED = Rounds(("slip_round", "run_round"), "meter_believed", "select * from derived.stuck_readings", 4)
SEASON = Rounds(("season_round",), "season", "select * from derived.first_season", 8)
MATCHED = Rounds(("match_round",), "match_found", "select * from derived.match_settled", 4)

ORDER: tuple[str | Rounds, ...] = (
    *("engine_places", "boats", "engines_by_meter", "record_engines", "watches", "calendar"),
    *("meter_readings", "trip_days", "stuck_readings", "engine_pace", BELIEVED),
    *("meter_hours", "clean_hours", "hours_set_aside", "trip_hours"),
    *("hours_wanted", "hours_beside", "use_pieces", "first_season", SEASON, "engine_season", "engine_use", "season_calendar", "hours_at"),
    *("row_hours", "engine_months"),
    *("placed_lines", "fitted_positions", "numbered_positions", "carriers", "positions", "job_lines", "jobs"),
    *("call_lines", "calls_once", "match_jobs", "settled_jobs", "match_settled"),
    *("match_rates", "match_shown", "match_symptoms", "match_pairs", "match_delays", "match_candidates"),
    *(MATCHED, "matches", "doubtful_pairs", "calls"),
    *("findings", "renewals", "lost_tickets", "turns", "spells", "life_engines", "first_intervals", "life_ages"),
    *("lives", "life_evidence", "left_out_of_lives", "fitted_now"),
)


def _made_by(step: str | Rounds) -> set[str]:
    return {*step.steps, step.state} if isinstance(step, Rounds) else {step}


_IN_BETWEEN = {"cause_symptoms", *(name for step in ORDER for name in _made_by(step))} - set(DERIVED_TABLES)


def derive(bench: Workbench, as_of: date | None, settings: Settings) -> None:
    """Make every table of the schema `derived` that lives are told by.

    Parameters
    ----------
    bench
        Has `accepted.*`; gets the tables of `DERIVED_TABLES`, in place of what stood there. Tables made on the way are dropped again.
    as_of
        Last day that is known: rows dated later are not seen. `None`: the last day in the records.
    settings
        `condition_fraction` and `match_days` are used.
    """
    as_of = as_of or last_date(bench)
    bench.run("begin transaction")
    try:
        bench.put("derived.parameters", _parameters(as_of, settings))
        bench.put("derived.cause_symptoms", _cause_symptoms())
        _make_all(bench)
    except BaseException:
        bench.run("rollback")
        raise
    bench.run("commit")


def last_date(bench: Workbench) -> date | None:
    """Return the last day on which anything happened by the accepted records; `None`: there are none."""
    return bench.frame(_text("last_date")).item()


def _make_all(bench: Workbench) -> None:
    """Run the files in order; what they make on the way is dropped before it is written out, which keeps a copy a third as large."""
    for step in ORDER:
        if isinstance(step, Rounds):
            _repeat(bench, step)
        else:
            _make(bench, step)
    for name in sorted(_IN_BETWEEN):
        bench.run(f"drop table derived.{name}")


def _make(bench: Workbench, name: str) -> None:
    bench.run(f"create or replace table derived.{name} as {_text(name)}")


def _repeat(bench: Workbench, rounds: Rounds) -> None:
    bench.run(f"create or replace table derived.{rounds.state} as {rounds.first}")
    for step in rounds.steps * rounds.times:
        _make(bench, step)
        bench.run(f"create or replace table derived.{rounds.state} as select * from derived.{step}")


@cache
def _text(name: str) -> str:
    return files("pipelines.lives").joinpath(f"{name}.sql").read_text(encoding="utf-8")


def _parameters(as_of: date | None, settings: Settings) -> pl.DataFrame:
    return pl.DataFrame(
        {"as_of": [as_of], "condition_fraction": [settings.condition_fraction], "match_days": [settings.match_days]},
        schema={"as_of": pl.Date, "condition_fraction": pl.Float64, "match_days": pl.Int64},
    )


def _cause_symptoms() -> pl.DataFrame:
    pairs = [(cause.code, symptom) for cause in CAUSES.values() for symptom in cause.symptoms]
    return pl.DataFrame(pairs, schema=["cause", "symptom"], orient="row")
