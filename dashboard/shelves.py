"""The door for questions of the shelf and of the kit aboard: what to order, one part, a budget, what lies where, the lists as files.

In: filters, a horizon, a wanted service level, limits. Out: answers, each made once for a version of the ledger and a question.
What is raised on purpose (`TowlessError`) is passed on.
Elsewhere: every other question (`readings`), what a person changes (`changes`).
"""

import tempfile
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import Any

import polars as pl
import streamlit as st

from dashboard.readings import MOST_ANSWERS, Answer, Scope, generation, ledger_path, settings
from pipelines.advice.budget import level_at, list_at
from pipelines.errors import NoFigure
from pipelines.exports.frames import MEDIA
from pipelines.flow import answering, copies, printing, shelf
from pipelines.flow.kits import kits as kits_of
from pipelines.terms.papers import PAPERS, TABLE_FORMS
from pipelines.terms.settings import Settings

FORMS = {"pdf": "application/pdf", **{form: MEDIA[form] for form in TABLE_FORMS}}
"""{ending of a list's file: its media type}."""


@dataclass(frozen=True)
class Wish:
    """What the shelf is asked for: days to stock for, wanted chance of not running out, money (`None`: as much as that takes)."""

    horizon: int
    level: float
    budget: float | None = None

    @property
    def settings(self) -> Settings:
        """The settings with this horizon and level."""
        return replace(settings(), horizon_days=self.horizon, service_level=self.level)


def usual_level() -> float:
    """Return the wanted chance of not running out that holds where nobody says otherwise."""
    return settings().service_level


def usual_wish() -> Wish:
    """Return the horizon and level of the settings."""
    return Wish(settings().horizon_days, settings().service_level)


def stock(scope: Scope, wish: Wish) -> Answer:
    """Return the answer `stock`."""
    return _stock(generation(), scope, wish.settings, wish.budget)


@st.cache_resource(max_entries=MOST_ANSWERS, show_spinner="Working it out from the records …")
def _stock(generation: str, scope: Scope, chosen: Settings, budget: float | None) -> Answer:  # noqa: ARG001
    with copies.current_copy(ledger_path(), chosen) as copy:
        return answering.stock(copy, scope, chosen, budget)


def bought(purchases: pl.DataFrame, money: float) -> tuple[pl.DataFrame, float | None]:
    """Return what a sum of money buys, best buy first, and the share of renewals that then find their part (`None`: cannot be told)."""
    return list_at(purchases, money), level_at(purchases, money)


def kits(scope: Scope, money: float | None = None, weight: float | None = None) -> Answer | None:
    """Return the answer `kit`; `None`: there is no call, or no boat of these filters, to weigh one by."""
    try:
        return _kits(generation(), scope, settings(), money, weight)
    except NoFigure:
        return None


@st.cache_resource(max_entries=MOST_ANSWERS, show_spinner="Working it out from the records …")
def _kits(generation: str, scope: Scope, chosen: Settings, money: float | None, weight: float | None) -> Answer:  # noqa: ARG001
    with copies.current_copy(ledger_path(), chosen) as copy:
        return kits_of(copy, scope, chosen, money, weight)


def standing() -> pl.DataFrame:
    """Return every part on every shelf with what was last done to it by hand and what jobs since took."""
    return _standing(generation())


@st.cache_resource(max_entries=4, show_spinner=False)
def _standing(generation: str) -> pl.DataFrame:  # noqa: ARG001
    with copies.current_copy(ledger_path(), settings()) as copy:
        return shelf.standing(copy)


def difference(found: int, listed: int, used: int, since: date | None) -> str:
    """Say whether a count is what the list and the jobs since explain."""
    return shelf.difference(found, listed, used, since)


def listing(name: str, form: str, scope: Scope, wish: Wish, size: str, limits: tuple[float | None, float | None] = (None, None)) -> bytes:
    """Return one list as the bytes of a file, made anew: the very figures that the page shows."""
    with tempfile.TemporaryDirectory() as folder, copies.current_copy(ledger_path(), wish.settings) as copy:
        file = Path(folder) / f"{name}.{form}"
        printing.print_paper(copy, scope, wish.settings, name, file, size, budget=wish.budget, kit_limits=limits)
        return file.read_bytes()


def title_of(name: str) -> str:
    """Return the title of a list."""
    return PAPERS[name].title


def told(kit: dict[str, Any]) -> pl.DataFrame:
    """Return what the kit of one type leaves uncovered and what it covers, most tows first."""
    return kit["gaps"]
