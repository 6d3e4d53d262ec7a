"""Everything one verdict rests on, gathered: lives, laws, use, costs, limits, today's interval, what sort of part it is.

In: estimates a component and group, positions, and the accepted records `costs`, `limits`, `plan` and the catalogue. Out: `Case`.
Elsewhere: the choice (`interval`), the words (`verdict`).
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property

import polars as pl

from pipelines.advice.current_plan import with_interval
from pipelines.advice.present import NOTHING_SAID
from pipelines.advice.prospect import Decision
from pipelines.advice.use import Use, use_of
from pipelines.fits.posterior import Posterior

FAILED = ("failed", "found failed")
ON_CONDITION = "condition"


@dataclass(frozen=True)
class Estimate:
    """What the lives of one component, in one group, leave open.

    Attributes
    ----------
    component
        The part.
    group
        {column of `derived.positions`: word}; `None`: the whole fleet.
    posterior
        Laws with weights; `None`: no life is known.
    lives
        Rows of `derived.lives` the posterior rests on.
    every_life
        Lives of all groups of the part, where the posterior borrows strength from them; `None`: it rests on `lives` alone.
    told_apart
        Why the part has groups, in words; empty: it was asked for, or it has none.
    """

    component: str
    group: Mapping[str, str | None] | None
    posterior: Posterior | None
    lives: pl.DataFrame
    every_life: pl.DataFrame | None = None
    told_apart: str = ""

    @property
    def is_of(self) -> pl.Expr:
        """Whether a position is of this component and group; a group whose word is empty is that of the positions without one."""
        group = (pl.col(column).eq_missing(pl.lit(word, pl.String)) for column, word in (self.group or {}).items())
        return pl.all_horizontal(pl.col("component") == self.component, *group)


@dataclass(frozen=True, eq=False)
class Fleet:
    """The tables that every verdict reads, as they stand in `derived` and `accepted`."""

    positions: pl.DataFrame
    engine_use: pl.DataFrame
    catalogue: pl.DataFrame
    costs: pl.DataFrame
    limits: pl.DataFrame
    plan: pl.DataFrame
    fitted_now: pl.DataFrame = field(default_factory=lambda: NOTHING_SAID)

    @cached_property
    def renewals(self) -> pl.DataFrame:
        """Positions with the renewal interval in force."""
        return with_interval(self.positions, self.plan, self.limits)

    @cached_property
    def tests(self) -> pl.DataFrame:
        """Positions with the test interval in force."""
        return with_interval(self.positions, self.plan, self.limits, "test")

    @cached_property
    def inspections(self) -> pl.DataFrame:
        """Positions with the inspection interval in force."""
        return with_interval(self.positions, self.plan, self.limits, "inspect")


@dataclass(frozen=True)
class Part:
    """What sort of part it is."""

    safety: bool = False
    hidden: bool = False
    wear_visible: bool = False

    @property
    def must_not_fail(self) -> bool:
        """Whether it is never left to run to failure."""
        return self.safety or self.hidden


@dataclass(frozen=True)
class Costs:
    """Money per position, without the visit; the visit apart (`None`: not given)."""

    planned: float
    failure: float
    visit: float | None = None
    currency: str = ""


@dataclass(frozen=True)
class Limit:
    """The shortest limit over the positions of a case; `ceiling` is what must be kept of it."""

    hours: float | None = None
    months: float | None = None
    binding: bool | None = None
    ceiling_hours: float | None = None
    ceiling_months: float | None = None

    @property
    def is_ceiling(self) -> bool:
        """Whether any of it must be kept."""
        return self.ceiling_hours is not None or self.ceiling_months is not None


@dataclass(frozen=True)
class Case:
    """One verdict's matter.

    Attributes
    ----------
    today, today_from
        The interval in force at most positions, and what it comes from: `plan`, `limit` or empty (not known).
    todays, makers
        Every interval in force, and every limit, with the number of positions it holds for: where models or bases have their own, each
        position is reckoned by its own.
    """

    component: str
    group: Mapping[str, str | None] | None
    posterior: Posterior | None
    lives: pl.DataFrame
    positions: int
    use: Use
    part: Part
    costs: Costs | None
    limit: Limit
    today: Decision
    today_from: str
    test_limit: Limit = Limit()
    inspect_limit: Limit = Limit()
    every_life: pl.DataFrame | None = None
    told_apart: str = ""
    todays: tuple[tuple[Decision, int], ...] = ()
    makers: tuple[tuple[Decision, int], ...] = ()

    @property
    def kept(self) -> Decision:
        """Today's interval as it may stand for the whole row: within what must be kept of the limits, even those of one model."""
        hours = [age for age in (self.today.hours, self.limit.ceiling_hours) if age is not None]
        months = [age for age in (self.today.months, self.limit.ceiling_months) if age is not None]
        return Decision(min(hours, default=None), min(months, default=None))

    @property
    def may_fail(self) -> bool:
        """Whether nothing forbids to leave it until it fails."""
        return not (self.part.must_not_fail or self.limit.is_ceiling)

    @property
    def evidence(self) -> list[int]:
        """Rows of the ledger that its failures and condition renewals came from, in order."""
        if "evidence" not in self.lives.columns:
            return []
        rows = self.lives.filter(pl.col("ending").is_in((*FAILED, ON_CONDITION)))["evidence"]
        return sorted(rows.explode().drop_nulls().unique().to_list())

    @property
    def behind(self) -> pl.DataFrame:
        """Lives that bear on the case: those of other groups too where its laws borrow strength from them."""
        return self.lives if self.every_life is None else self.every_life

    @property
    def signs(self) -> int:
        """Failures and condition renewals among the lives that bear on the case."""
        return self.behind.filter(pl.col("ending").is_in((*FAILED, ON_CONDITION))).height

    @property
    def failures(self) -> int:
        """Lives that failed, found failed ones too."""
        return self.lives.filter(pl.col("ending").is_in(FAILED)).height

    @property
    def condition_renewals(self) -> int:
        """Lives ended because the part looked worn: it would have failed soon."""
        return self.lives.filter(pl.col("ending") == ON_CONDITION).height


