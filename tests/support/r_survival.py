"""Ask R's survival package for a second opinion."""

import shutil
import subprocess
from functools import cache
from pathlib import Path

import polars as pl
import pytest


@cache
def has_survival() -> bool:
    """Whether `Rscript` and its survival package are there."""
    if shutil.which("Rscript") is None:
        return False
    return subprocess.run(["Rscript", "-e", "library(survival)"], capture_output=True, check=False).returncode == 0


def ask_r(folder: Path, given: pl.DataFrame, script: str) -> pl.DataFrame:
    """Run a script that finds the frame as `given` and leaves a data frame named `answer`; skip the test where there is no R."""
    if not has_survival():
        pytest.skip("Rscript with the survival package is not installed (Debian: r-base-core, r-cran-survival)")
    given.write_csv(folder / "given.csv")
    lines = ["suppressMessages(library(survival))", "given <- read.csv('given.csv')", script, "options(digits = 16)"]
    lines.append("write.csv(answer, 'answer.csv', row.names = FALSE)")
    done = subprocess.run(["Rscript", "-e", "\n".join(lines)], cwd=folder, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return pl.read_csv(folder / "answer.csv", infer_schema_length=None, null_values="NA")
