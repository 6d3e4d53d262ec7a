"""Pictures drawn once for what they show, whoever looks.

In: a chart of `charts` and the frames it shows. Out: its specification, kept by the content of the frames; or as a file, when asked for.
Elsewhere: the charts themselves (`charts`), the figures (`readings`).
"""

import hashlib
from dataclasses import dataclass
from types import FunctionType
from typing import Any

import polars as pl
import streamlit as st

from dashboard.charts.stills import still
from dashboard.charts.theme import Draw, dressed

MOST_PICTURES, MOST_FILES = 600, 40


@dataclass(frozen=True)
class Drawn:
    """A picture as it was put on a page: what draws it, from what, and in which tones.

    Attributes
    ----------
    draw, parts, more
        A function of `charts` and its arguments.
    night
        Whether in the tones of the night.
    """

    draw: Draw
    parts: tuple[Any, ...]
    more: dict[str, Any]
    night: bool

    def specification(self) -> dict[str, Any]:
        """Return it as a specification of Vega-Lite."""
        return drawn(self.draw, *self.parts, night=self.night, **self.more)

    def as_file(self, form: str) -> bytes:
        """Return it as the bytes of a PNG or SVG file, in the tones it was seen in."""
        return _file(self.draw, self.parts, self.more, self.night, form)


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


@st.cache_resource(max_entries=MOST_FILES, show_spinner=False, hash_funcs={pl.DataFrame: fingerprint, FunctionType: _whole_name})
def _file(draw: Draw, parts: tuple[Any, ...], more: dict[str, Any], night: bool, form: str) -> bytes:
    return still(_specification(draw, parts, more, night), form, night=night)
