"""The door from the screens to `pipelines` for questions, and their caching.

In: what a screen asks. Out: answers, each made once for a version of the ledger and a question, whoever asks.
What is raised on purpose (`TowlessError`) is passed on; `app.py` shows it in its own words.
Elsewhere: the figures (`pipelines.flow`), what a person changes (`changes`), pictures (`drawing`), words (`sentences`).
"""

import gc
import os
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import Any

import polars as pl
import streamlit as st

from pipelines.errors import NoFigure, NoLedger, TowlessError
from pipelines.exports.answer import Answer, as_csv
from pipelines.exports.calendar import calendar as calendar_file
from pipelines.flow import (
    answering,
    backtesting,
    by_hand,
    calls_now,
    coding_queue,
    copies,
    mending,
    pairs,
    plan_history,
    printing,
)
from pipelines.flow import boat as one_boat
from pipelines.flow import kept_forecasts as kept_forecast_rows
from pipelines.flow.boat import Boat
from pipelines.flow.fleet_words import words_known
from pipelines.flow.history import history as history_of
from pipelines.flow.mapped import Choices as MapChoices
from pipelines.flow.putting_off import PutOff
from pipelines.flow.queries import query
from pipelines.flow.sample import sample_beside
from pipelines.flow.settling import Pair, RowCode, Word
from pipelines.flow.spare_boats import spare_boats, told_of_spare_boats
from pipelines.flow.visits import visits
from pipelines.flow.what_if import Supposed, cases_of, one_of
from pipelines.flow.what_if import turning_points as turning_points_of
from pipelines.flow.what_if import what_if as supposed_row
from pipelines.intake.previewing import Preview
from pipelines.ledger.beside import Beside
from pipelines.terms.answers import ANSWERS
from pipelines.terms.causes import SYMPTOMS, UNKNOWN
from pipelines.terms.cautions import DEFERENCE
from pipelines.terms.papers import PAPERS, Paper
from pipelines.terms.scope import Scope
from pipelines.terms.settings import Settings, read_settings

__all__ = [
    "DEFERENCE",
    "Answer",
    "Boat",
    "MapChoices",
    "NoLedger",
    "Pair",
    "Preview",
    "PutOff",
    "RowCode",
    "Scope",
    "Supposed",
    "TowlessError",
    "Word",
    "as_csv",
    "calendar_file",
    "told_of_spare_boats",
]

LEDGER_VARIABLE = "TOWLESS_LEDGER"
SETTINGS_VARIABLE = "TOWLESS_SETTINGS"
DEFAULT_LEDGER = "fleet.duckdb"
_BESIDE = {"visits": visits, "spare_boats": spare_boats}
"""Questions that have a module of their own."""
MOST_ANSWERS = 300


@dataclass(frozen=True)
class Choices:
    """What the filters can be set to, each in alphabetical order; seasons are calendar years, latest first."""

    bases: list[str]
    classes: list[str]
    models: list[str]
    seasons: list[str]


def own_ledger() -> Path:
    """Return the ledger that files are taken into: the one `towless serve` was given, else `fleet.duckdb` in this folder."""
    return Path(os.environ.get(LEDGER_VARIABLE) or DEFAULT_LEDGER)


def ledger_path() -> Path:
    """Return the ledger that is shown: one's own, or until there is one the invented fleet's beside it, where somebody loaded that."""
    return sample_beside(own_ledger()) if shows_sample() else own_ledger()


def shows_sample() -> bool:
    """Return whether the invented fleet is shown because there is no ledger of one's own yet."""
    own = own_ledger()
    return not own.exists() and Beside.of(own).target() is None and sample_beside(own).exists()


def has_ledger() -> bool:
    """Return whether there is a published ledger to show."""
    return bool(generation())


def settings() -> Settings:
    """Return the settings `towless serve` was given, else the defaults."""
    named = os.environ.get(SETTINGS_VARIABLE)
    return read_settings(Path(named) if named else None)


def ask(verb: str, scope: Scope, **choices: Any) -> Answer:
    """Return the answer to a question of `pipelines.flow.answering`, made once for a ledger version, scope, settings and choices.

    Parameters
    ----------
    verb
        rates, lives, fits, intervals, due, visits, spare_boats, stock or records.
    scope
        The filters.
    choices
        What the question takes beside them, such as `by` or `within_days`.
    """
    return _answer(generation(), verb, scope, settings(), tuple(sorted(choices.items())))


def generation() -> str:
    """Return what tells one published copy from every other; empty where there is none yet."""
    copy = Beside.of(ledger_path()).target()
    return f"{copy}@{copy.stat().st_mtime_ns}" if copy else ""


@st.cache_resource(max_entries=MOST_ANSWERS, show_spinner="Working it out from the records …")
def _answer(generation: str, verb: str, scope: Scope, chosen: Settings, choices: tuple[tuple[str, Any], ...]) -> Answer:  # noqa: ARG001
    with copies.current_copy(ledger_path(), chosen) as copy:
        return (_BESIDE.get(verb) or getattr(answering, verb))(copy, scope, chosen, **dict(choices))


