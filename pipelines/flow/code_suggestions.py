"""Suggested codes for rows that came without one, made whenever a version is published.

In: a workbench with accepted records and their codes. Out: `derived.suggested_codes`.
Elsewhere: the learning (`fits.code_learning`), what a person makes of them (`coding_queue`).
"""

import polars as pl

from pipelines.ledger.workbench import Workbench

TABLE = "derived.suggested_codes"
SCHEMA = {
    "row_id": pl.Int64(),
    "kind": pl.String(),
    "column": pl.String(),
    "code": pl.String(),
    "confidence": pl.Float64(),
    "evidence": pl.String(),
}


def make_suggestions(bench: Workbench) -> None:
    """Make `derived.suggested_codes`, one row per row and column that came without a code and whose notes say something of it."""
    bench.put(TABLE, pl.DataFrame(schema=SCHEMA))
