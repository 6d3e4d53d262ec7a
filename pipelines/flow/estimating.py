"""From lives to what is believed, advised, due and stocked: each estimate made by one function, whoever asks.

In: a source of `derived` and `accepted`, filters, settings. Out: frames with the columns of the answers.
Elsewhere: the lives (`lives`), each method (`fits`, `advice`), which question it answers (`answering`).
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from pathlib import Path

import polars as pl

from pipelines.advice.budget import lists_compared, order_within, purchases
from pipelines.advice.case import Estimate, Fleet
from pipelines.advice.chances import failure_chances
from pipelines.advice.cost_curve import CURVE_SCHEMA, cost_curves
from pipelines.advice.due import HORIZONS, due_tasks
from pipelines.advice.labour import with_labour
from pipelines.advice.looks import last_looks
from pipelines.advice.present import present_parts
from pipelines.advice.put_off import NOTHING_PUT_OFF
from pipelines.advice.season_use import USUAL, doubt_ahead
from pipelines.advice.seasons import Seasons
from pipelines.advice.sharing import sharing_rows
from pipelines.advice.shelves_served import unserved
from pipelines.advice.stock import Question, shelves
from pipelines.advice.stock_rows import stock_rows
from pipelines.advice.verdict import interval_rows
from pipelines.advice.visit_plan import Manner, planned_visits
from pipelines.advice.yard import Yard
from pipelines.fits.fit_table import fit_table
from pipelines.fits.known_figures import KnownFigures
from pipelines.flow.grouping import Part, groups_asked_for, groups_told_apart, with_candidates
from pipelines.flow.outside import costs_of
from pipelines.flow.scoping import OUR_GROUPS, of_scope, seen_since
from pipelines.flow.sources import Source, known_day
from pipelines.lives.frames import lives_frame, with_groups
from pipelines.terms.scope import Scope
from pipelines.terms.seasons import season_of
from pipelines.terms.settings import Settings

SOON_DAYS = 30.0
WORDED = "select * from accepted."


@dataclass(frozen=True)
class Matter:
    """What the estimates of a scope read, taken from the source once.

    Attributes
    ----------
    as_of
        Last day that is known.
    lives
        Lives of the scope, with their evidence.
    fleet
        Positions of the scope, use, catalogue, costs, limits, plan.
    parts, looks
        Accepted parts of the scope; inspections and tests that found a part sound.
    vessels, engines
        Accepted records, for columns of the fleet's own.
    tickets
        Accepted service tickets: component, action, labour_h.
    put_offs
        Tasks that were put off by the last day known, or by the day asked about.
    use_sd
        Standard deviation of the logarithm of how much a season's use differs from what was expected.
    """

    as_of: date
    lives: pl.DataFrame
    fleet: Fleet
    parts: pl.DataFrame
    looks: pl.DataFrame
    vessels: pl.DataFrame
    engines: pl.DataFrame
    tickets: pl.DataFrame = field(
        default_factory=lambda: pl.DataFrame(schema={"component": pl.String, "action": pl.String, "labour_h": pl.Float64})
    )
    put_offs: pl.DataFrame = field(default_factory=lambda: NOTHING_PUT_OFF)
    use_sd: float = USUAL

    @property
    def known(self) -> KnownFigures:
        """Limits, expected lives and plans, for the prior."""
        return KnownFigures(self.fleet.limits, self.fleet.plan)

    @property
    def currency(self) -> str:
        """Currency of the costs; empty: not said, or more than one."""
        said = self.fleet.costs["currency"].drop_nulls().unique().to_list()
        return said[0] if len(said) == 1 else ""

    def grouped(self, by: Sequence[str]) -> "tuple[Matter, tuple[str, ...]]":
        """Add the columns that the words of `by` mean to lives and positions; return them with their names."""
        columns = tuple(OUR_GROUPS.get(word, word) for word in by)
        lives, positions = (with_groups(frame, self.vessels, self.engines, columns) for frame in (self.lives, self.fleet.positions))
        return replace(self, lives=lives, fleet=replace(self.fleet, positions=positions)), columns

    def with_candidates(self) -> "tuple[Matter, tuple[str, ...]]":
        """Add every column that may tell lives apart to lives and positions; return them with their names."""
        lives, names = with_candidates(self.lives, self.vessels, self.engines)
        positions, _ = with_candidates(self.fleet.positions, self.vessels, self.engines)
        return replace(self, lives=lives, fleet=replace(self.fleet, positions=positions)), names

    def every_part(self, settings: Settings) -> Iterator[Part]:
        """Give every component with lives or positions, in alphabetical order."""
        clocks = dict(self.fleet.catalogue.select("component", "clock").iter_rows())
        known = self.known
        lives, places = (frame.partition_by("component", as_dict=True) for frame in (self.lives, self.fleet.positions))
        for key in sorted(lives.keys() | places.keys()):
            held, fitted = lives.get(key, self.lives.clear()), places.get(key, self.fleet.positions.clear())
            yield Part(str(key[0]), held, fitted, known, settings, clocks.get(key[0]) or "hm")


def lives_of(source: Source, scope: Scope) -> pl.DataFrame:
    """Return the lives of a scope, each with the rows it came from."""
    return lives_frame(source, scope)


def matter_of(source: Source, scope: Scope, costs_file: Path | None = None) -> Matter:
    """Read what the estimates of a scope need; costs from a file replace the ledger's."""
    fleet = Fleet(
        positions=of_scope(source.frame("select * from derived.positions"), scope),
        engine_use=source.frame("select * from derived.engine_use"),
        catalogue=source.frame(f"{WORDED}catalogue"),
        costs=source.frame(f"{WORDED}costs order by row_id") if costs_file is None else costs_of(costs_file, source),
        limits=source.frame(f"{WORDED}limits order by row_id"),
        plan=source.frame(f"{WORDED}plan order by row_id"),
        fitted_now=source.frame("select * from derived.fitted_now"),
    )
    every_life = source.frame("select * from derived.lives")
    tickets = source.frame(f"{WORDED}service_tickets")
    put_offs = source.frame("select * from about.put_offs")
    looks = last_looks(
        every_life,
        source.frame("select * from derived.life_evidence"),
        tickets,
        source.frame("select engine_id, on_date, hours from derived.hours_at"),
    )
    return Matter(
        as_of=known_day(source),
        lives=seen_since(lives_of(source, replace(scope, since=None)), scope.since),
        fleet=fleet,
        parts=of_scope(source.frame(f"{WORDED}parts order by row_id"), scope),
        looks=looks,
        vessels=source.frame(f"{WORDED}vessels"),
        engines=source.frame(f"{WORDED}engines"),
        tickets=tickets.select("component", "action", "labour_h"),
        put_offs=put_offs if scope.as_of is None else put_offs.filter(pl.col("put_off_on") <= scope.as_of),
        use_sd=doubt_ahead(source.frame("select month, days, engine_h from derived.engine_months"), lambda month: season_of(month).name),
    )


