"""Pictures drawn once for what they show, whoever looks.

In: a chart of `charts` and the frames it shows. Out: its specification, kept by the content of the frames.
Elsewhere: the charts themselves (`charts`), the figures (`readings`).
"""

import hashlib
from types import FunctionType
from typing import Any

import polars as pl
import streamlit as st

from dashboard.charts.theme import Draw, dressed

MOST_PICTURES = 600


def drawn(draw: Draw, *parts: Any, night: bool, **more: Any) -> dict[str, Any]:
    """Return the specification of a chart, drawn once for what it shows and the tones it is shown in."""
    return _specification(draw, parts, more, night)


def fingerprint(frame: pl.DataFrame) -> bytes:
    """Return a digest of every cell of `frame`; the cache's own one of a frame looks at its first and last rows only."""
    return hashlib.sha256(frame.write_ipc(None, compression="uncompressed").getvalue()).digest()


def _whole_name(draw: FunctionType) -> str:
    return f"{draw.__module__}.{draw.__qualname__}"


@st.cache_resource(max_entries=MOST_PICTURES, show_spinner=False, hash_funcs={pl.DataFrame: fingerprint, FunctionType: _whole_name})
def _specification(draw: Draw, parts: tuple[Any, ...], more: dict[str, Any], night: bool) -> dict[str, Any]:
    return dressed(draw(*parts, **more), night=night)
