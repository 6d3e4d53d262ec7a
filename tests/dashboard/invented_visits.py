"""Invented visits and spare boats in the columns of the contract, for charts, sentences and screens."""

from datetime import date, timedelta

import polars as pl

from pipelines.terms.answers import names_of

MONDAY = date(2025, 9, 29)


def visits(priced: bool = True) -> pl.DataFrame:
    """Three visits in two weeks: two jobs, one moved to it; one overdue; one alone."""
    rows = [
        (
            MONDAY,
            "V01",
            2,
            1,
            ["renew drive belt (E01)", "test bilge pump"],
            "Overdue: drive belt; brought forward 6 days: bilge pump.",
            4.0,
            31.0,
        ),
        (MONDAY, "V02", 1, 1, ["renew spark plugs (E02)"], "Overdue: spark plugs.", 0.0, 0.0),
        (MONDAY + timedelta(days=9), "V03", 1, 0, ["renew anodes (E03)"], "Put back 3 days: anodes.", 2.0, -2.0),
    ]
    held = [
        {
            "visit_on": on,
            "vessel_id": boat,
            "base": "Eelgrass Quay",
            "jobs": jobs,
            "overdue": late,
            "tasks": tasks,
            "why": why,
            "visit_cost": 35.0 if priced else None,
            "moving_cost": moving if priced else None,
            "cost": 35.0 + moving if priced else None,
            "saving": saving if priced else None,
            "caution": ["Stop the engine."],
        }
        for on, boat, jobs, late, tasks, why, moving, saving in rows
    ]
    return pl.DataFrame(held, schema_overrides=dict.fromkeys(("visit_cost", "moving_cost", "cost", "saving"), pl.Float64)).select(
        names_of("visits")
    )


def own_days() -> pl.DataFrame:
    """The days on which the jobs of these visits would be done alone; one of them in a week of its own."""
    on = [MONDAY, MONDAY, MONDAY + timedelta(days=6), MONDAY + timedelta(days=6), MONDAY + timedelta(days=20)]
    return pl.DataFrame({"vessel_id": ["V01", "V02", "V01", "V03", "V03"], "own_on": on})


def grouping(saving: float | None = 29.0, over_one_service: float | None = 12.0) -> dict:
    """What stands beside the rows of `visits`."""
    held = {"jobs": 4, "boats": 3, "visits": 3, "own_days": 5, "saving": saving, "saving_over_one_service": over_one_service}
    return {"grouping": held, "currency": "EUR"}


def spare_boats() -> pl.DataFrame:
    """A pool and two groups over three months: laid up, hardly any down, one and two needed."""
    pool = [(None, 12, 0.0, 0), (None, 12, 0.31, 1), (None, 12, 0.62, 2)]
    north = [("launch", 8, 0.0, 0), ("launch", 8, 0.2, 1), ("launch", 8, 0.4, 1)]
    south = [("cruiser", 4, 0.0, 0), ("cruiser", 4, 0.003, 0), ("cruiser", 4, 0.22, 1)]
    rows = [_month(place, *row) for told in (pool, north, south) for place, row in enumerate(told)]
    return pl.DataFrame(rows, schema_overrides={"group": pl.Struct({"base": pl.String, "vessel_class": pl.String})})


def _month(place: int, vessel_class: str | None, boats: int, down: float, spares: int) -> dict:
    return {
        "group": None if vessel_class is None else {"base": "Eelgrass Quay", "vessel_class": vessel_class},
        "month": date(2026, 6 + place, 1),
        "boats": boats,
        "stoppages": 40 * down,
        "boats_down": down,
        "low": 0.8 * down,
        "high": 1.3 * down,
        "spares_needed": spares,
        "chance_enough": 0.97 if spares else 1.0,
        "boat_days_lost": 30 * down,
        "boat_days_short": 3 * down,
        "one_more_covers": 2.4 * down,
        "note": None,
    }