def seasons_marked(scope: Scope) -> Answer:
    """Return past seasons foretold and marked; it takes some seconds a season, and is kept for the ledger's version."""
    return _seasons_marked(generation(), scope, settings())


@st.cache_resource(max_entries=MOST_ANSWERS, show_spinner="Foretelling every past season from what was known before it …")
def _seasons_marked(generation: str, scope: Scope, chosen: Settings) -> Answer:  # noqa: ARG001
    with copies.current_copy(ledger_path(), chosen) as copy:
        return backtesting.backtest(copy, scope, chosen)


def season_ahead(scope: Scope) -> Answer:
    """Return the season that comes, foretold from what is known now."""
    return _foretold(generation(), "coming", scope, settings())


def kept_forecasts(scope: Scope) -> Answer | None:
    """Return every forecast that was kept, beside what came; `None`: none was."""
    try:
        return _foretold(generation(), "kept", scope, settings())
    except NoFigure:
        return None


@st.cache_resource(max_entries=MOST_ANSWERS, show_spinner="Foretelling the season that comes …")
def _foretold(generation: str, what: str, scope: Scope, chosen: Settings) -> Answer:  # noqa: ARG001
    with copies.current_copy(ledger_path(), chosen) as copy:
        return getattr(kept_forecast_rows, what)(copy, scope, chosen)


def symptoms() -> list[str]:
    """Return what a caller can say, in the words of the trade's list."""
    return [symptom for symptom in SYMPTOMS if symptom != UNKNOWN]


def likely(vessel_id: str, symptom: str) -> Answer:
    """Return the likely causes of a call that comes in today."""
    return _likely(generation(), vessel_id, symptom, date.today(), settings())


@st.cache_resource(max_entries=MOST_ANSWERS, show_spinner=False)
def _likely(generation: str, vessel_id: str, symptom: str, day: date, chosen: Settings) -> Answer:  # noqa: ARG001
    with copies.current_copy(ledger_path(), chosen) as copy:
        return calls_now.likely(copy, Scope(), chosen, vessel_id, symptom, day)


def papers(names: Sequence[str]) -> dict[str, Paper]:
    """Return title and purpose of the papers that are named."""
    return {name: PAPERS[name] for name in names}


def paper(name: str, scope: Scope, size: str, days: int, boat: str) -> bytes:
    """Return one paper as a PDF, made anew."""
    with tempfile.TemporaryDirectory() as folder, copies.current_copy(ledger_path(), settings()) as copy:
        file = Path(folder) / "paper.pdf"
        printing.print_paper(copy, scope, settings(), name, file, size, days, boat)
        return file.read_bytes()


def boats() -> pl.DataFrame:
    """Return every boat that the records know, those in service first."""
    return _of_boat(generation(), None)


def boat(vessel_id: str) -> Boat:
    """Return all that the records know of one boat."""
    return _of_boat(generation(), vessel_id)


@st.cache_resource(max_entries=MOST_ANSWERS, show_spinner=False)
def _of_boat(generation: str, vessel_id: str | None) -> Any:  # noqa: ARG001
    with copies.current_copy(ledger_path(), settings()) as copy:
        return one_boat.boats(copy) if vessel_id is None else one_boat.boat(copy, vessel_id)


def pick_lists(vessel_id: str) -> dict[str, list[tuple[str, str]]]:
    """Return for each coded column of a form its codes with the words people use, the parts of this boat first."""
    return _for_form(generation(), "pick_lists", (vessel_id,))


def last_reading(engine_id: str, on: date) -> by_hand.LastReading | None:
    """Return what an engine's meter showed last and what it should show `on` a day."""
    return _for_form(generation(), "last_reading", (engine_id, on))


@st.cache_resource(max_entries=MOST_ANSWERS, show_spinner=False)
def _for_form(generation: str, what: str, asked: tuple[Any, ...]) -> Any:  # noqa: ARG001
    with copies.current_copy(ledger_path(), settings()) as copy:
        return getattr(by_hand, what)(copy, *asked)


def split_fits(scope: Scope, component: str, clock: str, split: str) -> Answer:
    """Return the fits of one part on one clock, split by a column or (empty) not at all, with what stands behind each."""
    return ask("fits", replace(scope, component=component), by=(split,) if split else (), clock=clock, with_details=True)


def lives_behind(scope: Scope, component: str) -> pl.DataFrame:
    """Return the lives of one part, each with the rows of the ledger it came from."""
    return ask("lives", replace(scope, component=component)).rows


