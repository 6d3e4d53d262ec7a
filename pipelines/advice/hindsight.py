"""What advice given then costs by what is believed now, beside the interval that was in force then.

In: the verdicts of a season's start, and what is believed today. Out: money a year; none where a verdict was about looking.
Nobody knows the true cost; what is believed today knows more lives than the advice did, and it may still be wrong.
Elsewhere: the verdicts (`verdict`), costs over laws (`prospect`).
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import polars as pl

from pipelines.advice.case import Case, Estimate, Fleet, case_of
from pipelines.advice.laws import tabulate
from pipelines.advice.prospect import Decision, Prospect


@dataclass(frozen=True)
class Hindsight:
    """Of one part: positions, and money a year of the advice and of what was in force."""

    component: str
    positions: int
    advised: float
    done: float


def believed_today(estimates: Sequence[Estimate], fleet: Fleet) -> dict[str, Prospect]:
    """Give what every interval of a part costs by what is believed of the part as a whole; parts without costs or laws are missing."""
    cases = [case_of(estimate, fleet) for estimate in estimates]
    return {
        case.component: _prospect(case) for case in cases if case.costs is not None and case.posterior is not None and case.use.is_known
    }


def _prospect(case: Case) -> Prospect:
    assert case.posterior is not None
    assert case.costs is not None
    return Prospect(tabulate(case.posterior, case.use), case.use, case.costs.planned, case.costs.failure)


def in_hindsight(verdicts: pl.DataFrame, believed: Mapping[str, Prospect]) -> Iterator[Hindsight]:
    """Reckon every verdict of a season's start; rows that advise to look at the part, or where nothing was in force, are passed over."""
    weighed = verdicts.filter(pl.col("current_cost_rate").is_not_null(), pl.col("inspect_h").is_null(), pl.col("inspect_months").is_null())
    for row in weighed.iter_rows(named=True):
        if (prospect := believed.get(row["component"])) is not None:
            advised, done = (prospect.cost(Decision(row[f"{stem}_h"], row[f"{stem}_months"])) for stem in ("renew", "current"))
            yield Hindsight(row["component"], row["positions"], advised * row["positions"], done * row["positions"])