def fit_rows(matter: Matter, by: Sequence[str], clock: str, settings: Settings) -> pl.DataFrame:
    """Rows of the answer `fits`."""
    grouped, columns = matter.grouped(by)
    return fit_table(grouped.lives, columns, clock, settings, matter.known)


def estimates_of(matter: Matter, columns: Sequence[str], settings: Settings) -> list[Estimate]:
    """Say what the lives of every component and group leave open; a component with positions and no life rests on its prior alone."""
    parts = matter.every_part(settings)
    return [one for part in parts for one in (groups_asked_for(part, columns) if columns else (part.estimate(),))]


def told_apart(matter: Matter, settings: Settings) -> tuple[Matter, list[Estimate]]:
    """Estimate every component, by groups where its lives tell them apart; also give the matter with the columns of those groups."""
    wide, candidates = matter.with_candidates()
    return wide, [one for part in wide.every_part(settings) for one in groups_told_apart(part, wide.fleet, candidates)]


def interval_rows_of(
    matter: Matter, by: Sequence[str], settings: Settings, with_curves: bool = False
) -> tuple[pl.DataFrame, pl.DataFrame | None]:
    """Rows of the answer `intervals`, by what the words of `by` mean, else by groups that are told apart; see `verdicts_of`."""
    if not by:
        wide, estimates = told_apart(matter, settings)
        return verdicts_of(estimates, wide, settings, with_curves)
    grouped, columns = matter.grouped(by)
    return verdicts_of(estimates_of(grouped, columns, settings), grouped, settings, with_curves)


