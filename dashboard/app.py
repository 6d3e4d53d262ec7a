"""The list of screens, nothing else. Started by `towless serve`."""

from pathlib import Path

import streamlit as st

from dashboard.controls.admission import entrance, is_admitted, who_is_here
from dashboard.controls.first_steps import told_if_invented
from dashboard.controls.refusals import shown_in_words
from dashboard.readings import settle

SCREENS = {
    "screens/this_week.py": "This week",
    "screens/what_strands_us.py": "What strands us",
    "screens/how_long_parts_last.py": "How long parts last",
    "screens/when_to_renew.py": "When to renew",
    "screens/what_is_due.py": "What is due",
    "screens/what_to_stock.py": "What to stock",
    "screens/were_we_right.py": "Were we right?",
    "screens/a_call_comes_in.py": "A call comes in",
    "screens/one_boat.py": "One boat",
    "screens/records.py": "Records",
    "screens/take_the_figures.py": "Take the figures",
    "screens/how_it_is_worked_out.py": "How it is worked out",
}
HIDDEN = {"screens/find.py": "Find", "screens/first_steps.py": "First steps"}
"""Pages that are reached from a field or a link, not from the list of screens."""
WIDTH = 1180

st.set_page_config("towless", layout="wide")
st.logo(str(Path(__file__).with_name(".streamlit") / "wordmark.svg"), size="large")
pages = [
    st.Page(file, title=title, url_path=title.lower().replace(" ", "-").rstrip("?"), visibility="hidden" if file in HIDDEN else "visible")
    for file, title in (SCREENS | HIDDEN).items()
]
admitted = is_admitted()
chosen = st.navigation(pages if admitted else [st.Page(entrance, title="Sign in")], position="top" if admitted else "hidden")
with st.container(horizontal_alignment="center"), st.container(width=WIDTH), shown_in_words():
    if admitted:
        told_if_invented()
    chosen.run()
    if admitted:
        who_is_here()
settle()
