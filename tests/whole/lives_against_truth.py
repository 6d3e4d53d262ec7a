"""Lives told from records against the lives that really were; run by hand, it prints the shares.

    python -m tests.whole.lives_against_truth --boats 100 --seasons 6 --seeds 11 12 [--clean]

In: a generated fleet, messy unless `--clean`. Out: `Marks`: ages right, failures found and false, calls matched.
Judged are the lives whose beginning the records can know: the part went in while tickets were kept. Of the others the rules of lives
decide which may be used; they are counted apart.
"""

import argparse
from dataclasses import asdict, dataclass
from datetime import date, timedelta
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
import polars as pl

from pipelines.flow.taking import Wish, take_in
from pipelines.ledger.reading import open_published
from pipelines.terms.settings import Settings
from sample_fleet.calls import rescue_calls
from sample_fleet.fleet import Fleet, build_fleet
from sample_fleet.lives import live_parts
from sample_fleet.make import make_fleet
from sample_fleet.truths import Truth as Planted
from sample_fleet.use import Use, run_fleet
from sample_fleet.whereabouts import find_whereabouts
from tests.whole.matches_against_truth import KEYS, NOBODY_COULD_KNOW, Source, matching

EPOCH = date(1970, 1, 1)
FAILED = ["called", "reported", "found failed"]
DAYS_APART = 20
"""A told day and a true day this far apart can still be the same event: tickets are typed late, lost tickets are dated by their call."""


@dataclass(frozen=True)
class Marks:
    """How near the told lives are to the true ones; shares are 0 to 1.

    Attributes
    ----------
    lives, true_lives
        Told, and true ones that the records can know.
    age_known, age_right
        Share of the true lives that were told with hours; of those, share within 2 % or 10 h.
    failures, failures_found, failures_false
        True ones that the records can know, the share told, and the share of told failures that were none.
    matches, match_precision, match_recall
        Certain pairs of call and ticket where the log numbers its calls, the share that is right, and the share of the true pairs in
        the records that is found.
    missed
        True pairs that are not certain, by reason.
    """

    lives: int
    true_lives: int
    age_known: float
    age_right: float
    failures: int
    failures_found: float
    failures_false: float
    matches: int
    match_precision: float
    match_recall: float
    missed: tuple[tuple[str, int], ...]


@dataclass(frozen=True)
class Truth:
    """The true lives, one row each with its place in the fleet, and the true calls with the life each one ended (-1: none).

    A life carries `records_from`, the day from which its boat's tickets were kept.
    """

    lives: pl.DataFrame
    calls: pl.DataFrame


def truth_of(planted: Planted, *, mess: bool) -> Truth:
    """Live the fleet again that these truths were planted in."""
    seed, parts = planted.seed, planted.parts
    fleet = build_fleet(planted.boats, planted.seasons, seed)
    use = run_fleet(fleet, seed)
    where = find_whereabouts(fleet, use, seed, meters_change=mess)
    lives = live_parts(fleet, use, parts, seed)
    calls = rescue_calls(fleet, lives, parts, planted.causes, use, where, seed)
    numbers = pl.format("C{}", (pl.int_range(pl.len()) + 1).cast(pl.String).str.zfill(5))
    return Truth(_with_places(lives, fleet, use), calls.with_columns(numbers.alias("call_id")))


def _with_places(lives: pl.DataFrame, fleet: Fleet, use: Use) -> pl.DataFrame:
    """Add what carries the part by its id, the days as dates and the age at the end in engine hours."""
    engine, carrier = (lives["carried_by"] == "engine").to_numpy(), lives["carrier"].to_numpy()
    at_engine, at_boat = np.where(engine, carrier, 0), np.where(engine, 0, carrier)
    began, ended = (
        np.where(engine, use.engine_hours.hours_at(at_engine, day), use.boat_hours.hours_at(at_boat, day))
        for day in (lives["began"].to_numpy(), lives["ended"].to_numpy())
    )
    engines, boats = [each.engine_id for each in fleet.engines], [each.vessel_id for each in fleet.boats]
    names = [engines[at] if on_engine else boats[at] for at, on_engine in zip(carrier, engine, strict=True)]
    boat_of = {stay.engine: stay.vessel for stay in fleet.stays}
    kept_from = [
        EPOCH + timedelta(days=int(fleet.boats[boat_of[at] if on_engine else at].tickets_from))
        for at, on_engine in zip(carrier, engine, strict=True)
    ]
    days = {f"{name}_on": pl.col(name).floor().cast(pl.Int32).cast(pl.Date) for name in ("began", "ended", "next_began")}
    added = (pl.Series("carrier_id", names), pl.Series("age_h", ended - began), pl.Series("records_from", kept_from))
    return lives.with_columns(**days).with_columns(*added).with_row_index("life")


