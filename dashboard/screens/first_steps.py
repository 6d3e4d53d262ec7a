"""First steps: a first folder taken in by three steps."""

import streamlit as st

from dashboard.controls.first_steps import first_steps
from dashboard.controls.showing import head

WIDTH = 760

with st.container(horizontal_alignment="center"), st.container(width=WIDTH):
    head("Your first records", "What have you got, what would it come to, and shall it come in?", finds=False)
    first_steps()