def case_of(estimate: Estimate, fleet: Fleet) -> Case:
    """Gather the case of one estimate."""
    here, tested, inspected = (positions.filter(estimate.is_of) for positions in (fleet.renewals, fleet.tests, fleet.inspections))
    today, today_from = _most_common_interval(here)
    return Case(
        estimate.component,
        estimate.group,
        estimate.posterior,
        estimate.lives,
        here.height,
        use_of(here, fleet.engine_use),
        part_of(fleet.catalogue, estimate.component),
        costs_of(fleet.costs, estimate.component),
        _shortest_limit(here),
        today,
        today_from,
        _shortest_limit(tested),
        _shortest_limit(inspected),
        estimate.every_life,
        estimate.told_apart,
        _each_of(here.filter(pl.col("interval_from").is_not_null()), "every_h", "every_months"),
        _each_of(here.filter(pl.col("limit_binding").is_not_null()), "limit_h", "limit_months"),
    )


def _most_common_interval(positions: pl.DataFrame) -> tuple[Decision, str]:
    known = positions.filter(pl.col("interval_from").is_not_null())
    if known.is_empty():
        return Decision(), ""
    counted = known.group_by("every_h", "every_months", "interval_from", maintain_order=True).len()
    hours, months, interval_from, _ = counted.sort("len", descending=True, maintain_order=True).row(0)
    return Decision(hours, months), interval_from


def _each_of(positions: pl.DataFrame, hours: str, months: str) -> tuple[tuple[Decision, int], ...]:
    counted = positions.group_by(hours, months, maintain_order=True).len()
    return tuple((Decision(*interval), count) for *interval, count in counted.iter_rows())


def _shortest_limit(positions: pl.DataFrame) -> Limit:
    """Give the shortest of the limits that must be kept, or else of the others; it binds where one that it is taken from does."""
    limited = positions.filter(pl.col("limit_binding").is_not_null())
    if limited.is_empty():
        return Limit()
    kept = limited.filter("limit_is_ceiling")
    told = kept if kept.height else limited
    hours, months = told.select("limit_h", "limit_months").min().row(0)
    shortest = (pl.col(name) == pl.col(name).min() for name in ("limit_h", "limit_months"))
    binds = told.filter(pl.any_horizontal(each.fill_null(value=False) for each in shortest))["limit_binding"].any()
    return Limit(hours, months, bool(binds), *((hours, months) if kept.height else (None, None)))


def part_of(catalogue: pl.DataFrame, component: str) -> Part:
    """Look up what sort of part a component is."""
    row = catalogue.filter(pl.col("component") == component)
    if row.is_empty():
        return Part()
    return Part(**{name: bool(value) for name, value in row.select("safety", "hidden", "wear_visible").row(0, named=True).items()})


def costs_of(costs: pl.DataFrame, component: str) -> Costs | None:
    """Look up the costs of a component; the last row counts. `None`: not given."""
    row = costs.filter(pl.col("component") == component) if costs.width else costs
    if row.is_empty():
        return None
    planned, failure, visit, currency = row.select("planned_cost", "failure_cost", "visit_cost", "currency").row(-1)
    return Costs(planned, failure, visit, currency or "")
