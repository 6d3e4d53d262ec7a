"""How it is worked out: every method in plain words, with its formula and its sources."""

import streamlit as st

from dashboard import readings
from dashboard.controls.showing import head
from dashboard.sentences.methods import PARTS, method

WIDTH = 760

head("How it is worked out", "By which rule is each figure found, what is assumed, and who has written it down?")
settings = readings.settings()
with st.container(width=WIDTH):
    for part, names in PARTS.items():
        told = [method(name) for name in names]
        st.markdown(f"**{part}:** " + " · ".join(f"[{each.title}](#{each.name})" for each in told))
    for each in (method(name) for names in PARTS.values() for name in names):
        st.subheader(each.title, anchor=each.name)
        st.markdown(each.told(settings))
