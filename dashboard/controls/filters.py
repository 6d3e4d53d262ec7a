"""The filters of a page, kept in its address so that a link opens the same view.

In: what the filters can be set to. Out: `Scope`. A filter that is not set leaves no trace in the address.
Elsewhere: pickers of one page (`pickers`).
"""

from datetime import date

import streamlit as st

from dashboard.readings import Scope, choices

WIDTH = 156
ALL = {"base": "all bases", "class": "all classes", "model": "all engine models", "season": "all seasons"}
SEASONED = ("base", "class", "model", "season")
UNSEASONED = ("base", "class", "model")


def scope_of_page(names: tuple[str, ...]) -> Scope:
    """Show the filters named, where the page has come to, and return what they are set to."""
    found = choices()
    can_be = {"base": found.bases, "class": found.classes, "model": found.models, "season": found.seasons}
    picked = {name: _filter(name, can_be[name]) for name in names}
    season = picked.get("season")
    return Scope(
        base=picked.get("base") or "",
        vessel_class=picked.get("class") or "",
        model=picked.get("model") or "",
        since=date(int(season), 1, 1) if season else None,
        until=date(int(season), 12, 31) if season else None,
    )


def _filter(name: str, options: list[str]) -> str | None:
    """Show one filter; its label is for screen readers, its empty form says that nothing is left out."""
    return st.selectbox(
        f"Only one {name}",
        options,
        index=None,
        placeholder=ALL[name],
        key=name,
        bind="query-params",
        label_visibility="collapsed",
        width=WIDTH,
    )
