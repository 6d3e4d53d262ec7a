"""What to believe of every component and group on one clock, groups of a component borrowing strength from each other.

In: lives with the columns they are grouped by, the prior, what is known. Out: {(component, words of the group): `Posterior`}.
Elsewhere: the hierarchy (`splits`), the other figures of a fit (`fit_table`), both clocks weighed (`clocks`).
"""

from collections.abc import Sequence

import polars as pl

from pipelines.fits.ages import ages_from_lives
from pipelines.fits.covariates import strata_of, strata_posteriors
from pipelines.fits.known_figures import KnownFigures, hours_per_month
from pipelines.fits.posterior import Posterior, posterior
from pipelines.fits.splits import Stratum, Whole
from pipelines.terms.settings import Prior


def group_posteriors(
    lives: pl.DataFrame, by: Sequence[str], clock: str, prior: Prior, known: KnownFigures
) -> dict[tuple[str, Stratum], Posterior]:
    """Believe of each component, or of each of its groups; a component with one group is taken as one.

    Parameters
    ----------
    lives
        Rows of `derived.lives` with the columns of `by`.
    by
        Columns; none: each component as one, with the empty group.
    clock
        `hours` or `months`.
    prior, known
        The tree, and the records `limits` and `plan`.
    """
    found: dict[tuple[str, Stratum], Posterior] = {}
    for (component,), rows in lives.group_by("component", maintain_order=True):
        name = str(component or "")
        knowledge = known.about(name, None, clock, hours_per_month(rows))
        whole = posterior(ages_from_lives(rows, clock), prior, knowledge, clock)
        words = rows.select(pl.col(column).cast(pl.String) for column in by)
        strata = strata_of(words, words, by) if by else {}
        believed = strata_posteriors(Whole(whole, rows, {clock: knowledge}, prior), strata) if len(strata) > 1 else {}
        found |= {(name, stratum): believed.get(stratum, whole) for stratum in strata or ((),)}
    return found
