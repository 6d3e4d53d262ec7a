"""The first steps of somebody who has no ledger yet: look at an invented fleet, or take in a first folder in three steps.

In: files a person picks. Out: a ledger, and the page of the week. Each step stands on a page of its own, in the address; nothing is taken
in before the last button.
Elsewhere: how files are looked over (`taking_in`), the words (`sentences.first_steps`).
"""

from pathlib import Path

import streamlit as st

from dashboard import changes, readings
from dashboard.controls.leading import TOUCH
from dashboard.controls.taking_in import TOLD, look_over_files, pick_files
from dashboard.readings import TowlessError
from dashboard.sentences.first_steps import (
    INVENTED,
    OWN_RECORDS,
    SAMPLE_SHOWN,
    STEPS,
    SUGGESTED,
    no_ledger_words,
    steps_words,
    to_take_words,
)
from dashboard.sentences.plain import link_words, literal

SCREEN, WEEK = "screens/first_steps.py", "screens/this_week.py"
WIDTH = 760
FILES, MAPPING = "first files", "first mapping"


def no_ledger_yet() -> None:
    """Show the two ways to begin; either is one touch."""
    with st.container(horizontal_alignment="center"), st.container(width=WIDTH):
        st.html(TOUCH)
        st.subheader("No ledger yet", anchor=False)
        st.markdown(no_ledger_words(readings.own_ledger()))
        left, right = st.columns(2, border=True)
        with left, st.container(key="wet-hands-one"):
            st.markdown(OWN_RECORDS)
            if st.button("Take in your first folder", type="primary", width="stretch"):
                st.switch_page(SCREEN)
        with right, st.container(key="wet-hands-two"):
            st.markdown(INVENTED)
            if st.button("Look at the invented fleet", width="stretch"):
                _load_sample()


def _load_sample() -> None:
    try:
        with st.spinner("Taking the invented fleet in; this takes some ten seconds …"):
            changes.load_sample()
    except TowlessError as refusal:
        st.warning(literal(refusal))
        return
    st.switch_page(WEEK)


def told_if_invented() -> None:
    """Say that the invented fleet is shown, and how to begin with one's own records; nothing where a ledger of one's own is."""
    if readings.shows_sample():
        with st.container(horizontal=True, vertical_alignment="center", key="leads invented"):
            st.caption(SAMPLE_SHOWN, width="content")
            st.page_link(SCREEN, label=link_words("Take in your own records"))


def first_steps() -> None:
    """Show the step that the address names; the first one where nothing is picked yet."""
    st.html(TOUCH)
    step = st.query_params.get("step", "")
    if step not in STEPS or not st.session_state.get(FILES):
        step = next(iter(STEPS))
    st.markdown(steps_words(step))
    with st.container(key="wet-hands-steps"):
        {"pick": _pick, "look-over": _look_over, "take-in": _take_in}[step]()


def _pick() -> None:
    st.markdown(SUGGESTED)
    try:
        paths = pick_files()
    except TowlessError as refusal:
        st.warning(literal(refusal))
        return
    if st.button("Look them over", type="primary", width="stretch", disabled=not paths):
        st.session_state[FILES] = paths
        _go_to("look-over")


def _look_over() -> None:
    paths: list[Path] = st.session_state[FILES]
    st.session_state[MAPPING] = look_over_files(paths)
    left, right = st.columns(2)
    if left.button("Pick others", width="stretch"):
        _go_to("pick")
    if right.button("Looks right, go on", type="primary", width="stretch"):
        _go_to("take-in")


def _take_in() -> None:
    paths, mapping = st.session_state[FILES], st.session_state.get(MAPPING, "")
    st.markdown(to_take_words([shown for path in paths for shown in changes.preview(path, mapping, "")]))
    by = st.text_input("Taken in by", key="taken in by", placeholder="your name or your desk's")
    left, right = st.columns(2)
    if left.button("Look again", width="stretch"):
        _go_to("look-over")
    if right.button("Take in", type="primary", width="stretch"):
        _taken(paths, by, mapping)


def _taken(paths: list[Path], by: str, mapping: str) -> None:
    if not by.strip():
        st.warning("Nothing was taken in: say who takes it in.")
        return
    try:
        with st.spinner("Taking in, and making the figures …"):
            st.session_state[TOLD] = changes.take_in(paths, by, mapping)
    except TowlessError as refusal:
        st.warning(literal(refusal))
        return
    del st.session_state[FILES]
    st.switch_page(WEEK)


def _go_to(step: str) -> None:
    st.query_params["step"] = step
    st.rerun()
