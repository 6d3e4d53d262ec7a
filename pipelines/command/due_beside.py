"""What `towless due` prints in place of its list: visits that jobs share, or spare boats by month.

In: the parsed command, ledger, filters, settings. Out: an answer to print, and what is said of it on standard error.
In JSON both stand beside the rows of `due`; a table or CSV shows them alone.
Elsewhere: the list itself and putting off (`verbs`), the figures (`flow`).
"""

import argparse
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from pipelines.advice.visit_plan import Manner
from pipelines.errors import WrongInput
from pipelines.exports.answer import Answer
from pipelines.flow import copies
from pipelines.flow.fleet_words import understood
from pipelines.flow.spare_boats import due_with_spare_boats, told_of_spare_boats, worth_a_line
from pipelines.flow.visits import due_with_visits, told_of_visits
from pipelines.terms.scope import Scope
from pipelines.terms.settings import Settings

VISITS, SPARE_BOATS = "visits", "spare_boats"


def is_asked(request: argparse.Namespace) -> bool:
    """Return whether visits or spare boats are asked for.

    Raises
    ------
    WrongInput
        If both are, or an option of one without it.
    """
    if request.visits and request.spare_boats:
        raise WrongInput("--visits and --spare-boats are two questions. Ask one of them, then the other.")
    alone = {"--visit-cost": request.visit_cost, "--visit-window": request.visit_window}
    for option in (name for name, value in alone.items() if value is not None and not request.visits):
        raise WrongInput(f"{option} says how visits are made. Add --visits, or leave it out.")
    if request.enough_boats is not None and not request.spare_boats:
        raise WrongInput("--service-level says how sure spare boats should be. Add --spare-boats, or leave it out.")
    return request.visits or request.spare_boats


def asked(request: argparse.Namespace, ledger: Path, scope: Scope, settings: Settings) -> Answer:
    """Ask for what is wanted beside the rows of `due`."""
    manner = Manner(visit_cost=request.visit_cost, window_days=request.visit_window)
    chosen = None if manner == Manner() else manner

    def question(copy):
        known = understood(copy, scope)
        if request.visits:
            return due_with_visits(copy, known, settings, request.within, chosen)
        return due_with_spare_boats(copy, known, settings, request.within, request.enough_boats)

    return copies.asked(ledger, settings, question)


def alone(answer: Answer, request: argparse.Namespace) -> Answer:
    """Return visits or spare boats as the rows, for a table or CSV; a table shows the pool, and groups in months that need a spare boat."""
    rows = answer.extra[VISITS if request.visits else SPARE_BOATS]
    if request.spare_boats and request.format == "table":
        rows = worth_a_line(rows)
    return replace(answer, rows=rows)


def said_of(answer: Answer, request: argparse.Namespace) -> Iterator[str]:
    """Say what the figures come to and what they leave out."""
    yield from told_of_visits(answer.extra, request.within) if request.visits else told_of_spare_boats(answer.extra["spare_boats_from"])
