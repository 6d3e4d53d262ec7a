"""Visits in rows that a foreman reads: day, boat, jobs, why, what it costs and saves.

In: jobs laid onto visits (`visit_plan`). Out: one row a visit, and what the visits come to together.
Elsewhere: which jobs share a visit (`visits`).
"""

from typing import Any

import polars as pl

from pipelines.advice.words import counted
from pipelines.terms.answers import names_of

_SHOWN = 3


def visit_rows(jobs: pl.DataFrame) -> pl.DataFrame:
    """Make one row a visit, with the columns of the answer `visits`, by day and boat.

    Parameters
    ----------
    jobs
        From `visit_plan.planned_visits`; money is empty where the cost of a visit is not known.
    """
    held = jobs.with_columns(pl.struct(jobs.columns).alias("job"))
    visits = held.group_by("visit_on", "vessel_id", maintain_order=True).agg(
        pl.col("base").first(),
        pl.len().cast(pl.Int64).alias("jobs"),
        pl.col("overdue").sum().cast(pl.Int64),
        pl.col("visit_cost").first(),
        _sum("moving_cost"),
        _sum("alone"),
        pl.col("caution").unique(maintain_order=True),
        pl.col("job"),
    )
    money = visits.with_columns(
        cost=pl.col("visit_cost") + pl.col("moving_cost"),
        saving=pl.col("alone") - pl.col("visit_cost") - pl.col("moving_cost"),
    )
    each = visits["job"].to_list()
    told = money.with_columns(
        pl.Series("tasks", [[_task(job) for job in one] for one in each], pl.List(pl.String)),
        pl.Series("why", [_why(one) for one in each], pl.String),
    )
    return told.select(names_of("visits")).sort("visit_on", "vessel_id")


def together(jobs: pl.DataFrame) -> dict[str, Any]:
    """Say what visits come to together, beside each job on its own day and all jobs of a boat at one service; money may be unknown."""
    visits = jobs.group_by("visit_on", "vessel_id").agg(pl.col("visit_cost").first())
    services = jobs.group_by("vessel_id").agg(pl.col("visit_cost").first())
    cost, alone = _total(visits["visit_cost"], jobs["moving_cost"]), _total(jobs["alone"])
    single = _total(services["visit_cost"], jobs["at_one_service"])
    return {
        "jobs": jobs.height,
        "boats": jobs["vessel_id"].n_unique(),
        "visits": visits.height,
        "own_days": jobs.select("vessel_id", "own_on").n_unique(),
        "cost": cost,
        "cost_each_on_its_day": alone,
        "cost_all_at_one_service": single,
        "saving": None if cost is None or alone is None else alone - cost,
        "saving_over_one_service": None if cost is None or single is None else single - cost,
    }


def _sum(name: str) -> pl.Expr:
    return pl.when(pl.col(name).is_not_null().all()).then(pl.col(name).sum()).alias(name)


def _total(*figures: pl.Series) -> float | None:
    return None if any(held.null_count() for held in figures) else float(sum(held.sum() for held in figures))


def _task(job: dict[str, Any]) -> str:
    where = ", ".join(word for word in (job["engine_id"], job["position"]) if word)
    return f"{job['task']} {job['component']}" + (f" ({where})" if where else "")


def _why(held: list[dict[str, Any]]) -> str:
    """Say what sets the day and what was moved to it, in one sentence."""
    late = [job for job in held if job["overdue"]]
    here = [job for job in held if not job["overdue"] and not job["moved_days"]]
    forward = sorted((job for job in held if job["moved_days"] < 0), key=lambda job: job["moved_days"])
    back = sorted((job for job in held if job["moved_days"] > 0), key=lambda job: -job["moved_days"])
    parts = [
        *([f"overdue: {_named(late)}"] if late else []),
        *([f"due that day{_put_off(here)}: {_named(here)}"] if here else []),
        *([f"brought forward {_by(forward)}: {_named(forward)}"] if forward else []),
        *([f"put back {_by(back)}: {_named(back)}"] if back else []),
    ]
    sentence = "; ".join(parts)
    return f"{sentence[:1].upper()}{sentence[1:]}."


def _named(jobs: list[dict[str, Any]]) -> str:
    names = list(dict.fromkeys(job["component"] for job in jobs))
    more = f" and {len(names) - _SHOWN} more" if len(names) > _SHOWN else ""
    return ", ".join(names[:_SHOWN]) + more


def _put_off(jobs: list[dict[str, Any]]) -> str:
    return " as put off" if all(job["deferred_until"] == job["own_on"] for job in jobs) else ""


def _by(jobs: list[dict[str, Any]]) -> str:
    most = abs(jobs[0]["moved_days"])
    return f"{'up to ' if len(jobs) > 1 else ''}{counted(most, 'day', 'days')}"
