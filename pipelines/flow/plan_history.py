"""How the plan came about: every interval that was ever adopted, who, when, why, on which evidence, and whether it still stands.

In: a published copy, filters. Out: `Answer`, the latest first. Undoing is undoing its import (`taking.undo`).
Elsewhere: adopting (`adopting`), what is kept beside a row of the plan (`ledger/adoptions.sql`).
"""

import json
from typing import Any

import polars as pl

from pipelines.exports.answer import Answer
from pipelines.flow.sources import known_day
from pipelines.ledger.reading import Published
from pipelines.terms.scope import Scope
from pipelines.terms.settings import Settings

IN_FORCE, REPLACED, CORRECTED, UNDONE = "in force", "replaced", "corrected", "undone"
FOR = ["component", "task", "engine_model", "base"]
FROZEN = ("verdict", "failures", "saving_per_year", "saving_low", "saving_high", "reason")
_THEN = {name: pl.String if name in ("verdict", "reason") else pl.Float64 for name in FROZEN}


def adoptions(copy: Published, scope: Scope, settings: Settings) -> Answer:  # noqa: ARG001
    """List what was adopted.

    Returns
    -------
    Answer
        Rows: row_id, component, task, engine_model, base, every_h, every_months (both empty: only when it fails), adopted_on, adopted_by,
        reason, state (`in force`, `replaced` by a later row for the same, `corrected`, `undone`), import_id (what `--undo` takes),
        taken_by, taken_at, undone_by, undone_at, evidence_version (empty: the row came in a file), then_verdict, then_failures,
        then_saving_per_year (with _low, _high) and then_reason as they were that day, and `figures`, the whole verdicts.
    """
    told = copy.frame("select * from about.adoptions").with_row_index("_place").pipe(_with_state).pipe(_with_evidence)
    named = [pl.col(column) == word for column, word in _asked(scope).items()]
    rows = told.filter(*named) if named else told
    head = {"as_of": known_day(copy), "ledger_version": copy.version, "records": rows.height, "left_out": 0}
    return Answer(head, rows.sort("adopted_on", "_place", descending=True, nulls_last=True).drop("_place"))


def _asked(scope: Scope) -> dict[str, str]:
    asked = {"component": scope.component, "engine_model": scope.model, "base": scope.base}
    return {column: word for column, word in asked.items() if word}


def _with_state(rows: pl.DataFrame) -> pl.DataFrame:
    """Say of each row what became of it; of those that count, the one adopted last is in force for its part, model and base."""
    counting = rows.filter(pl.col("fate") == "accepted").sort("adopted_on", nulls_last=False, maintain_order=True)
    last = counting.unique(FOR, keep="last", maintain_order=True)["row_id"].to_list()
    state = (
        pl.when(pl.col("fate") == "undone")
        .then(pl.lit(UNDONE))
        .when(pl.col("fate") == "superseded")
        .then(pl.lit(CORRECTED))
        .when(pl.col("row_id").is_in(last))
        .then(pl.lit(IN_FORCE))
        .otherwise(pl.lit(REPLACED))
    )
    return rows.with_columns(state=state).drop("fate")


def _with_evidence(rows: pl.DataFrame) -> pl.DataFrame:
    held = [json.loads(figures) if figures else [] for figures in rows["figures"]]
    then = [{f"then_{name}": _single(verdicts, name) for name in FROZEN} for verdicts in held]
    shown = pl.DataFrame(then, schema={f"then_{name}": kind for name, kind in _THEN.items()}, strict=False)
    return pl.concat([rows, shown], how="horizontal").select(pl.exclude("figures"), "figures")


def _single(verdicts: list[dict[str, Any]], name: str) -> Any:
    """Return a figure of the verdict; where several stood behind one interval, none of them speaks for it."""
    return verdicts[0].get(name) if len(verdicts) == 1 else None
