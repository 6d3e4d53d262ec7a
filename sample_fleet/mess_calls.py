"""The call log as it really is: most causes never learned, no engine named, some calls logged twice, another word list one season.

In: the clean call book. Out: the same rows gone astray, still as text.
Elsewhere: words (`words`), the log that a base keeps under headings of its own (`bundles`).
"""

from datetime import date, datetime, timedelta

import numpy as np
import polars as pl

from pipelines.terms.causes import CAUSES
from sample_fleet.chance import Chance
from sample_fleet.fleet import Fleet
from sample_fleet.mess_hours import misread
from sample_fleet.notes import CALL_SAID, remarks
from sample_fleet.words import written

NOT_LOGGED, TWICE, NO_CAUSE, UNKNOWN_SAID = 0.03, 0.025, 0.30, 0.08
COARSE, COARSE_WORD = 0.6, "mechanical, not further stated"
COMPONENT_NAMED, COMPONENT_NAMED_COARSE = 0.4, 0.15
NO_ENGINE_ALONE, NO_ENGINE_TWIN, NO_METER, NO_TIME, NO_SUCH_DAY = 0.2, 0.6, 0.7, 0.12, 0.004
REMARKS = ("", "", "", "", "customer fine about it", "second time this month", "swapped boat at the pontoon", "wind got up", "long tow")


def messy_calls(book: pl.DataFrame, fleet: Fleet, seed: int, coding_changed_on: date) -> pl.DataFrame:
    """Return the call log as the bases hand it over; from `coding_changed_on` it uses the coarser word list."""
    chance = Chance(seed, "messy calls")
    book = book.filter(pl.Series(~chance.whether(len(book), NOT_LOGGED), dtype=pl.Boolean)).with_columns(pl.col("cause").alias(".cause"))
    book = _twice(_coded_coarsely(book, chance, coding_changed_on.isoformat()), chance)
    book = _causes_unknown(_engines_unnamed(book, fleet, chance), chance)
    size = len(book)
    impossible = pl.Series(chance.whether(size, NO_SUCH_DAY), dtype=pl.Boolean)
    untimed = pl.Series(chance.whether(size, NO_TIME), dtype=pl.Boolean)
    plain = pl.Series([REMARKS[at] for at in chance.whole(size, 0, len(REMARKS) - 1)], dtype=pl.String)
    said = remarks(book[".cause"], plain, Chance(seed, "remarks of calls"), CALL_SAID)
    return book.with_columns(
        misread(book["meter_h"], chance, NO_METER),
        *[written(book[column], column, chance) for column in ("symptom", "cause", "component", "outcome")],
        pl.when(impossible)
        .then(pl.col("called_at").str.replace(r"^(\d{4})-\d{2}-\d{2}", "${1}-06-31"))
        .when(untimed)
        .then(pl.col("called_at").str.slice(0, 10))
        .otherwise(pl.col("called_at"))
        .alias("called_at"),
        said,
    ).drop(".cause")


def _coded_coarsely(book: pl.DataFrame, chance: Chance, changed: str) -> pl.DataFrame:
    """Code most failures of parts with one coarse word from the change on, and name parts less often."""
    size = len(book)
    part_failed = pl.Series([bool(CAUSES.get(cause) and CAUSES[cause].component) for cause in book["cause"]], dtype=pl.Boolean)
    after = pl.col("called_at") >= changed
    coarse = after & part_failed & pl.Series(chance.whether(size, COARSE), dtype=pl.Boolean)
    named = chance.uniform(size)
    keep = pl.when(after).then(pl.Series(named < COMPONENT_NAMED_COARSE)).otherwise(pl.Series(named < COMPONENT_NAMED))
    return book.with_columns(
        pl.when(coarse).then(pl.lit(COARSE_WORD)).otherwise(pl.col("cause")).alias("cause"),
        pl.when(coarse | ~keep).then(pl.lit("")).otherwise(pl.col("component")).alias("component"),
    )


def _causes_unknown(book: pl.DataFrame, chance: Chance) -> pl.DataFrame:
    draw = chance.uniform(len(book))
    return book.with_columns(
        pl.when(pl.Series(draw < NO_CAUSE))
        .then(pl.lit(""))
        .when(pl.Series(draw < NO_CAUSE + UNKNOWN_SAID))
        .then(pl.lit("unknown"))
        .otherwise(pl.col("cause"))
        .alias("cause")
    )


def _engines_unnamed(book: pl.DataFrame, fleet: Fleet, chance: Chance) -> pl.DataFrame:
    twins = {stay.vessel for stay in fleet.stays if stay.place != "single"}
    twin = book[".boat"].is_in(list(twins)).to_numpy()
    nameless = chance.uniform(len(book)) < np.where(twin, NO_ENGINE_TWIN, NO_ENGINE_ALONE)
    return book.with_columns(pl.when(pl.Series(nameless)).then(pl.lit("")).otherwise(pl.col("engine_id")).alias("engine_id"))


def _twice(book: pl.DataFrame, chance: Chance) -> pl.DataFrame:
    """Log some calls again under a number of their own, some minutes later, by somebody who knew less."""
    again = book.filter(pl.Series(chance.whether(len(book), TWICE), dtype=pl.Boolean))
    minutes = chance.whole(len(again), 4, 35)
    later = [
        (datetime.fromisoformat(when) + timedelta(minutes=int(wait))).strftime("%Y-%m-%d %H:%M")
        for when, wait in zip(again["called_at"], minutes, strict=True)
    ]
    again = again.with_columns(
        pl.Series("called_at", later, dtype=pl.String),
        call_id=pl.format("{}B", pl.col("call_id")),
        component=pl.lit(""),
        cause=pl.lit(""),
        cost=pl.lit(""),
    )
    return pl.concat([book, again]).sort("called_at", "call_id", maintain_order=True)
