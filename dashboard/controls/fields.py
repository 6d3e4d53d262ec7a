"""The fields of a form for one record: lists that any trade word finds, buttons for short lists, a day and a meter.

In: the number of the form, the pick lists. Out: one value a field; `None`: left empty. Fields of another form number start empty.
Elsewhere: the form (`by_hand`).
"""

from datetime import date, time

import polars as pl
import streamlit as st

from dashboard.sentences.boat import engine_place
from dashboard.sentences.by_hand import offered, said


class Fields:
    """The fields of one form.

    Parameters
    ----------
    number
        Of the form.
    lists
        {column: [(code, words people use)]}.
    """

    def __init__(self, number: str, lists: dict[str, list[tuple[str, str]]]) -> None:
        self._number = number
        self._lists = {column: dict(codes) for column, codes in lists.items()}

    def _key(self, column: str) -> str:
        return f"{self._number} {column}"

    def pick(self, column: str, label: str) -> str | None:
        """Pick from a long list by typing any word for it; a word that is not on the list is kept as it is written."""
        words = self._lists[column]
        return st.selectbox(
            label,
            list(words),
            index=None,
            format_func=lambda code: offered(code, words.get(code, "")),
            placeholder="type any word for it",
            accept_new_options=True,
            key=self._key(column),
        )

    def touch(self, column: str, label: str) -> str | None:
        """Touch one of a few."""
        codes = list(self._lists[column])
        return st.pills(label, codes, format_func=lambda code: said(code, column), key=self._key(column), width="stretch", wrap=True)

    def engine(self, engines: pl.DataFrame) -> str | None:
        """Touch the engine where there are several; the only one otherwise."""
        told = {row["engine_id"]: row for row in engines.to_dicts()}
        if len(told) < 2:
            return next(iter(told), None)
        return st.pills(
            "Which engine?", list(told), format_func=lambda engine: engine_place(told[engine]), key=self._key("engine"), wrap=True
        )

    def day_and_meter(self, label: str) -> tuple[date | None, float | None]:
        """Give the day, today unless said otherwise, and what the meter shows."""
        left, right = st.columns(2)
        on = left.date_input(label, "today", key=self._key("day"), format="YYYY-MM-DD")
        meter = right.number_input("Meter shows, hours", 0.0, None, None, 1.0, "%.1f", key=self._key("meter"), placeholder="not read")
        return on, meter

    def clock(self, label: str) -> time | None:
        """Give a time of day."""
        return st.time_input(label, None, key=self._key("clock"))

    def number(self, column: str, label: str) -> float | None:
        """Give a figure."""
        return st.number_input(label, 0.0, None, None, key=self._key(column))

    def text(self, column: str, label: str) -> str | None:
        """Write something."""
        return st.text_input(label, key=self._key(column)).strip() or None
