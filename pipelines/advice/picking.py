"""Which parts the due renewals take off the shelf.

In: tasks that are due, positions, the accepted records `parts`. Out: pieces a task, and pieces a shelf.
Elsewhere: when a task is due (`due`), how much of a part to hold (`stock`).
"""

import polars as pl

TASK = ("engine_id", "vessel_id", "component", "position", "task")
_PLACE = ("engine_id", "vessel_id", "component", "position")
_CONDITIONS = (("engine_model", "base"), ("base",), ("engine_model",), ())


def picked(due: pl.DataFrame, positions: pl.DataFrame, parts: pl.DataFrame) -> pl.DataFrame:
    """Give each renewal that is due the part it takes.

    Parameters
    ----------
    due
        Rows of the answer `due`; inspections and tests take no part.
    positions
        Rows of `derived.positions`, for the engine model and base of each task.
    parts
        Accepted records of that kind. A part for the model at the base comes before one at the base, that before one for the model at no
        base, that before one for all; a shelf of another base is not touched.

    Returns
    -------
    pl.DataFrame
        The renewals in their order with base, engine_model, part_id, supplier, on_hand and pieces; empty part_id: no shelf holds it.
    """
    places = positions.select(*_PLACE, "engine_model", "base").unique(list(_PLACE), keep="first", maintain_order=True)
    tasks = due.filter(pl.col("task") == "renew").join(places, on=list(_PLACE), how="left", nulls_equal=True, maintain_order="left")
    return _with_parts(tasks, _rules(parts))


def pick_list(renewals: pl.DataFrame) -> pl.DataFrame:
    """Add up the pieces of every part by base.

    Parameters
    ----------
    renewals
        From `picked`.

    Returns
    -------
    pl.DataFrame
        base, component, part_id, pieces, on_hand, short (pieces that the shelf lacks), boats; by base and component.
    """
    held = renewals.group_by("base", "component", "part_id", maintain_order=True).agg(
        pl.col("pieces").sum(), pl.col("on_hand").first(), pl.col("vessel_id").unique(maintain_order=True).alias("boats")
    )
    short = pl.max_horizontal(pl.lit(0.0), pl.col("pieces") - pl.col("on_hand").fill_null(0))
    return held.with_columns(short.alias("short")).sort("base", "component", "part_id", nulls_last=True)


def _rules(parts: pl.DataFrame) -> pl.DataFrame:
    return parts.select(
        "component",
        *(pl.when(pl.col(name).str.strip_chars() != "").then(name).alias(name) for name in ("engine_model", "base")),
        "part_id",
        "supplier",
        pl.col("on_hand").cast(pl.Int64),
        pl.col("quantity_per_fit").cast(pl.Float64).fill_null(1.0).alias("pieces"),
    )


def _with_parts(tasks: pl.DataFrame, rules: pl.DataFrame) -> pl.DataFrame:
    figures = ("part_id", "supplier", "on_hand", "pieces")
    known = tasks.with_columns(pl.lit(None, rules.schema[name]).alias(name) for name in figures)
    for conditions in _CONDITIONS:
        meets = [pl.col(name).is_not_null() if name in conditions else pl.col(name).is_null() for name in ("engine_model", "base")]
        keys = ["component", *conditions]
        first = rules.filter(*meets).unique(keys, keep="first", maintain_order=True).select(*keys, *figures)
        joined = known.join(first, on=keys, how="left", suffix="_new", maintain_order="left")
        missing = pl.col("part_id").is_null()
        known = joined.with_columns(pl.when(missing).then(f"{name}_new").otherwise(name).alias(name) for name in figures)
        known = known.drop(f"{name}_new" for name in figures)
    return known.with_columns(pl.col("pieces").fill_null(1.0))
