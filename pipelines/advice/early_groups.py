"""Batches and fitters whose parts fail early more often than the other parts of their sort, chance allowed for.

In: lives with who fitted them and from which batch. Out: `EarlyGroup`, the batches and fitters that stand out. Parts of one sort are
compared with one another only: of all lives that were watched long enough, how many failed early, and how many would be this group's if
the early ones had been dealt out blindly (hypergeometric). A fitter's parts are added up over the sorts. Every group that was tested is
counted in the chance (Bonferroni), so that among all of them a false alarm is as rare as stated.
Elsewhere: a share of a part that dies young whoever fitted it (`early`).

References
----------
Fisher, R. A. (1935). The Design of Experiments, section 11 (the exact test of a two-by-two table). Oliver and Boyd.
"""

from dataclasses import dataclass
from math import comb

import numpy as np
import polars as pl

from pipelines.advice.age_replacement import Array

EARLY_MONTHS = 3.0
"""A part that failed by this age failed early."""
FALSE_ALARM = 0.05
FEWEST_LIVES, FEWEST_EARLY = 3, 2
_FAILED = ("failed", "found failed")


@dataclass(frozen=True)
class EarlyGroup:
    """A batch or fitter with early failures: of `lives` fitted `early` failed early, `expected` by the others' share.

    `chance` is that of so many among any of the groups tested; `worst` is the part that adds most.
    """

    kind: str
    name: str
    worst: str
    lives: int
    early: int
    expected: float
    chance: float
    first_on: object


def early_groups(lives: pl.DataFrame, false_alarm: float = FALSE_ALARM) -> list[EarlyGroup]:
    """Find the batches and fitters that stand out.

    Parameters
    ----------
    lives
        Columns component, ending, low_months, high_months, entry_months, ended_on, batch, done_by; a life that came under observation late
        is passed over, for its early failures went unseen.
    """
    told = lives.filter(pl.col("entry_months").fill_null(0.0) <= 0).with_columns(
        early=pl.col("ending").is_in(_FAILED) & (pl.col("high_months") <= EARLY_MONTHS)
    )
    told = told.filter(pl.col("early") | (pl.col("low_months") >= EARLY_MONTHS))
    totals = {name: (count, early) for name, count, early in told.group_by("component").agg(pl.len(), pl.col("early").sum()).iter_rows()}
    tested = [(kind, name, group) for kind in ("batch", "done_by") for (name, *_), group in _groups(told, kind)]
    found = [_of(kind, str(name), group, totals, len(tested)) for kind, name, group in tested]
    return [one for one in found if one is not None and one.chance <= false_alarm]


def _groups(told: pl.DataFrame, kind: str) -> list[tuple[tuple, pl.DataFrame]]:
    """Give the batches of each part, or the fitters over all parts, with lives enough to say something."""
    named = told.filter(pl.col(kind).is_not_null() & (pl.col(kind) != ""))
    keys = ["batch", "component"] if kind == "batch" else ["done_by"]
    return [(key, group) for key, group in named.group_by(keys, maintain_order=True) if group.height >= FEWEST_LIVES]


def _of(kind: str, name: str, group: pl.DataFrame, totals: dict[str, tuple[int, int]], tested: int) -> EarlyGroup | None:
    early = int(group["early"].sum())
    if early < FEWEST_EARLY:
        return None
    counts = group.group_by("component", maintain_order=True).agg(pl.len(), pl.col("early").sum())
    chances = np.ones(1)
    expected, worst, most = 0.0, "", -np.inf
    for component, held, its_early in counts.iter_rows():
        every, all_early = totals[component]
        chances = np.convolve(chances, hypergeometric(held, all_early, every))
        by_share = held * all_early / every
        expected += by_share
        if its_early - by_share > most:
            worst, most = component, its_early - by_share
    chance = min(1.0, float(chances[early:].sum()) * tested)
    first = group.filter("early")["ended_on"].min()
    return EarlyGroup(kind, name, worst, group.height, early, expected, chance, first)


def hypergeometric(drawn: int, marked: int, every: int) -> Array:
    """Probabilities that 0, 1, 2 ... of `drawn` are among the `marked` of `every`."""
    ways = [comb(marked, hits) * comb(every - marked, drawn - hits) for hits in range(min(drawn, marked) + 1)]
    total = comb(every, drawn)
    return np.array([way / total for way in ways])
