"""Lives told from records against the lives that really were: run by hand, it prints the shares.

    python -m tests.whole.lives_against_truth --boats 100 --seasons 6 --seed 11 [--clean]

In: a generated fleet. Out: share of lives whose age is within 2 % or 10 h, failures found and false, calls matched rightly.
A life counts as known when its part went in while tickets were kept, or its fitting day was told; the rest has to be left out.
"""

import argparse
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
import polars as pl

from pipelines.ledger.workbench import Workbench
from pipelines.lives.lives import derive
from pipelines.terms.settings import Settings
from sample_fleet.calls import rescue_calls
from sample_fleet.fleet import build_fleet
from sample_fleet.lives import live_parts
from sample_fleet.make import make_fleet
from sample_fleet.use import run_fleet
from sample_fleet.whereabouts import find_whereabouts
from tests.support.clean_records import bench_of

EPOCH = date(1970, 1, 1)
FAILED = ["called", "reported", "found failed"]
KEYS = ["carrier_id", "component", "position"]


@dataclass(frozen=True)
class Marks:
    """How near the told lives are to the true ones; shares are 0 to 1."""

    lives: int
    paired: float
    age_right: float
    failures: int
    failures_found: float
    failures_false: float
    matches: int
    match_precision: float
    match_recall: float


def true_lives(boats: int, seasons: int, seed: int, *, mess: bool) -> tuple[pl.DataFrame, pl.DataFrame]:
    """Return the true lives with their ages, and the true calls with the life each one ended (-1: none)."""
    fleet = build_fleet(boats, seasons, seed)
    use = run_fleet(fleet, seed)
    with TemporaryDirectory() as folder:
        truth = make_fleet(folder, boats, seasons, seed, mess=False)
    where = find_whereabouts(fleet, use, seed, meters_change=mess)
    lives = live_parts(fleet, use, truth.parts, seed)
    calls = rescue_calls(fleet, lives, truth.parts, truth.causes, use, where, seed)
    engine = (lives["carried_by"] == "engine").to_numpy()
    carrier = lives["carrier"].to_numpy()
    began, ended = lives["began"].to_numpy(), lives["ended"].to_numpy()
    hours = [
        np.where(engine, use.engine_hours.hours_at(np.where(engine, carrier, 0), day), use.boat_hours.hours_at(np.where(engine, 0, carrier), day))
        for day in (began, ended)
    ]
    names = [fleet.engines[at].engine_id if on_engine else fleet.boats[at].vessel_id for at, on_engine in zip(carrier, engine, strict=True)]
    lives = lives.with_columns(
        pl.Series("carrier_id", names),
        pl.Series("age_h", hours[1] - hours[0]),
        pl.col("began").floor().cast(pl.Int32).cast(pl.Date).alias("began_on"),
        pl.col("ended").floor().cast(pl.Int32).cast(pl.Date).alias("ended_on"),
    ).with_row_index("life")
    first = EPOCH + timedelta(days=int(fleet.first))
    return lives.filter(pl.col("ended_on") > first), calls


def told_lives(bench: Workbench) -> pl.DataFrame:
    """Return the lives of a derived bench, the age at the end in engine hours."""
    lives = bench.frame("select l.*, c.hidden from derived.lives l join accepted.catalogue c on c.component = l.component")
    return lives.with_columns(
        pl.coalesce("engine_id", "vessel_id").alias("carrier_id"),
        pl.col("position").fill_null(""),
        pl.when(pl.col("ending") == "condition").then("low_h").otherwise(pl.coalesce("high_h", "low_h")).alias("told_h"),
        pl.col("ending").is_in(["failed", "found failed"]).alias("told_failed"),
    )


def pair(true: pl.DataFrame, told: pl.DataFrame) -> pl.DataFrame:
    """Pair each told life with the true one of the same position that began nearest to it."""
    left = told.select(*KEYS, pl.col("began_on"), pl.col("ended_on").alias("told_end"), "told_h", "told_failed", "ending", "life_id", "hidden").sort("began_on")
    right = true.select(*KEYS, pl.col("began_on"), pl.col("began_on").alias("true_began"), "ended_on", "age_h", "life", pl.col("ending").alias("true_ending"))
    near = left.join_asof(right.sort("began_on"), on="began_on", by=KEYS, strategy="nearest", tolerance="20d", check_sortedness=False)
    return near.unique("life", keep="first", maintain_order=True) if near["life"].null_count() == 0 else near


