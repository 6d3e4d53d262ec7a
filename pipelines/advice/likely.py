"""The likely causes of a call, in order, for one boat, one symptom and one day.

In: the coded calls so far, what was watched, the chance that each part of each boat fails soon. Out: `LikelyCause`s and an unknown rest.
A cause weighs its share of the calls with that symptom (a Dirichlet prior from the trade's cause tree holds small counts back), times how
much likelier than the fleet's average it is here and now: for a part, by its chance of failing at its present age against that of the
same part on the other boats; for the rest, by the rate of this class, base and month against the fleet's, drawn towards 1 as far as few
calls speak. The share of such calls whose cause never came to light stays apart, as unknown.
Elsewhere: the chances (`chances`), what to check and bring (`terms.first_checks`), limits of a share (`fits.rates`).
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

import numpy as np
import polars as pl

from pipelines.terms.causes import CAUSES, UNCODED, UNKNOWN, LifeEffect

PRIOR_CALLS = 4.0
"""How many calls the trade's cause tree counts for, over all causes of a symptom."""
USUAL = 2.0
"""A cause whose usual symptom this is counts so many times one that shows so now and then (common practice, no source)."""
ELSEWHERE = 0.02
"""What a cause of the tree counts for that does not name the symptom: callers see odd things."""
HELD_BACK = 14.0
"""A relative rate is drawn towards 1 as by so many expected calls."""
FURTHEST = 6.0
"""No part's chance counts more than so many times, or less than one in so many, of its fleet average."""
AGE_TELLS = 0.4
"""Power of that ratio that counts: ages and laws are known roughly, and not every failure becomes a call. Of 0, 0.3, 0.5, 0.7 and 1 the
powers around it had the best log score on three made-up fleets, and on two more that were not looked at."""
NOT_TOLD = frozenset({UNCODED, *(code for code, cause in CAUSES.items() if cause.system == UNKNOWN)})
"""Causes that tell nothing: a call coded so counts to the unknown rest."""
HARDLY = 0.005
ANOTHER = "another known cause"
"""Causes hardly likely stand together under this name."""
_DIMENSIONS = ("vessel_class", "base", "month_of_year")


@dataclass(frozen=True)
class Situation:
    """A call now: which boat, of which class and base, what the caller saw (a code), the day."""

    vessel_id: str
    vessel_class: str | None
    base: str | None
    symptom: str
    day: date

    @property
    def marks(self) -> dict[str, object]:
        """Values of the dimensions that rates are compared by."""
        return {"vessel_class": self.vessel_class, "base": self.base, "month_of_year": self.day.month}


@dataclass(frozen=True)
class LikelyCause:
    """One cause with its chance; `calls` is how many calls with the symptom it rests on."""

    cause: str
    component: str
    probability: float
    calls: int


def likely_causes(
    situation: Situation, calls: pl.DataFrame, watched: pl.DataFrame, chances: pl.DataFrame, hardly: float = HARDLY
) -> list[LikelyCause]:
    """Rank the causes of a call.

    Parameters
    ----------
    situation
        The boat, the symptom, the day.
    calls
        Rows of `derived.calls` known so far.
    watched
        Rows of `derived.engine_months`: what the calls are set against.
    chances
        vessel_id, component, chance: of each part in place, to fail soon; empty chance: not known.
    hardly
        Causes less likely than this stand together in one row.

    Returns
    -------
    list[LikelyCause]
        Most likely first, then the hardly likely ones together, `unknown` last; the chances add to one.
    """
    same = calls.filter(pl.col("symptom") == situation.symptom)
    told = same.filter(~pl.col("cause").is_in(list(NOT_TOLD)))
    shares = symptom_shares(told["cause"].to_list(), situation.symptom)
    weights = {cause: share * _factor(cause, situation, calls, watched, chances) for cause, share in shares.items()}
    total = sum(weights.values())
    rest = (same.height - told.height + 1) / (same.height + 2)
    known = [LikelyCause(cause, _component(cause), (1 - rest) * weight / total, same.height) for cause, weight in weights.items() if weight]
    return [*_ranked(known, hardly), LikelyCause(UNKNOWN, "", rest if known else 1.0, same.height)]


