"""What will be asked of every stocked part of a fleet.

In: the accepted records `parts`, the fleet's tables, lives, estimates, settings, the yard so far. Out: one `Shelf` a part and base, with
what to know about it in words.
Elsewhere: one shelf (`shelf`), which positions it is for (`shelves_served`), how many events ask for it (`demand`), rows (`stock_rows`).
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property

import numpy as np
import polars as pl
from numpy.typing import NDArray

from pipelines.advice.case import Costs, Estimate, Fleet, costs_of
from pipelines.advice.current_plan import with_interval
from pipelines.advice.day_lattice import month_ends
from pipelines.advice.demand import NOTHING_WANTED, Counted, Wanted, counted
from pipelines.advice.ends_ahead import Manner
from pipelines.advice.present import RUNNING, UNKNOWN, present_parts
from pipelines.advice.seasons import Seasons
from pipelines.advice.shelf import Shelf
from pipelines.advice.shelves_served import Rule, beside, is_served, served, words
from pipelines.advice.waiting import waiting_of
from pipelines.advice.words import counted as told_count
from pipelines.advice.yard import Yard, as_kept_so_far, bad_fittings, manner_of, oldest_of, yard_habits
from pipelines.terms.settings import Settings

Words = NDArray[np.bool_]

TAKES_NO_PART = ("running", "withdrawn")
"""Endings of a life that take no part off the shelf."""
_YEAR = timedelta(days=365)
_KNOWN_FROM_LIVES = "ages seen"
_ALMOST_NONE, _LATE = 0.02, 0.1


@dataclass(frozen=True, eq=False)
class Question:
    """All that is asked about, for every part on the shelf.

    Attributes
    ----------
    parts
        Accepted records of that kind.
    fleet
        Positions, use, plan, limits, costs.
    lives
        Rows of `derived.lives`.
    estimates
        Laws of the components.
    as_of
        Today.
    settings
        Season, service level, costs of holding and waiting.
    yard
        How the yard has renewed so far, and how much use is in doubt.
    """

    parts: pl.DataFrame
    fleet: Fleet
    lives: pl.DataFrame
    estimates: Sequence[Estimate]
    as_of: date
    settings: Settings
    yard: Yard

    @cached_property
    def seasons(self) -> Seasons:
        """Engine hours ahead."""
        return Seasons(self.fleet.engine_use, self.as_of)

    @cached_property
    def present(self) -> pl.DataFrame:
        """Parts in place, with the interval in force."""
        here = present_parts(self.fleet.positions, self.lives, self.fleet.engine_use, self.fleet.fitted_now)
        return with_interval(here, self.fleet.plan, self.fleet.limits)

    @cached_property
    def reaches_back(self) -> date | None:
        """Day on which the earliest life began; `None`: there is none."""
        return self.lives.select(pl.col("began_on").min()).item()

    @cached_property
    def habits(self) -> dict:
        """When the yard renews, by component."""
        return yard_habits(self.lives, self.fleet)

    @cached_property
    def rules(self) -> list[dict]:
        """The parts, as rows."""
        return self.parts.to_dicts()

    @cached_property
    def of_components(self) -> "dict[str, OfComponent]":
        """What every component that is stocked rests on, made once."""
        names = dict.fromkeys(word for rule in self.rules for word in words(rule["component"]))
        return {name: self._of(name) for name in names}

    def _of(self, component: str) -> "OfComponent":
        lives = self.lives.filter(pl.col("component") == component)
        estimates = [one for one in self.estimates if one.component == component and _says_something(one, lives)]
        manner = manner_of(lives, self.habits.get(component, self.habits[""]), self.yard)
        here, kept = as_kept_so_far(self.present.filter(pl.col("component") == component), lives)
        takers = [place for place, rule in enumerate(self.rules) if component in words(rule["component"])]
        taken = {place: is_served(self.rules[place], self.rules, here) for place in takers}
        known = (lives, estimates, manner, here, kept, costs_of(self.fleet.costs, component), bad_fittings(estimates, self.fleet), taken)
        return OfComponent(*known, self._counted(here, taken, lives, estimates, manner))

    def _counted(
        self, here: pl.DataFrame, taken: dict[int, Words], lives: pl.DataFrame, laws: Sequence[Estimate], manner: Manner
    ) -> Counted | None:
        """Count what becomes of the parts of a component; parts that other shelves serve are not gathered with one another."""
        days = sorted({day for place in taken for day in self.days(self.rules[place]["lead_time_d"] or 0.0)})
        if here.is_empty() or not days:
            return None
        _, label = np.unique(np.stack(list(taken.values()), axis=1), axis=0, return_inverse=True)
        return counted(here, laws, self.seasons, lives, days, manner, oldest_of(here, self.yard, self.as_of), label)

    def lives_of(self, rule: Rule) -> pl.DataFrame:
        """Lives of the components that take a part."""
        return pl.concat([self.of_components[name].lives for name in words(rule["component"])])

    def days(self, lead_days: float) -> list[float]:
        """Days at which counts are read: ends of lead time and season, and of every month and half month until the later."""
        horizon = float(self.settings.horizon_days)
        ends = [float((end - self.as_of).days) for end in month_ends(self.as_of, max(lead_days, horizon))]
        halves = [(first + last) / 2 for first, last in zip([0.0, *ends], ends, strict=False)]
        return sorted({day for day in (lead_days, horizon, *ends, *halves) if day > 0})


@dataclass(frozen=True, eq=False)
class OfComponent:
    """What one component rests on.

    Attributes
    ----------
    lives, estimates, manner
        Its lives and laws, and how its parts end.
    parts, kept
        Parts in place with the interval in force, and the interval that was kept so far where none is (words; empty: none filled in).
    costs, badly
        Its costs, and the share of new parts that die of bad fitting.
    taken
        {place of the rule: whether each of the parts is served by it}.
    counts
        What becomes of the parts; `None`: there are none.
    """

    lives: pl.DataFrame
    estimates: Sequence[Estimate]
    manner: Manner
    parts: pl.DataFrame
    kept: str
    costs: Costs | None
    badly: float
    taken: dict[int, Words]
    counts: Counted | None


def shelves(question: Question) -> list[Shelf]:
    """Work out what will be asked of every stocked part."""
    return [_shelf(question, place) for place in range(len(question.rules))]


def wanted_by(question: Question, places: Sequence[int], lead_days: float) -> Wanted:
    """Events that the positions of these parts ask for together by every day read; components that share a part are added."""
    each = []
    for name in dict.fromkeys(word for place in places for word in words(question.rules[place]["component"])):
        of = question.of_components[name]
        if of.counts is not None:
            chosen = np.any([of.taken[place] for place in places if place in of.taken], axis=0)
            each.append(of.counts.wanted(chosen, question.days(lead_days)))
    return Wanted.together([one for one in each if one is not NOTHING_WANTED])


def _shelf(question: Question, place: int) -> Shelf:
    rule = question.rules[place]
    lead_days, quantity, horizon = rule["lead_time_d"] or 0.0, rule["quantity_per_fit"] or 1.0, float(question.settings.horizon_days)
    wanted = wanted_by(question, [place], lead_days)
    first = question.of_components[words(rule["component"])[0]]
    parts = pl.concat([of.parts.filter(of.taken[place]) for name in words(rule["component"]) if (of := question.of_components[name])])
    obsolete = _why_obsolete(question, rule) if parts.is_empty() else ""
    return Shelf(
        rule["part_id"],
        rule["component"],
        rule["base"] or None,
        rule["on_hand"] or 0,
        rule["on_order"] or 0,
        max(1, rule["pack_size"] or 1),
        rule["unit_cost"] or 0.0,
        wanted.by(lead_days).times(quantity),
        wanted.by(horizon).times(quantity),
        obsolete or _note(question, rule, parts, lead_days),
        quantity,
        lead_days,
        horizon,
        wanted,
        parts.height,
        rule["supplier"],
        obsolete,
        _last_year(question, rule, quantity),
        waiting_of(first.costs, lead_days, question.settings),
    )


def _says_something(estimate: Estimate, lives: pl.DataFrame) -> bool:
    """Whether an estimate rests on lives or on a figure of the maker, peers or plan; a flat prior alone foretells nothing."""
    return estimate.posterior is not None and not (lives.is_empty() and _KNOWN_FROM_LIVES in estimate.posterior.basis)


def _why_obsolete(question: Question, rule: Rule) -> str:
    ever = served(rule, question.rules, question.lives_of(rule))
    if ever.is_empty():
        return "No engine or boat here takes it, so nothing will ask for it."
    last = ever["ended_on"].max()
    return f"Obsolete: every engine or boat that took it has been withdrawn, the last on {last}. Nothing will ask for it."


def _last_year(question: Question, rule: Rule, quantity: float) -> int | None:
    """Pieces that the same days of the year before took; `None` where no record reaches so far back."""
    begins = question.as_of - _YEAR
    ends = begins + timedelta(days=question.settings.horizon_days)
    if question.reaches_back is None or question.reaches_back > begins:
        return None
    ended = (pl.col("ended_on") > begins) & (pl.col("ended_on") <= ends) & ~pl.col("ending").is_in(TAKES_NO_PART)
    used = served(rule, question.rules, question.lives_of(rule).filter(ended)).height
    return -int(-(used * quantity) // 1)


def _note(question: Question, rule: Rule, parts: pl.DataFrame, lead_days: float) -> str:
    told = (
        *_unknown_laws(question, rule),
        _interval_words(question, rule, parts),
        _unknown_ages(parts),
        _early_words(question, rule),
        _beside_words(rule, question.rules),
        "With no lead time nothing need be held: order when it is asked for." if lead_days <= 0 else "",
    )
    return " ".join(one for one in told if one)


def _unknown_laws(question: Question, rule: Rule) -> Iterator[str]:
    for name in words(rule["component"]):
        of = question.of_components[name]
        if of.lives.is_empty() and of.parts["assumed"].all():
            yield "Where it is fitted is assumed: no record of `fitted` or of work names it."
        if not of.estimates:
            yield f"No life of {name} is known, nor how long it should last: planned renewals only, failures are not counted."
        elif of.lives.is_empty():
            yield f"No life of {name} is known: what the maker, peers or the plan say of it is all that is counted by."


def _interval_words(question: Question, rule: Rule, parts: pl.DataFrame) -> str:
    of = question.of_components[words(rule["component"])[0]]
    if of.kept and parts["interval_from"].is_null().any():
        return f"No interval is in force: taken as renewed so far, about every {of.kept}."
    if parts.select("every_h", "every_months").null_count().sum_horizontal().item() == 2 * parts.height:
        return "No interval is in force: failures only."
    late = of.manner.habit.middle - 1
    if abs(late) <= _LATE:
        return ""
    return f"Planned renewals are taken when the yard does them, about {abs(late):.0%} of the interval {'late' if late > 0 else 'early'}."


def _unknown_ages(parts: pl.DataFrame) -> str:
    unknown = parts.filter((pl.col("state") == UNKNOWN) | ((pl.col("state") == RUNNING) & pl.col("age_months").is_null())).height
    if not unknown:
        return ""
    return f"The age of {told_count(unknown, 'part', 'parts')} of {parts.height} is not known: counted over all ages that they may have."


def _early_words(question: Question, rule: Rule) -> str:
    share = max(question.of_components[name].badly for name in words(rule["component"]))
    return f"{share:.0%} of new parts fail soon after fitting; parts for that are counted." if share > _ALMOST_NONE else ""


def _beside_words(rule: Rule, rules: Sequence[Rule]) -> str:
    others = beside(rule, rules)
    if not others:
        return ""
    return f"Serves the same places as {', '.join(others)}: taken as used together, so the whole demand is counted for each."
