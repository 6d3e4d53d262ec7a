"""Find: what goes by some words: boats, engines, parts, tickets and calls, each one touch from its page."""

import polars as pl
import streamlit as st

from dashboard import wayfinding
from dashboard.controls.finding import words_wanted
from dashboard.controls.leading import leading_lines
from dashboard.controls.showing import foot, head, nothing_here
from dashboard.sentences.finding import found_words, heading_of, lead_of, thing_words

WIDTH = 760

with st.container(horizontal_alignment="center"), st.container(width=WIDTH):
    head("Find", "Which boat, engine, part, ticket or call goes by these words?", finds=False)
    words = words_wanted()
    if not any(sign.isalnum() for sign in words):
        nothing_here("Type a boat's number or name, an engine, a part or its stock number, a ticket, a call, or words of a note.")
    answer = wayfinding.find(words)
    st.markdown(found_words(words, answer.extra))
    for found in answer.rows["found"].unique(maintain_order=True):
        st.subheader(heading_of(found), anchor=False)
        rows = answer.rows.filter(pl.col("found") == found).to_dicts()
        leading_lines(found, [(lead_of(row), thing_words(row)) for row in rows])
    foot(answer)