def cost_curve(scope: Scope, component: str, clock: str, group: str = "") -> pl.DataFrame:
    """Return what each interval of one part (of one of its groups) would cost on one clock; empty where it cannot be weighed."""
    curve = extra_frame(ask("intervals", replace(scope, component=component), with_curves=True), "cost_curve")
    curve = curve.filter(pl.col("group") == group) if "group" in curve.columns else curve
    return curve.filter(pl.col("clock") == clock) if "clock" in curve.columns else curve


def currency() -> str:
    """Return the currency of the costs; empty where none is recorded."""
    return ask("intervals", Scope()).extra.get("currency") or ""


def extra_frame(answer: Answer, name: str) -> pl.DataFrame:
    """Return what stands beside the rows of an answer as a frame; empty where there is nothing."""
    held = answer.extra.get(name)
    return held if isinstance(held, pl.DataFrame) else pl.DataFrame(held or [])


def choices() -> Choices:
    """Return what the filters can be set to, from the hours and calls that were watched."""
    years = sorted({month[:4] for month in _groups("month")}, reverse=True)
    return Choices(_groups("base"), _groups("class"), _groups("model"), years)


def _groups(by: str) -> list[str]:
    return sorted(
        group for group in ask("rates", Scope(), by=by).rows["group"].drop_nulls().to_list() if group not in ("unknown", "uncoded")
    )


def meanings(verb: str) -> dict[str, str]:
    """Return what each column of the answer to `verb` means, with its unit."""
    told = ANSWERS.get(verb, ())
    return {column.name: f"{column.meaning} ({column.unit})" if column.unit else column.meaning for column in told}


def waiting() -> dict[str, pl.DataFrame]:
    """Return what waits: `uncoded`, `near_misses`, `suggestions`, `confirmed`, `pairs`, `settled`, `to_mend`, and the `files`."""
    return _waiting(generation())


@st.cache_resource(max_entries=4, show_spinner=False)
def _waiting(generation: str) -> dict[str, pl.DataFrame]:  # noqa: ARG001
    with copies.current_copy(ledger_path(), settings()) as copy:
        pairs_told = {"pairs": pairs.doubtful_pairs(copy), "settled": pairs.settled_pairs(copy)}
        return {**coding_queue.queue(copy), **pairs_told, "to_mend": mending.to_mend(copy), "files": copy.frame(query("files_told"))}


def codes_of(code_list: str) -> list[str]:
    """Return the codes a word of a list can stand for, the fleet's own parts among them."""
    return _codes(generation(), code_list)


@st.cache_resource(max_entries=MOST_ANSWERS, show_spinner=False)
def _codes(generation: str, code_list: str) -> list[str]:  # noqa: ARG001
    with copies.current_copy(ledger_path(), settings()) as copy:
        return sorted(words_known(copy, code_list)["code"].unique())


def history(kind: str, key: str) -> Answer:
    """Return every version of the rows of a kind that go by an id."""
    return history_of(ledger_path(), kind, key)


def adopted(component: str) -> pl.DataFrame:
    """Return every interval of one part that was ever adopted, the latest first, with who, when, why and the verdict of that day."""
    return _adopted(generation(), component).rows


@st.cache_resource(max_entries=MOST_ANSWERS, show_spinner=False)
def _adopted(generation: str, component: str) -> Answer:  # noqa: ARG001
    with copies.current_copy(ledger_path(), settings()) as copy:
        return plan_history.adoptions(copy, Scope(component=component), settings())


def what_if(scope: Scope, component: str, group: dict[str, Any] | None, supposed: Supposed) -> dict[str, Any] | None:
    """Return the row of `intervals` of one part and group as it would be; `None` where there is none. Nothing of it is kept."""
    case = one_of(_cases(generation(), replace(scope, component=component), settings()), component, group)
    return None if case is None else supposed_row(case, supposed, settings()).row(0, named=True)


def turning_points(scope: Scope, component: str, group: dict[str, Any] | None) -> pl.DataFrame:
    """Return for each assumption of one verdict how far it may move before the verdict is another."""
    return _turning_points(generation(), replace(scope, component=component), settings(), tuple((group or {}).items()))


@st.cache_resource(max_entries=MOST_ANSWERS, show_spinner="Working it out from the records …")
def _cases(generation: str, scope: Scope, chosen: Settings) -> Any:  # noqa: ARG001
    with copies.current_copy(ledger_path(), chosen) as copy:
        return cases_of(copy, scope, chosen)


@st.cache_resource(max_entries=MOST_ANSWERS, show_spinner="Moving one assumption after the other …")
def _turning_points(generation: str, scope: Scope, chosen: Settings, group: tuple[tuple[str, Any], ...]) -> pl.DataFrame:
    case = one_of(_cases(generation, scope, chosen), scope.component, dict(group))
    return pl.DataFrame() if case is None else turning_points_of(case, chosen)


@st.cache_resource(show_spinner=False)
def settle() -> bool:
    """Set what is loaded by now apart from what is collected as garbage: it stays until the end, and looking at it costs 80 ms a click."""
    gc.collect()
    gc.freeze()
    return True
