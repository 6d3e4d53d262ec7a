"""Published lives as `Ages`; where each file is from stands in tests/published/SOURCES.md."""

from pathlib import Path

import numpy as np
import polars as pl

from pipelines.fits.ages import Ages, compress

PUBLISHED = Path(__file__).parents[1] / "published"
_AGE_COLUMN = {"genfan": "hours", "bearing_cage": "hours", "lz_bearing": "megacycles", "channing": "exit", "fleet_left_trunc": "exit"}


def published(name: str) -> Ages:
    """Lives by name of the data set; `breast_` and `channing_` take a group: rad, radchem, women, all."""
    if name.startswith("breast"):
        group = {"breast_rad": "Rad", "breast_radchem": "RadChem"}[name]
        return _intervals(_table("breast_cosmesis").filter(pl.col("group") == group))
    if name == "turbine_interval":
        return _intervals(_table(name))
    if name.startswith("channing"):
        women = pl.col("sex") == "Female" if name == "channing_women" else pl.lit(True)
        return _events(_table("channing").filter(women, pl.col("entry") < pl.col("exit")), "exit")
    return _events(_table(name), _AGE_COLUMN.get(name, "time"))


def expected(name: str) -> pl.DataFrame:
    """Figures of one data set from weibull_expected.csv."""
    return _table("weibull_expected").filter(pl.col("dataset") == name)


def _table(name: str) -> pl.DataFrame:
    return pl.read_csv(PUBLISHED / f"{name}.csv", infer_schema_length=None)


def _events(table: pl.DataFrame, age: str) -> Ages:
    ends = table[age].to_numpy()
    high = np.where(table["event"].to_numpy() == 1, ends, np.inf)
    entry = table["entry"].to_numpy() if "entry" in table.columns else 0.0
    return compress(entry, ends, high, table["count"].to_numpy() if "count" in table.columns else 1.0)


def _intervals(table: pl.DataFrame) -> Ages:
    return compress(0.0, table["lower"], table["upper"], table["count"] if "count" in table.columns else 1.0)
