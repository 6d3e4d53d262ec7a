"""What a question is asked of: the published copy, or its records as they were known on a day.

In: a published copy, filters, settings. Out: `Source`, with `derived` made for that day and those settings.
Elsewhere: the questions (`answering`), how `derived` is made (`lives`).
"""

from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import date
from difflib import get_close_matches
from typing import Any, Protocol

import polars as pl

from pipelines.errors import NoFigure, UnknownWord
from pipelines.ledger.reading import Published
from pipelines.lives.lives import derive
from pipelines.terms.scope import Scope
from pipelines.terms.settings import Settings

NO_DAY = "No record has a date yet, so nothing can be said. Take in tickets, calls or hour readings: towless intake FOLDER"
PARAMETERS = "select as_of, condition_fraction, match_days from derived.parameters"


class Source(Protocol):
    """Anything that answers SQL over `accepted`, `derived` and `about`: a published copy or a workbench."""

    def frame(self, sql: str, parameters: Sequence[Any] | Mapping[str, Any] = ()) -> pl.DataFrame:
        """Run one query and return its rows."""
        ...


KNOWN_WORDS = {
    "base": "select distinct base as word from accepted.vessels",
    "vessel_class": "select distinct vessel_class as word from accepted.vessels",
    "engine_model": "select distinct engine_model as word from accepted.engines",
    "component": "select distinct component as word from accepted.catalogue where named",
}
"""{column of a filter: the words it can be set to}."""


def refuse_unknown_words(copy: Published, scope: Scope) -> None:
    """Refuse a filter that no record can pass, so that a slip of the pen is not taken for an empty fleet.

    Raises
    ------
    UnknownWord
        With the nearest word that is known.
    """
    for column, word in scope.columns.items():
        known = copy.frame(KNOWN_WORDS[column])["word"].drop_nulls().sort().to_list()
        if word not in known:
            near = get_close_matches(word, known, n=1, cutoff=0.4)
            told = f"The nearest is {near[0]!r}." if near else f"Known: {', '.join(known[:8]) or 'none'}."
            raise UnknownWord(f"{word!r}: no {column.replace('_', ' ')} of that name in the records. {told}")


@contextmanager
def known_source(copy: Published, scope: Scope, settings: Settings) -> Iterator[Source]:
    """Give the copy itself where it answers the question, else its records derived anew in memory for that day and those settings.

    Raises
    ------
    NoFigure
        If there is no record to know a day from.
    UnknownWord
        If a filter names what no record holds.
    """
    refuse_unknown_words(copy, scope)
    made_for = copy.frame(PARAMETERS)
    as_of, fraction, match_days = made_for.row(0) if made_for.height else (None, None, None)
    if as_of is None:
        raise NoFigure(NO_DAY)
    if scope.as_of is None and (fraction, match_days) == (settings.condition_fraction, settings.match_days):
        yield copy
        return
    # Only a day that is asked for cuts the records: a plan adopted after the last ticket is in force today.
    day = min(scope.as_of or as_of, as_of)
    with copy.as_known_on(scope.as_of or date.max) as bench:
        derive(bench, day, settings)
        yield bench


def day_of(source: Source) -> date | None:
    """Return the last day that is known to the source; `None`: no record has a date."""
    known = source.frame(PARAMETERS)
    return known["as_of"].item() if known.height else None


def known_day(source: Source) -> date:
    """Return the last day that is known to the source.

    Raises
    ------
    NoFigure
        If no record has a date.
    """
    if (day := day_of(source)) is None:
        raise NoFigure(NO_DAY)
    return day
