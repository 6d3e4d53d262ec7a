"""Choices that stand in the address by a word of their own, whatever they are called on the page, so that other pages can link to them.

In: the name of a choice, what it can be. Out: the key of a widget that holds it, and what writes it back.
Elsewhere: choices whose words on the page are short and never change stand in the address as they are shown (`filters`, `pickers`).
"""

from collections.abc import Collection
from typing import Any

import streamlit as st


def from_address(name: str, options: Collection[str]) -> str:
    """Return the key of the widget that holds choice `name`; what the address says is in it, unless the widget was touched since."""
    key, seen = f"{name} picked", f"{name} seen in the address"
    given = st.query_params.get(name)
    if given in options and (key not in st.session_state or st.session_state.get(seen) != given):
        st.session_state[key] = given
    st.session_state[seen] = given
    return key


def to_address(name: str) -> dict[str, Any]:
    """Return what a widget made with the key of `from_address` takes, so that a touch on it writes the address."""
    return {"on_change": _written, "args": (name,)}


def _written(name: str) -> None:
    picked = st.session_state.get(f"{name} picked")
    if picked is None:
        st.query_params.pop(name, None)
    else:
        st.query_params[name] = picked
    st.session_state[f"{name} seen in the address"] = picked
