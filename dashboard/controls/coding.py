"""The coding queue: words that nobody knows, words taken as the nearest, and suggestions from free text, for a person to settle.

In: what waits. Out: what a person says, kept for every row. A suggestion nobody confirmed enters no rate.
"""

from typing import Any

import polars as pl
import streamlit as st

from dashboard import changes, readings
from dashboard.controls.showing import figures
from dashboard.readings import RowCode, TowlessError, Word
from dashboard.sentences.plain import counted, literal

TOLD, DONE, NAME = "what was settled", "settled here", "who settles"
FIRST = ("word", "code", "confidence", "evidence", "notes")
BOXES: Any = {
    "right": st.column_config.CheckboxColumn("right?", pinned=True),
    "confidence": st.column_config.ProgressColumn(format="percent", min_value=0, max_value=1),
}


def coding_view() -> None:
    """Show the three parts of the queue, each with how many wait."""
    waiting = readings.waiting()
    if told := st.session_state.pop(TOLD, None):
        st.success(told)
    by = st.text_input("Settled by", key=NAME, width=320)
    _uncoded(_open(waiting["uncoded"], "word"), by)
    _near_misses(_open(waiting["near_misses"], "word"), by)
    _suggestions(_open(waiting["suggestions"], "row_id"), by)
    if waiting["confirmed"].height:
        with st.expander(f"Confirmed so far: {counted(waiting['confirmed'].height, 'row', 'rows')}"):
            figures(waiting["confirmed"], "confirmed", "confirmed-rows")


def _open(rows: pl.DataFrame, name: str) -> pl.DataFrame:
    """Leave out what was settled on this page a moment ago, until the figures have been made anew."""
    done = st.session_state.setdefault(DONE, set())
    return rows.filter([(name, word) not in done for word in rows[name]]) if rows.height else rows


def _uncoded(words: pl.DataFrame, by: str) -> None:
    st.subheader("Words nobody knows", anchor=False)
    if words.is_empty():
        st.markdown("None: every word of the records has a code.")
        return
    st.markdown("Their rows are in, and count as uncoded until someone says what the word means, once for all rows.")
    told = {f"{row['word']} · {row['list']} · {counted(row['rows'], 'row', 'rows')}": row for row in words.to_dicts()}
    left, middle, right = st.columns([3, 3, 1], vertical_alignment="bottom")
    row = told[left.selectbox("The word", list(told), key="uncoded word")]
    code = middle.selectbox(
        "means", readings.codes_of(row["list"]), index=None, placeholder="type part of it", key=f"means {row['list']} {row['word']}"
    )
    if right.button("Settle", key="settle word", width="stretch"):
        _keep([Word(row["list"], row["word"], code)] if code else [], by, [("word", row["word"])])
    figures(words, "uncoded", "uncoded")


def _near_misses(words: pl.DataFrame, by: str) -> None:
    st.subheader("Words taken as the nearest", anchor=False)
    if words.is_empty():
        st.markdown("None waits to be looked over.")
        return
    st.markdown("Each is one slip away from a known word and was read as that word. Tick those that are right; the rest stay on the list.")
    ticked = _ticked(words, "near misses")
    if st.button("The ticked ones are right", key="settle near misses"):
        _keep([Word(row["list"], row["word"], row["code"]) for row in ticked], by, [("word", row["word"]) for row in ticked])


def _suggestions(rows: pl.DataFrame, by: str) -> None:
    st.subheader("Suggested from what was written", anchor=False)
    if rows.is_empty():
        st.markdown("None: no row without a code has words that point to one surely enough.")
        return
    least = st.slider("At least this sure", 0, 100, 0, 5, format="%d %%", key="least sure", width=320)
    shown = rows.filter(pl.col("confidence") >= least / 100)
    st.markdown(f"{counted(shown.height, 'row', 'rows')} of {rows.height:,}. A suggestion counts in no rate before somebody confirms it.")
    ticked = _ticked(shown, "suggestions")
    if st.button("Confirm the ticked ones", key="confirm suggestions"):
        codes = [RowCode(row["kind"], row["row_id"], row["column"], row["code"]) for row in ticked]
        _keep(codes, by, [("row_id", row["row_id"]) for row in ticked])


def _ticked(rows: pl.DataFrame, name: str) -> list[dict[str, Any]]:
    """Show rows with a box each, and return those that are ticked."""
    every = st.checkbox(f"Tick all {rows.height:,}", key=f"all {name}")
    edited: Any = st.data_editor(
        rows.with_columns(pl.lit(every).alias("right")),
        hide_index=True,
        disabled=rows.columns,
        column_order=["right", *dict.fromkeys([*(first for first in FIRST if first in rows.columns), *rows.columns])],
        column_config=BOXES,
        key=f"{name} {rows.height} {every}",
        alt=name,
    )
    return edited.filter("right").to_dicts()


def _keep(settled: list[Word] | list[RowCode], by: str, done: list[tuple[str, object]]) -> None:
    try:
        number = changes.keep_settled(settled, by)
    except TowlessError as refusal:
        st.warning(literal(refusal))
        return
    st.session_state[DONE] |= set(done)
    st.session_state[TOLD] = f"Settled: {number:,}. It holds for every row, past and to come; the figures follow in a moment."
    st.rerun()