def _ranked(known: list[LikelyCause], hardly: float) -> list[LikelyCause]:
    """Sort by chance and fold what is hardly likely into one last row."""
    ranked = sorted((one for one in known if one.probability >= hardly), key=lambda one: (-one.probability, one.cause))
    folded = sum(one.probability for one in known if one.probability < hardly)
    return [*ranked, LikelyCause(ANOTHER, "", folded, known[0].calls)] if folded else ranked


def symptom_shares(causes: list[str], symptom: str) -> dict[str, float]:
    """Share of each cause among the calls with a symptom: posterior mean of a Dirichlet whose prior is the trade's cause tree.

    A cause of the fleet's own that the tree does not hold counts as it was called.
    """
    prior = {code: _prior_weight(code, symptom) for code in CAUSES if code not in NOT_TOLD}
    scale = PRIOR_CALLS / sum(prior.values())
    counts = dict.fromkeys([*prior, *causes], 0)
    for cause in causes:
        counts[cause] += 1
    total = len(causes) + PRIOR_CALLS
    return {cause: (number + scale * prior.get(cause, 0.0)) / total for cause, number in counts.items()}


def part_factor(component: str, vessel_id: str, chances: pl.DataFrame) -> float:
    """How many times likelier than on the fleet's other boats this boat's part is to fail soon; 0: it has none, 1: not known."""
    of_part = chances.filter(pl.col("component") == component)
    if of_part.is_empty():
        return 1.0
    boats = of_part.group_by("vessel_id", maintain_order=True).agg(pl.col("chance").sum(), pl.col("chance").count().alias("known"))
    here = boats.filter(pl.col("vessel_id") == vessel_id)
    if here.is_empty():
        return 0.0
    seen = boats.filter(pl.col("known") > 0)
    average = seen["chance"].mean()
    if not here["known"].item() or not isinstance(average, float) or average <= 0:
        return 1.0
    return float(np.clip(here["chance"].item() / average, 1 / FURTHEST, FURTHEST) ** AGE_TELLS)


def rate_factor(cause: str, marks: Mapping[str, object], calls: pl.DataFrame, watched: pl.DataFrame) -> float:
    """How many times the fleet's rate of a cause this class, base and month have, each drawn towards 1 by few calls."""
    days = watched.group_by("vessel_id", "month", maintain_order=True).agg(pl.col("days").max(), pl.col("vessel_class", "base").first())
    days = days.with_columns(pl.col("month").dt.month().cast(pl.Int64).alias("month_of_year"))
    own = calls.filter(pl.col("cause") == cause).with_columns(pl.col("called_on").dt.month().cast(pl.Int64).alias("month_of_year"))
    whole = float(days["days"].sum())
    factor = 1.0
    for name in _DIMENSIONS:
        mark = marks[name]
        if mark is None or whole <= 0:
            continue
        expected = own.height * float(days.filter(pl.col(name) == mark)["days"].sum()) / whole
        factor *= (own.filter(pl.col(name) == mark).height + HELD_BACK) / (expected + HELD_BACK)
    return factor


def _factor(cause: str, situation: Situation, calls: pl.DataFrame, watched: pl.DataFrame, chances: pl.DataFrame) -> float:
    known = CAUSES.get(cause)
    if known is None or not known.component:
        return rate_factor(cause, situation.marks, calls, watched)
    ageing = part_factor(known.component, situation.vessel_id, chances)
    if known.effect is LifeEffect.FAILURE:
        return ageing
    return rate_factor(cause, situation.marks, calls, watched) if ageing else 0.0


def _prior_weight(cause: str, symptom: str) -> float:
    symptoms = CAUSES[cause].symptoms
    if symptom not in symptoms:
        return ELSEWHERE
    return USUAL if symptoms[0] == symptom else 1.0


def _component(cause: str) -> str:
    return CAUSES[cause].component if cause in CAUSES else ""