def told_lives(source: Source) -> pl.DataFrame:
    """Return the told lives with the age at the end in engine hours; of a hidden function still there the end is not told."""
    lives = source.frame("select l.*, c.hidden from derived.lives l join accepted.catalogue c on c.component = l.component")
    unseen = pl.col("hidden") & pl.col("ending").is_in(["running", "withdrawn"])
    end = pl.when(pl.col("ending") == "condition").then("low_h").otherwise(pl.coalesce("high_h", "low_h"))
    return lives.with_columns(
        pl.coalesce("engine_id", "vessel_id").alias("carrier_id"),
        pl.col("position").fill_null(""),
        pl.when(~unseen).then(end).alias("told_h"),
        pl.col("ending").is_in(["failed", "found failed"]).alias("told_failed"),
    )


def judge(truth: Truth, source: Source) -> Marks:
    """Compare the told lives and matches with the truth."""
    told = told_lives(source)
    known = truth.lives.filter(pl.col("began_on") >= pl.col("records_from"))
    paired = _nearest(known, told.drop_nulls("told_h").select(*KEYS, "began_on", "told_h"), "began_on")
    off = (paired["told_h"] - paired["age_h"]).abs()
    right = (off <= 10) | (off <= 0.02 * paired["age_h"])
    failed = known.filter(pl.col("ending").is_in(FAILED))
    ever_failed = truth.lives.filter(pl.col("ending").is_in(FAILED))
    found = _nearest(failed, told.filter("told_failed").select(*KEYS, "ended_on", "told_failed"), "ended_on")
    real = _nearest(told.filter("told_failed"), ever_failed.select(*KEYS, "ended_on", "life"), "ended_on")
    matched = matching(truth.calls, truth.lives, source)
    return Marks(
        lives=len(told),
        true_lives=len(known),
        age_known=1 - paired["told_h"].null_count() / max(len(known), 1),
        age_right=_share(right.drop_nulls()),
        failures=len(failed),
        failures_found=_share(found["told_failed"].is_not_null()),
        failures_false=1 - _share(real["life"].is_not_null()),
        matches=matched.pairs,
        match_precision=matched.precision,
        match_recall=matched.recall,
        missed=tuple(matched.misses["why"].value_counts(sort=True).iter_rows()),
    )


def _share(flags: pl.Series) -> float:
    return float(flags.sum()) / max(len(flags), 1)


def _nearest(rows: pl.DataFrame, others: pl.DataFrame, day: str) -> pl.DataFrame:
    """Join to each row the nearest other of the same position, if one is near."""
    return rows.sort(day).join_asof(
        others.sort(day), on=day, by=KEYS, strategy="nearest", tolerance=f"{DAYS_APART}d", check_sortedness=False, suffix="_other"
    )


def marks_of(boats: int, seasons: int, seed: int, *, mess: bool) -> Marks:
    """Make a fleet, take its records in, and judge what is told from them."""
    with TemporaryDirectory() as folder:
        planted = make_fleet(Path(folder, "records"), boats, seasons, seed, mess=mess)
        ledger = Path(folder, "fleet.duckdb")
        take_in(ledger, Wish((Path(folder, "records"),)), Settings())
        with open_published(ledger) as copy:
            return judge(truth_of(planted, mess=mess), copy)


def main() -> None:
    """Print the marks of one fleet after another."""
    parser = argparse.ArgumentParser(prog="python -m tests.whole.lives_against_truth", description=__doc__)
    parser.add_argument("--boats", type=int, default=100)
    parser.add_argument("--seasons", type=int, default=6)
    parser.add_argument("--seeds", "--seed", type=int, nargs="+", default=[11])
    parser.add_argument("--clean", action="store_true")
    given = parser.parse_args()
    for seed in given.seeds:
        marks = asdict(marks_of(given.boats, given.seasons, seed, mess=not given.clean))
        print(f"seed {seed}")
        for why, pairs in marks.pop("missed"):
            print(f"  not certain      {pairs:,}  {why}{' (nobody could know)' if why in NOBODY_COULD_KNOW else ''}")
        for name, value in marks.items():
            print(f"  {name:16} {value:,.4f}" if isinstance(value, float) else f"  {name:16} {value:,}")


if __name__ == "__main__":
    main()
