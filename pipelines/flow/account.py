"""The head of an answer: as of which day, of which version, from how many records, and how many that touch it are left out.

In: a published copy, what the question was asked of, its filters. Out: the four keys every answer starts with.
Elsewhere: the answers (`answering`).
"""

from typing import Any

from pipelines.flow.queries import query
from pipelines.flow.sources import Source, day_of
from pipelines.ledger.reading import Published
from pipelines.terms.scope import Scope

_USE = ("vessels", "engines", "engine_moves", "hour_readings")
CALLS = (*_USE, "rescue_calls", "trips")
LIVES = (*_USE, "components", "fitted", "service_tickets", "rescue_calls")
ADVICE = (*LIVES, "costs", "limits", "plan")
SHELF = (*ADVICE, "parts")
"""Kinds of record that an answer reads."""


def head_of(copy: Published, source: Source, records: int, scope: Scope, kinds: tuple[str, ...]) -> dict[str, Any]:
    """Return the head of an answer.

    Parameters
    ----------
    copy, source
        The published copy, and what was asked of it: itself, or its records as known on a day.
    records
        Rows used.
    scope
        The filters.
    kinds
        Kinds of record the answer reads.

    Returns
    -------
    dict
        `as_of`, `ledger_version`, `records`, `left_out`: rows of those kinds that were left out (whatever the filters: a row with a fault
        may belong to any boat), and rows, positions and lives under the filters that no life or rate could be made from.
    """
    return {
        "as_of": day_of(source),
        "ledger_version": copy.version,
        "records": records,
        "left_out": _faulty(copy, kinds) + _unused(source, scope, kinds),
    }


def _faulty(copy: Published, kinds: tuple[str, ...]) -> int:
    counts = copy.frame("select kind, left_out from about.reconciliation")
    return int(counts.filter(counts["kind"].is_in(kinds))["left_out"].sum())


def _unused(source: Source, scope: Scope, kinds: tuple[str, ...]) -> int:
    words = {name: scope.columns.get(name) for name in ("base", "vessel_class", "engine_model", "component")}
    return source.frame(query("unused_in_scope"), {**words, "calls_only": kinds == CALLS}).item()
