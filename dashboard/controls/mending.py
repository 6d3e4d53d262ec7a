"""Rows that were left out: each with its reason, to be put right in a table and taken again.

In: the rows that wait. Out: the mended rows as an import by hand; the row that was left out stays in the account as it came.
"""

import json
from typing import Any

import polars as pl
import streamlit as st

from dashboard import changes, readings
from dashboard.controls.showing import figures
from dashboard.readings import TowlessError
from dashboard.sentences.intake import reasons, table_name, taken_words
from dashboard.sentences.plain import literal

TOLD, DONE = "what was mended", "rows mended here"


def mending_view() -> None:
    """Show what waits, table by table of the files it came in."""
    rows = readings.waiting()["to_mend"]
    if told := st.session_state.pop(TOLD, None):
        st.success(told)
    if rows.is_empty():
        st.info("Nothing was left out: every row that came in is in, or said again what was in already.")
        return
    st.markdown(reasons(rows))
    done = st.session_state.setdefault(DONE, set())
    waits = rows.filter(pl.col("mended_as").is_null() & ~pl.col("row_id").is_in(list(done)))
    for part in waits.partition_by("file", "sheet", "kind", "header", maintain_order=True):
        _mend(part)
    st.markdown("**All that was ever left out**, also for your own program:")
    figures(rows.drop("header"), "left_out_rows", "left-out-rows")


def _mend(part: pl.DataFrame) -> None:
    first = part.row(0, named=True)
    name = table_name(first["file"], first["sheet"])
    with st.container(border=True):
        st.markdown(f"**{name}**")
        st.markdown("\n".join(f"- {literal(reason)}" for reason in part["reason"]))
        before = _cells(part)
        after: Any = st.data_editor(
            before,
            hide_index=True,
            disabled=["line"],
            column_config={"line": st.column_config.NumberColumn("line", pinned=True, width="small")},
            key=f"mend {first['row_id']}",
            alt=f"Rows left out of {first['file']}",
        )
        left, right = st.columns([2, 1], vertical_alignment="bottom")
        by = left.text_input("Mended by", key=f"mended by {first['row_id']}")
        if right.button("Take the changed rows again", key=f"take {first['row_id']}", width="stretch"):
            _take(part, before, after, by)


def _cells(part: pl.DataFrame) -> pl.DataFrame:
    """Return the cells of the rows as they came, one column a name of the header, with their line."""
    names = json.loads(part["header"][0])
    held = [changes.cells_of(row["raw"], row["header"]) for row in part.to_dicts()]
    columns = {name: [cells[name] for cells in held] for name in names if name != "line"}
    return pl.DataFrame({"line": part["line"], **columns})


def _take(part: pl.DataFrame, before: pl.DataFrame, after: pl.DataFrame, by: str) -> None:
    changed = [place for place, (old, new) in enumerate(zip(before.rows(), after.rows(), strict=True)) if old != new]
    cells = [{name: str(value or "") for name, value in after.row(place, named=True).items()} for place in changed]
    rows = part[changed]
    try:
        told = changes.take_mended(rows, cells, by)
    except TowlessError as refusal:
        st.warning(literal(refusal))
        return
    st.session_state[DONE] |= set(rows["row_id"])
    st.session_state[TOLD] = taken_words(told)
    st.rerun()
