"""Taking files in from the page: what each would come to is shown, and its columns can be put right, before anything is taken.

In: files a person sends, or a folder of this machine. Out: one import with the mapping it was read with; nothing before the last button.
Elsewhere: how a file is read (`pipelines.intake`), what is said of it (`sentences.intake`).
"""

from pathlib import Path
from shutil import rmtree
from tempfile import mkdtemp
from typing import Any
from weakref import finalize

import polars as pl
import streamlit as st

from dashboard import changes
from dashboard.controls.showing import figures
from dashboard.readings import MapChoices, Preview, TowlessError
from dashboard.sentences.account import kind_words
from dashboard.sentences.intake import preview_words, unknown_words
from dashboard.sentences.plain import literal
from pipelines.terms.tables import RECORD_KINDS

ENDINGS = ["csv", "txt", "tsv", "xlsx", "xls", "parquet", "jsonl", "ndjson"]
OWN = "(a column of your own)"
ORDERS = {
    "": "as the file shows it",
    "day first": "day first: 03/04 is 3 April",
    "month first": "month first: 03/04 is 4 March",
    "year first": "year first",
}
MARKS = {"": "as the file shows it", ",": "comma: 12,5", ".": "point: 12.5"}
THIS_MACHINE = ("127.0.0.1", "localhost", "::1")
PLACE, TOLD = "where uploads are", "what was taken in"
MOST_FILES = 12


class Place:
    """A folder for uploads that goes when the session does."""

    def __init__(self) -> None:
        """Make it."""
        self.folder = Path(mkdtemp())
        finalize(self, rmtree, self.folder, ignore_errors=True)


def take_in_view() -> None:
    """Show the way in on one page: choose, look over, take."""
    said_of_taking_in()
    paths = pick_files()
    if not paths:
        st.caption("Nothing is taken in before you have seen what it would come to. Nothing leaves this machine.")
        return
    mapping = look_over_files(paths)
    by = st.text_input("Taken in by", key="taken in by")
    if st.button("Take in", type="primary"):
        _take_in(paths, by, mapping)


def said_of_taking_in() -> None:
    """Say once what became of the files that were just taken in; nothing where none were."""
    if told := st.session_state.pop(TOLD, None):
        _said_back(told)


def pick_files() -> list[Path]:
    """Pick files, or name a folder of this machine, and return where they are."""
    files = st.file_uploader("Files: CSV, XLSX, Parquet or JSON lines", ENDINGS, accept_multiple_files=True)
    if PLACE not in st.session_state:
        st.session_state[PLACE] = Place()
    found = changes.saved(files, st.session_state[PLACE].folder)
    if st.get_option("server.address") in THIS_MACHINE:
        folder = st.text_input(
            "Or a folder on this machine", key="folder", placeholder="the whole path of a folder, a file or a pattern"
        ).strip()
        found += changes.files_in(folder) if folder else []
    return found


def look_over_files(paths: list[Path]) -> str:
    """Show what each file would come to, let its columns be put right, and return the mapping they are read with."""
    mapping = changes.kept_mapping()
    for path in paths[:MOST_FILES]:
        mapping = _look_over(path, mapping)
    if len(paths) > MOST_FILES:
        st.caption(f"The first {MOST_FILES} files are shown; all {len(paths)} are taken in.")
    with st.expander("The mapping as text, kept with the ledger once it is used"):
        st.code(mapping or "# None: the files speak our names.", "toml")
    return mapping


def _look_over(path: Path, mapping: str) -> str:
    """Show what one file would come to, let its columns be put right, and return the mapping with what was chosen."""
    with st.container(border=True):
        shown = changes.preview(path, mapping, "")
        suggestion = shown[0].suggestion
        if suggestion:
            mapping = changes.with_choices(mapping, suggestion, MapChoices(path.name))
            shown = changes.preview(path, mapping, "")
            st.caption("Its columns have other names than ours. This is what they most likely are: look it over.")
        chosen = changes.with_choices(mapping, "", _choices(path.name, shown))
        if chosen != mapping:
            shown = changes.preview(path, chosen, "")
        for table in shown:
            _show(table)
        return chosen


def _choices(file: str, shown: list[Preview]) -> MapChoices:
    """Let a person say which column is which, and how dates and figures are written."""
    first = shown[0]
    with st.expander(f"Columns, dates and figures of {literal(file)}", expanded=bool(first.refusal)):
        kinds = ["", *RECORD_KINDS]
        left, middle, right = st.columns(3)
        kind = left.selectbox("Read as", kinds, format_func=lambda name: kind_words(name) or "as its columns say", key=f"kind {file}")
        order = middle.selectbox("Order of dates", list(ORDERS), format_func=ORDERS.__getitem__, key=f"order {file}")
        mark = right.selectbox("Decimal mark", list(MARKS), format_func=MARKS.__getitem__, key=f"mark {file}")
        changed = {yours: ours for table in shown if table.kind for yours, ours in _columns(table).items()}
    return MapChoices(file, kind, changed, order, mark)


def _columns(table: Preview) -> dict[str, str]:
    """Show which of the file's columns is which of ours, to be changed; return those that were changed."""
    rows = table.columns.filter(pl.col("yours") != "").with_columns(
        pl.when(pl.col("ours") == "").then(pl.lit(OWN)).otherwise("ours").alias("ours")
    )
    ours = [OWN, *RECORD_KINDS[table.kind].column_names]
    edited = st.data_editor(
        rows,
        hide_index=True,
        disabled=["yours", "meaning", "unit", "settled", "example"],
        column_order=["yours", "ours", "example", "settled", "meaning"],
        column_config={
            "yours": "your column",
            "ours": st.column_config.SelectboxColumn("is our column", options=ours, required=True),
            "settled": "read as",
            "example": "for example",
        },
        key=f"columns {table.file} {table.sheet}",
        alt=f"Columns of {table.file}",
    )
    both = zip(rows["yours"], rows["ours"], edited["ours"], strict=True)
    return {yours: "" if now == OWN else now for yours, before, now in both if before != now}


def _show(table: Preview) -> None:
    st.markdown(preview_words(table))
    for remark in table.remarks:
        st.caption(literal(remark))
    if table.rows_left_out:
        st.markdown("\n".join(f"- {literal(reason)}" for reason in table.left_out["reason"].head(5)))
    if words := unknown_words(table.words):
        st.markdown(words)
    if table.rows.height:
        with st.popover("The first rows as they would be read", type="tertiary"):
            figures(table.rows, table.kind, f"first rows of {table.file} {table.sheet}".strip())


def _take_in(paths: list[Path], by: str, mapping: str) -> None:
    if not by.strip():
        st.warning("Nothing was taken in: say who takes it in.")
        return
    try:
        told = changes.take_in(paths, by, mapping)
    except TowlessError as refusal:
        st.warning(literal(refusal))
        return
    st.session_state[TOLD] = told
    st.rerun()


def _said_back(told: Any) -> None:
    st.success(literal(told.sentence))
    for remark in told.remarks:
        st.caption(literal(remark))
    if told.left_out.height:
        st.page_link("screens/records.py", label="Put right the rows that were left out", query_params={"view": "left-out"})
