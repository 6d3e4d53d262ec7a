"""A what-if of one part: the verdict under other costs, prior, interval, limit or hours, and which of them would turn it.

In: a published copy, filters and settings, once; then what is supposed, as often as asked. Out: rows of the answer `intervals`.
Nothing of it is ever kept or adopted: an adoption reads the records anew.
Elsewhere: the methods (`advice.what_if`, `advice.sensitivity`), the answer of the records (`answering`).
"""

from collections.abc import Mapping, Sequence

import polars as pl

from pipelines.advice.case import Case, case_of
from pipelines.advice.sensitivity import turning_points
from pipelines.advice.verdict import rows_of_cases
from pipelines.advice.what_if import Supposed, supposed_case
from pipelines.exports.answer import own_group
from pipelines.flow.estimating import matter_of, told_apart
from pipelines.flow.scoping import as_watched
from pipelines.flow.sources import known_source
from pipelines.ledger.reading import Published
from pipelines.terms.scope import Scope
from pipelines.terms.settings import Settings

__all__ = ["Supposed", "cases_of", "one_of", "turning_points", "what_if"]


def cases_of(copy: Published, scope: Scope, settings: Settings) -> list[Case]:
    """Give the cases behind the rows of `intervals`, in their order; this is what takes time, and is asked once."""
    scope = as_watched(scope)
    with known_source(copy, scope, settings) as source:
        wide, estimates = told_apart(matter_of(source, scope), settings)
        return [case_of(each, wide.fleet) for each in estimates]


def one_of(cases: Sequence[Case], component: str, group: Mapping[str, str | None] | None) -> Case | None:
    """Return the case of one part and group; `None` where there is none."""
    wanted = own_group(dict(group)) if group else None
    held = (case for case in cases if case.component == component and (own_group(dict(case.group)) if case.group else None) == wanted)
    return next(held, None)


def what_if(case: Case, supposed: Supposed, settings: Settings) -> pl.DataFrame:
    """Give one row of the answer `intervals`, as it would be."""
    return rows_of_cases([supposed_case(case, supposed, settings.prior.random)], settings)
