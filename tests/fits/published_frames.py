"""Published tables as frames; where each file is from stands in tests/published/SOURCES.md."""

from pathlib import Path

import polars as pl

from pipelines.fits.ages import Ages, compress

_PUBLISHED = Path(__file__).parents[1] / "published"


def published_frame(name: str) -> pl.DataFrame:
    """One file of tests/published, whole columns read before their type is guessed."""
    return pl.read_csv(_PUBLISHED / f"{name}.csv", infer_schema_length=None)


def lives_of(frame: pl.DataFrame, age: str, event: str = "event") -> Ages:
    """Lives with an age, an event (1: failed) and, where the frame has it, an entry."""
    high = frame.select(pl.when(pl.col(event) == 1).then(pl.col(age)).otherwise(float("inf"))).to_series()
    return compress(frame["entry"] if "entry" in frame.columns else 0.0, frame[age], high)