def judge(true: pl.DataFrame, calls: pl.DataFrame, bench: Workbench) -> Marks:
    """Compare the told lives and matches with the truth."""
    told = told_lives(bench)
    pairs = pair(true, told)
    known = pairs.filter(pl.col("life").is_not_null())
    still_there = pl.col("true_ending").is_in(["running", "withdrawn"])
    visible = known.filter(pl.col("told_h").is_not_null(), ~(still_there & pl.col("hidden")))
    off = (visible["told_h"] - visible["age_h"]).abs()
    right = (off <= 10) | (off <= 0.02 * visible["age_h"])
    truly = true.filter(pl.col("ending").is_in(FAILED))
    found = _near(truly, told.filter("told_failed").select(*KEYS, "ended_on"))
    false = _near(told.filter("told_failed"), truly.select(*KEYS, "ended_on"))
    precision, recall, matches = _matching(true, calls, bench)
    return Marks(
        len(told), len(known) / len(told), float(right.mean() or 0), len(truly), found, 1 - false, matches, precision, recall
    )


def _near(wanted: pl.DataFrame, there: pl.DataFrame, days: int = 20) -> float:
    """Return the share of rows that have a row of the other table at the same position within some days."""
    there = there.with_columns(pl.lit(True).alias("hit")).sort("ended_on")
    joined = wanted.sort("ended_on").join_asof(
        there, on="ended_on", by=KEYS, strategy="nearest", tolerance=f"{days}d", check_sortedness=False
    )
    return float(joined["hit"].fill_null(False).mean() or 0)


def _matching(true: pl.DataFrame, calls: pl.DataFrame, bench: Workbench) -> tuple[float, float, int]:
    """Return precision and recall of certain matches, and how many there are."""
    lives = true.select("life", *KEYS, "next_began")
    numbered = calls.with_columns(pl.format("C{}", (pl.int_range(pl.len()) + 1).cast(pl.String).str.zfill(5)).alias("call_id"))
    owned = numbered.filter(pl.col("life") >= 0).select("call_id", pl.col("life").cast(pl.UInt32)).join(lives, on="life")
    told = bench.frame(
        "select c.call_id, t.component, coalesce(t.position, '') as position, t.row_id, t.done_on, t.engine_id, t.vessel_id "
        "from derived.matches m join accepted.rescue_calls c on c.row_id = m.call_row_id "
        "join accepted.service_tickets t on t.row_id = m.ticket_row_id where m.certainty = 'certain'"
    ).with_columns(pl.col("call_id").str.strip_suffix("B"))
    both = told.join(owned, on="call_id", how="left", suffix="_true")
    right = (both["component"] == both["component_true"]).fill_null(False)
    ticketed = owned.filter(pl.col("next_began").is_not_null())
    listed = bench.frame("select call_id from accepted.rescue_calls")["call_id"].str.strip_suffix("B").unique()
    ticketed = ticketed.filter(pl.col("call_id").is_in(listed.to_list()))
    hit = ticketed.join(both.filter(right).select("call_id").unique(), on="call_id", how="semi")
    return float(right.mean() or 0), len(hit) / max(len(ticketed), 1), len(told)


def main() -> None:
    """Print the marks of one fleet."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--boats", type=int, default=100)
    parser.add_argument("--seasons", type=int, default=6)
    parser.add_argument("--seed", type=int, default=11)
    given = parser.parse_args()
    true, calls = true_lives(given.boats, given.seasons, given.seed, mess=False)
    with TemporaryDirectory() as folder:
        make_fleet(folder, given.boats, given.seasons, given.seed, mess=False)
        with bench_of(Path(folder)) as bench:
            derive(bench, None, Settings())
            print(judge(true, calls, bench))


if __name__ == "__main__":
    main()
