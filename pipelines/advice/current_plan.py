"""Which interval is in force at each position today: the adopted plan, else the maker's limit.

In: positions, and the accepted records `plan` and `limits`. Out: the positions with their interval and their limit.
A row for an engine model and a base outranks one for the model, that one for the base, and that the general row; among rows of the same
conditions the latest adopted counts. A limit that must be kept is a ceiling on whatever plan was adopted.
Elsewhere: which interval would be best (`interval`), when the next one is due (`due`).
"""

import polars as pl

from pipelines.terms.tables import LIMITS, PLAN, RecordKind

MODEL, BASE = "engine_model", "base"
_CONDITIONS = ((MODEL, BASE), (MODEL,), (BASE,), ())


def with_interval(positions: pl.DataFrame, plan: pl.DataFrame, limits: pl.DataFrame, task: str = "renew") -> pl.DataFrame:
    """Add the interval in force for one task to every position.

    Parameters
    ----------
    positions
        Columns component, engine_model, base at least.
    plan, limits
        Accepted records of those kinds.
    task
        `renew`, `inspect` or `test`.

    Returns
    -------
    pl.DataFrame
        The positions in their order, with every_h and every_months (both empty: only when it fails, or not at all), interval_from (`plan`,
        `limit` or empty), adopted_on and adopted_by of the plan, cut_to_limit (the plan alone would be longer), limit_h, limit_months,
        limit_binding, and limit_is_ceiling (binding, or not approved to be passed).
    """
    known = _with_latest(_with_latest(positions, _planned(plan, task), "planned"), _limited(limits, task), "limited")
    ceiling_h, ceiling_months = (pl.when("limit_is_ceiling").then(f"limit_{clock}") for clock in ("h", "months"))
    kept = known.with_columns(
        pl.min_horizontal(pl.when("planned").then("plan_h").otherwise("limit_h"), ceiling_h).alias("every_h"),
        pl.min_horizontal(pl.when("planned").then("plan_months").otherwise("limit_months"), ceiling_months).alias("every_months"),
        pl.when("planned").then(pl.lit("plan")).when("limited").then(pl.lit("limit")).alias("interval_from"),
    )
    cut = (pl.col(f"every_{clock}").ne_missing(pl.col(f"plan_{clock}")) for clock in ("h", "months"))
    return kept.with_columns((pl.col("planned") & pl.any_horizontal(cut)).alias("cut_to_limit")).drop(
        "planned", "limited", "plan_h", "plan_months"
    )


def _planned(plan: pl.DataFrame, task: str) -> pl.DataFrame:
    return (
        _as_declared(plan, PLAN)
        .filter(pl.col("task").fill_null("renew") == task)
        .sort("adopted_on", nulls_last=False, maintain_order=True)
        .select(
            "component",
            MODEL,
            BASE,
            pl.col("every_h").alias("plan_h"),
            pl.col("every_months").alias("plan_months"),
            "adopted_on",
            "adopted_by",
        )
    )


def _limited(limits: pl.DataFrame, task: str) -> pl.DataFrame:
    binding = pl.col("binding").fill_null(value=True)
    approved = pl.col("approval_note").fill_null("").str.strip_chars() != ""
    return (
        _as_declared(limits, LIMITS)
        .filter((pl.col("task") == task) & (pl.col("max_h").is_not_null() | pl.col("max_months").is_not_null()))
        .select(
            "component",
            MODEL,
            pl.lit(None, pl.String).alias(BASE),
            pl.col("max_h").alias("limit_h"),
            pl.col("max_months").alias("limit_months"),
            binding.alias("limit_binding"),
            (binding | ~approved).alias("limit_is_ceiling"),
        )
    )


def _as_declared(rows: pl.DataFrame, kind: RecordKind) -> pl.DataFrame:
    """Keep the columns of a record kind in their types; an empty condition is no condition."""
    columns = [(pl.col(c.name) if c.name in rows.columns else pl.lit(None)).cast(c.polars_type).alias(c.name) for c in kind.columns]
    declared = rows.select(columns) if rows.width else pl.DataFrame(schema={c.name: c.polars_type for c in kind.columns})
    return declared.with_columns(
        pl.when(pl.col(n).str.strip_chars() != "").then(n).alias(n) for n in (MODEL, BASE) if n in declared.columns
    )


def _with_latest(positions: pl.DataFrame, rules: pl.DataFrame, found: str) -> pl.DataFrame:
    """Join to each position the last rule of the most telling conditions it meets; `found` says whether there is one."""
    figures = [name for name in rules.columns if name not in ("component", MODEL, BASE)]
    known = positions.with_columns(pl.lit(value=False).alias(found), *(pl.lit(None, rules.schema[n]).alias(n) for n in figures))
    for conditions in _CONDITIONS:
        meets = [pl.col(name).is_not_null() if name in conditions else pl.col(name).is_null() for name in (MODEL, BASE)]
        keys = ["component", *conditions]
        latest = (
            rules.filter(*meets).unique(keys, keep="last", maintain_order=True).select(*keys, *figures, pl.lit(value=True).alias("_met"))
        )
        joined = known.join(latest, on=keys, how="left", suffix="_new", maintain_order="left")
        fresh = ~pl.col(found) & pl.col("_met").fill_null(value=False)
        known = joined.with_columns(
            *(pl.when(fresh).then(f"{n}_new").otherwise(n).alias(n) for n in figures), (pl.col(found) | fresh).alias(found)
        ).drop("_met", *(f"{n}_new" for n in figures))
    return known
