"""How a verb asks and prints: which ledger, which filters, which settings, in which form.

In: the parsed command, a question. Out: text on standard output, sentences on standard error.
Elsewhere: what each verb asks (`verbs`, `record_verbs`), the words of the command (`parser`).
"""

import argparse
import sys
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

from pipelines.errors import WrongInput
from pipelines.exports.answer import Answer, as_csv, as_json
from pipelines.exports.text_table import as_table
from pipelines.exports.week_page import as_page
from pipelines.exports.withholding import withheld
from pipelines.flow import copies
from pipelines.flow.fleet_words import understood
from pipelines.terms.cautions import DEFERENCE
from pipelines.terms.scope import Scope
from pipelines.terms.settings import Settings, read_settings

DEFAULT_LEDGER = Path("fleet.duckdb")
ADVISING = ("week", "intervals", "due", "stock", "likely", "backtest")


def answered(request: argparse.Namespace, question: Callable[..., Answer], **choices: Any) -> int:
    """Ask the published copy a question within the filters of the command, and print the answer."""
    settings, scope = settings_of(request), scope_of(request)
    answer = copies.asked(ledger_of(request), settings, lambda copy: question(copy, understood(copy, scope), settings, **choices))
    printed(answer, request)
    return 0


def printed(answer: Answer, request: argparse.Namespace) -> None:
    """Print an answer in the form that was asked for."""
    if request.format == "json":
        print(as_json(answer))
    elif request.format == "csv":
        print(withheld(as_csv(answer.rows)), end="")
    else:
        print(as_page(answer) if request.verb == "week" else as_table(answer, getattr(request, "listing", request.verb)))
        _print_deference(request.verb)
    _say_of_the_day(answer, getattr(request, "as_of", None))


def _say_of_the_day(answer: Answer, asked: date | None) -> None:
    """Say what is assumed of days after the last record, or that nothing is said of them."""
    told = answer.head.get("as_of")
    if "note" in answer.extra:
        say(answer.extra["note"])
    elif asked is not None and told is not None and told < asked:
        say(f"No record is dated after {told}, so this is told as of that day. What is due and what to stock can be told of later days.")


def _print_deference(verb: str) -> None:
    if verb in ADVISING:
        print(f"\n{DEFERENCE}")


def say(sentence: str) -> None:
    """Say a sentence on standard error, where it is no part of the answer."""
    print(sentence, file=sys.stderr)


def refuse_overwriting(file: Path | None) -> None:
    """Refuse a file that is there already or has no folder, before anything is done."""
    if file is None:
        return
    if file.exists():
        raise WrongInput(f"{file}: is there already and is not overwritten. Name a file that is not there yet.")
    if not file.parent.is_dir():
        raise WrongInput(f"{file}: there is no folder {file.parent}. Make it first, or name a file in a folder that is there.")


def ledger_of(request: argparse.Namespace) -> Path:
    """Return the ledger that the command names."""
    return request.ledger or DEFAULT_LEDGER


def settings_of(request: argparse.Namespace) -> Settings:
    """Return the settings that the command names, with what it says itself laid over them."""
    settings = read_settings(request.settings)
    asked = {
        "level": getattr(request, "level", None),
        "horizon_days": getattr(request, "horizon", None),
        "service_level": getattr(request, "service_level", None),
        "yard_hours_a_week": getattr(request, "hours_a_week", None),
        "next_visit_days": getattr(request, "next_visit", None),
    }
    return replace(settings, **{name: value for name, value in asked.items() if value is not None})


def scope_of(request: argparse.Namespace) -> Scope:
    """Return the filters of the command."""
    named = vars(request)
    return Scope(
        base=named.get("base", ""),
        vessel_class=named.get("vessel_class", ""),
        model=named.get("model", ""),
        component=named.get("component", ""),
        since=named.get("since"),
        until=named.get("until"),
        as_of=named.get("as_of"),
    )
