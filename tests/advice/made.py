"""Small fleets, lives and laws made by hand for the tests of advice."""

from datetime import date

import numpy as np
import polars as pl
from hypothesis import settings

from pipelines.advice.case import Case, Costs, Estimate, Fleet, Limit, Part
from pipelines.advice.prospect import Decision
from pipelines.advice.use import Use
from pipelines.fits.ages import ages_from_lives
from pipelines.fits.knowledge import Knowledge
from pipelines.fits.posterior import RANDOM, WEARS_OUT, Block, Posterior, posterior
from pipelines.terms.columns import Column
from pipelines.terms.derived import DERIVED_TABLES
from pipelines.terms.settings import Settings
from pipelines.terms.tables import RECORD_KINDS
from pipelines.terms.vocabulary import VOCABULARY_TABLES

TODAY = date(2026, 6, 1)
YEAR_H = 240.0

unhurried = settings(deadline=None, derandomize=True, max_examples=50)


def table(columns: tuple[Column, ...], rows: list[dict]) -> pl.DataFrame:
    """A frame with declared columns; what a row does not say is empty."""
    known = [{column.name: row.get(column.name) for column in columns} for row in rows]
    return pl.DataFrame(known, schema={column.name: column.polars_type for column in columns}, orient="row")


def records(kind: str, *rows: dict) -> pl.DataFrame:
    """Accepted records of one kind."""
    return table(RECORD_KINDS[kind].columns, list(rows))


def derived(name: str, *rows: dict) -> pl.DataFrame:
    """Rows of one derived table."""
    return table(DERIVED_TABLES[name].columns, list(rows))


def catalogue(*rows: dict) -> pl.DataFrame:
    """The catalogue as published; properties not said are no."""
    plain = {"safety": False, "hidden": False, "wear_visible": False, "crew_can_fit": False}
    return table(VOCABULARY_TABLES["catalogue"].columns, [plain | row for row in rows])


def positions(component: str, count: int = 10, **same: object) -> pl.DataFrame:
    """Like positions, one an engine."""
    plain = {"component": component, "carried_by": "engine", "assumed": False, "engine_model": "M40", "base": "north", "water": "salt"}
    return derived(
        "positions", *({**plain, "engine_id": f"e{n}", "vessel_id": f"v{n}", "hours_engine_id": f"e{n}", **same} for n in range(count))
    )


def even_use(count: int = 10, year_h: float = YEAR_H, months: tuple[int, ...] = tuple(range(1, 13))) -> pl.DataFrame:
    """Engines that all run the same hours, spread over some months of the year."""
    a_day = year_h / (len(months) * 365.25 / 12)
    rows = [
        {"engine_id": f"e{n}", "month_of_year": m, "hours_per_day": a_day if m in months else 0.0}
        for n in range(count)
        for m in range(1, 13)
    ]
    return derived("engine_use", *rows)


def fleet(here: pl.DataFrame, **tables: pl.DataFrame) -> Fleet:
    """A fleet with these positions; tables not given are empty, use is even."""
    given = {
        "engine_use": even_use(here.height),
        "catalogue": catalogue(*({"component": word} for word in here["component"].unique())),
        "costs": records("costs"),
        "limits": records("limits"),
        "plan": records("plan"),
    }
    return Fleet(positions=here, **(given | tables))


def weibull(shape: float, scale: float, clock: str = "hours") -> Posterior:
    """A posterior that is sure of one Weibull law."""
    one = np.ones(1)
    block = Block(RANDOM if shape == 1 else WEARS_OUT, "weibull", clock, shape * one, scale * one, one)
    return Posterior((block,), supported={block.clock: scale}, log_evidence=0.0, basis="")


def lives(component: str, low: list[float], failed: list[bool], month_h: float = YEAR_H / 12, **same: object) -> pl.DataFrame:
    """Lives seen from new that ended at an age, failed or as planned."""
    rows = [
        {
            "life_id": f"{component}{n}",
            "component": component,
            "entry_h": 0.0,
            "low_h": age,
            "high_h": age if fails else None,
            "entry_months": 0.0,
            "low_months": age / month_h,
            "high_months": age / month_h if fails else None,
            "ending": "failed" if fails else "planned",
            **same,
        }
        for n, (age, fails) in enumerate(zip(low, failed, strict=True))
    ]
    return derived("lives", *rows)


def drawn_lives(shape: float, scale: float, interval: float, count: int, seed: int = 1, component: str = "part") -> pl.DataFrame:
    """Lives of a Weibull law, renewed as planned at the interval if they last."""
    ages = scale * np.random.default_rng(seed).weibull(shape, count)
    return lives(component, list(np.minimum(ages, interval)), list(ages < interval))


def believed(held: pl.DataFrame, knowledge: Knowledge | None = None) -> Posterior:
    """The posterior of lives on hours."""
    return posterior(ages_from_lives(held, "hours"), Settings().prior, knowledge or Knowledge(), "hours")


def estimate(held: pl.DataFrame, component: str = "part", **more) -> Estimate:
    """The estimate of a whole fleet's lives."""
    return Estimate(component, None, believed(held), held, **more)


def case(**more) -> Case:
    """A case with 40 positions, costs 1 and 5, and an interval of 200 h in force."""
    plain = {
        "component": "part",
        "group": None,
        "posterior": weibull(2.5, 500),
        "lives": lives("part", [400.0] * 30, [True] * 30),
        "positions": 40,
        "use": Use(np.array([YEAR_H]), np.ones(1)),
        "part": Part(),
        "costs": Costs(1.0, 5.0),
        "limit": Limit(),
        "today": Decision(200.0, None),
        "today_from": "plan",
    }
    return Case(**(plain | more))