def verdicts_of(
    estimates: Sequence[Estimate], matter: Matter, settings: Settings, with_curves: bool = False
) -> tuple[pl.DataFrame, pl.DataFrame | None]:
    """Rows of the answer `intervals`; with curves, also what each interval would cost: component, clock, age, cost, low, high."""
    rows = interval_rows(estimates, matter.fleet, settings)
    if not with_curves:
        return rows, None
    curves = [cost_curves(estimate, matter.fleet, settings) for estimate in estimates]
    return rows, pl.concat([pl.DataFrame(schema=CURVE_SCHEMA), *curves])


def chances_of(estimates: Sequence[Estimate], matter: Matter, days: float = SOON_DAYS) -> pl.DataFrame:
    """Return the chance of every part in place to fail within so many days: vessel_id, component, chance (empty: not known)."""
    seasons = Seasons(matter.fleet.engine_use, matter.as_of)
    present = present_parts(matter.fleet.positions, matter.lives, matter.fleet.engine_use, matter.fleet.fitted_now)
    chance = pl.Series("chance", failure_chances(present, estimates, seasons, days)).fill_nan(None)
    return present.select("vessel_id", "component", chance)


def due_tasks_of(matter: Matter, settings: Settings, horizons: Sequence[int] = HORIZONS) -> pl.DataFrame:
    """Every task of every position with what is told of it; see `tasks_of`."""
    wide, estimates = told_apart(matter, settings)
    return tasks_of(estimates, wide, horizons)


def tasks_of(estimates: Sequence[Estimate], matter: Matter, horizons: Sequence[int] = HORIZONS) -> pl.DataFrame:
    """Every task of every position by estimates that are made already: `advice.due_tasks` with labour_h, labour_from and failure_cost."""
    tasks = due_tasks(matter.fleet, matter.lives, matter.looks, estimates, matter.as_of, matter.put_offs, horizons)
    costs = matter.fleet.costs.select("component", "failure_cost").unique("component", keep="last", maintain_order=True)
    return with_labour(tasks, matter.tickets).join(costs, on="component", how="left", maintain_order="left")


def visit_jobs_of(estimates: Sequence[Estimate], matter: Matter, tasks: pl.DataFrame, days: int, manner: Manner) -> pl.DataFrame:
    """Every job within so many days with the day of its visit, by tasks and estimates that are made already: `advice.planned_visits`."""
    return planned_visits(tasks, matter.fleet, estimates, matter.as_of, days, manner)


@dataclass(frozen=True, eq=False)
class Stocked:
    """The answer `stock`: its rows, and what stands beside them.

    Attributes
    ----------
    rows
        One a part and base.
    purchases
        What money buys, pack by pack, best buy first (`advice.budget.purchases`); `advice.budget.list_at` reads the list at any budget.
    lists
        Plain rules against the best buys (`advice.budget.lists_compared`).
    sharing
        One shelf for several bases (`advice.sharing.sharing_rows`).
    unserved
        Positions that no recorded part is for: component, base, positions.
    """

    rows: pl.DataFrame
    purchases: pl.DataFrame
    lists: pl.DataFrame
    sharing: pl.DataFrame
    unserved: pl.DataFrame

    @property
    def tables(self) -> dict[str, pl.DataFrame]:
        """All of it by the name it is kept under in a published copy."""
        return {"stock": self.rows, **{f"stock_{name}": getattr(self, name) for name in BESIDE_STOCK}}


BESIDE_STOCK = ("purchases", "lists", "sharing", "unserved")


def stocked_of(matter: Matter, settings: Settings) -> Stocked:
    """Work out the answer `stock`."""
    wide, estimates = told_apart(matter, settings)
    return shelf_of(estimates, wide, settings)


def shelf_of(estimates: Sequence[Estimate], matter: Matter, settings: Settings) -> Stocked:
    """Work out the answer `stock` by estimates that are made already."""
    yard = Yard(matter.engines, matter.vessels, matter.use_sd, settings.condition_fraction)
    question = Question(matter.parts, matter.fleet, matter.lives, estimates, matter.as_of, settings, yard)
    held = shelves(question)
    bought = purchases(held)
    return Stocked(
        stock_rows(held, settings, matter.as_of, matter.currency),
        bought,
        lists_compared(held, bought, settings.service_level),
        sharing_rows(question, held, matter.currency),
        unserved(question.rules, question.present),
    )


def within_budget(stocked: Stocked, budget: float) -> Stocked:
    """Put the order that a budget buys into the rows."""
    return replace(stocked, rows=order_within(stocked.rows, stocked.purchases, budget))
