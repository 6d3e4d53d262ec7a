"""A forecast marked when the season is over: whether the ranges held, and whether a plain count would have done as well.

In: distributions foretold, counts that came. Out: `Mark`s, and coverage, calibration and log score over them.
Elsewhere: how a season is foretold (`forecast`), which seasons (`flow.backtesting`).

References
----------
Czado, C., Gneiting, T. and Held, L. (2009). Predictive model assessment for count data. Biometrics 65(4), 1254-1261.
"""

import json
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import log
from typing import Any

import numpy as np

from pipelines.advice.counts import Demand

LEVEL = 0.90
MANY = 5.0
"""From so many expected on, both ends of a range can be missed."""
BINS = 10
FLOOR = 1e-6
"""Least chance that is counted in a log score, so that one surprise does not outweigh all else."""


@dataclass(frozen=True)
class Mark:
    """One forecast and what came.

    Attributes
    ----------
    expected, low, high
        Mean and the ends of the range: the smallest counts not exceeded with probability 0.05 and 0.95.
    actual
        What came.
    below, up_to
        Probability given to fewer than came, and to as many or fewer.
    log_score, naive_log_score
        Logarithm of the probability given to what came, and that given by a plain count of the seasons before.
    """

    expected: float
    low: int
    high: int
    actual: int
    below: float
    up_to: float
    log_score: float
    naive_log_score: float

    @property
    def is_covered(self) -> bool:
        """Whether the range holds what came."""
        return self.low <= self.actual <= self.high

    def share_between(self, low: float, high: float) -> float:
        """Share of the step of the distribution at what came that lies between two levels: the randomised reading, averaged."""
        step = max(self.up_to - self.below, 1e-12)
        return max(0.0, min(high, self.up_to) - max(low, self.below)) / step


def mark(foretold: Demand, naive: Demand, actual: int) -> Mark:
    """Mark one forecast."""
    tail = (1 - LEVEL) / 2
    below, up_to = foretold.chance_up_to(actual - 1), foretold.chance_up_to(actual)
    scores = (log(max(one.chance_up_to(actual) - one.chance_up_to(actual - 1), FLOOR)) for one in (foretold, naive))
    return Mark(foretold.mean, foretold.quantile(tail), foretold.quantile(1 - tail), actual, below, up_to, *scores)


def written_out(foretold: Demand) -> str:
    """Write a distribution as JSON, for who keeps it: the chances of 0, 1, 2 ..., each to 1e-9, without those of none at the end."""
    chances = [round(float(chance), 9) for chance in foretold.probability]
    last = max(place for place, chance in enumerate(chances) if chance > 0)
    return json.dumps(chances[: last + 1])


def read_back(text: str) -> Demand:
    """Return a distribution that was written out."""
    chances = np.array(json.loads(text), dtype=float)
    return Demand(chances / chances.sum())


def coverage(marks: Sequence[Mark]) -> dict[str, Any]:
    """Say how often the ranges held.

    Returns
    -------
    dict
        `level`; `rows` and `covered`, the share of ranges that hold what came; `upper`, the share of counts that stay within the upper end
        (one-sided, at 0.95); `many_rows` and `many_covered`, the same as the first two where 5 or more were expected; `randomised`: counts
        are whole, so ranges hold more often than stated; with the step at each count split evenly it should be the level itself; `bias`,
        sum expected over sum that came, minus 1.
    """
    many = [one for one in marks if one.expected >= MANY]
    tail = (1 - LEVEL) / 2
    came = sum(one.actual for one in marks)
    return {
        "level": LEVEL,
        "rows": len(marks),
        "covered": _mean([one.is_covered for one in marks]),
        "upper": _mean([one.actual <= one.high for one in marks]),
        "many_rows": len(many),
        "many_covered": _mean([one.is_covered for one in many]),
        "randomised": _mean([one.share_between(tail, 1 - tail) for one in marks]),
        "bias": sum(one.expected for one in marks) / came - 1 if came else None,
    }


def calibration(marks: Sequence[Mark]) -> list[dict[str, float]]:
    """Share of what came in each tenth of its forecast; a tenth in every one if forecasts are right (nonrandomised histogram)."""
    edges = np.linspace(0, 1, BINS + 1)
    return [
        {"low": float(low), "high": float(high), "share": _mean([one.share_between(low, high) for one in marks]) or 0.0}
        for low, high in pairwise(edges)
    ]


def log_score(marks: Sequence[Mark]) -> dict[str, Any]:
    """Mean logarithm of the chance given to what came, beside that of a plain count; nearer 0 is better."""
    ours, naive = _mean([one.log_score for one in marks]), _mean([one.naive_log_score for one in marks])
    return {"forecast": ours, "naive": naive, "rows": len(marks)}


def _mean(values: Sequence[float]) -> float | None:
    return float(np.mean(values)) if len(values) else None
