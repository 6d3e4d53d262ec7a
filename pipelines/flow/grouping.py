"""Estimates by group: the groups that were asked for, or those that a part's lives tell apart by themselves.

In: lives and positions of a scope with columns of boats and engines, what is known, settings. Out: `Estimate`s.
Groups borrow strength from each other either way. Unasked, a part gets rows of its own groups where a column tells its lives apart surely
enough (`settings.tell_apart`) and intervals of their own save enough; else it keeps one row for the whole fleet.
Elsewhere: the hierarchy (`fits.splits`), the choice of a column (`fits.covariates`), whether it pays (`advice.telling_apart`).
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import polars as pl

from pipelines.advice.case import Estimate, Fleet
from pipelines.advice.telling_apart import worth_telling_apart
from pipelines.fits.clocks import posterior_of
from pipelines.fits.covariates import Telling, strata_of, strata_posteriors, tell_apart
from pipelines.fits.known_figures import KnownFigures, hours_per_month
from pipelines.fits.posterior import Posterior
from pipelines.fits.splits import Strata, Stratum, Whole
from pipelines.lives.frames import own_columns, with_groups
from pipelines.terms.settings import Settings

ON_OFFER = ("engine_model", "base", "water", "bottom", "vessel_class", "drive", "fuel")
"""Columns on offer beside the fleet's own; of two that part the lives alike the first stands, so those that a plan can name lead."""

NOT_KNOWN = "not known"
_CLOCKS = ("hours", "months")


@dataclass(frozen=True)
class Part:
    """One part's lives and positions, and how its laws are estimated."""

    component: str
    lives: pl.DataFrame
    places: pl.DataFrame
    known: KnownFigures
    settings: Settings
    trade_clock: str

    def whole(self, lives: pl.DataFrame) -> Posterior:
        """Believe of some of its lives, taken as one."""
        return posterior_of(lives, self.component, None, self.known, self.settings.prior, self.trade_clock)

    def estimate(self) -> Estimate:
        """Estimate the part as a whole."""
        return Estimate(self.component, None, self.whole(self.lives), self.lives)

    def taken_as_one(self, lives: pl.DataFrame, posterior: Posterior) -> Whole:
        """Gather what strata of some of its lives are weighed by."""
        rate = hours_per_month(lives)
        knowledge = {clock: self.known.about(self.component, None, clock, rate) for clock in _CLOCKS}
        return Whole(posterior, lives, knowledge, self.settings.prior)


def with_candidates(frame: pl.DataFrame, vessels: pl.DataFrame, engines: pl.DataFrame) -> tuple[pl.DataFrame, tuple[str, ...]]:
    """Add every column that may tell lives apart, gaps told as such, and return their names."""
    names = (*ON_OFFER, *own_columns(vessels, engines))
    wide = with_groups(frame, vessels, engines, names)
    return wide.with_columns(pl.col(name).cast(pl.String).fill_null(NOT_KNOWN) for name in names), names


def groups_asked_for(part: Part, columns: Sequence[str]) -> list[Estimate]:
    """Estimate the groups of some columns; a single group is the whole."""
    strata = strata_of(part.lives, part.places, columns)
    posterior = part.whole(part.lives)
    if len(strata) < 2:
        return [Estimate(part.component, _group(columns, one), posterior, part.lives) for one in strata]
    believed = strata_posteriors(part.taken_as_one(part.lives, posterior), strata)
    return [_estimate(part, columns, strata, stratum, believed[stratum]) for stratum in strata]


def groups_told_apart(part: Part, fleet: Fleet, candidates: Sequence[str]) -> list[Estimate]:
    """Estimate the part as a whole, or by the groups that its lives tell apart where that is worth it."""
    one = part.estimate()
    if one.posterior is None or part.lives.is_empty():
        return [one]
    telling = tell_apart(part.taken_as_one(part.lives, one.posterior), part.places, candidates, part.settings.tell_apart)
    groups = list(_told(part, telling))
    return groups if groups and worth_telling_apart(one, groups, fleet, part.settings) else [one]


def _told(part: Part, telling: Telling) -> Iterator[Estimate]:
    """Give the groups told apart that have positions."""
    if not telling.columns:
        return
    strata = strata_of(part.lives, part.places, telling.columns)
    named = " and ".join(word.replace("_", " ") for word in telling.columns)
    said = f"told apart by {named} (chance that it matters {100 * telling.probability:.0f} %)"
    for stratum in sorted(set(part.places.select(telling.columns).iter_rows())):
        yield replace(_estimate(part, telling.columns, strata, stratum, telling.posteriors[stratum]), told_apart=said)


def _estimate(part: Part, columns: Sequence[str], strata: Strata, stratum: Stratum, posterior: Posterior) -> Estimate:
    return Estimate(part.component, _group(columns, stratum), posterior, part.lives[strata[stratum]], part.lives)


def _group(columns: Sequence[str], stratum: Stratum) -> dict[str, str | None]:
    return dict(zip(columns, (word or None for word in stratum), strict=True))
