"""Take the figures: any table, filtered, as a file another program reads, or all of them with their dictionary."""

import streamlit as st

from dashboard import taking_away
from dashboard.controls.filters import SEASONED, scope_of_page
from dashboard.controls.papers import papers
from dashboard.controls.pickers import row_of_pickers
from dashboard.controls.showing import head, table
from dashboard.controls.taking_figures import pick_table, take_package, take_table
from dashboard.sentences.taking_away import UNCHANGED, WHOLE, made_from, what_it_is

head("Take the figures", "Which table, as what file, made from what?")
with row_of_pickers():
    name = pick_table()
    scope = scope_of_page(SEASONED)
told = taking_away.told_of(name)
answer = taking_away.table(name, scope)
meanings = dict(told.columns.select("column", "meaning").iter_rows())

st.markdown(what_it_is(told.grain, told.key, answer.rows.height))
for remark in answer.extra["remarks"]:
    st.info(remark)
take_table(name, scope, answer.rows.height)
table(answer.rows, meanings, f"{name}, its rows", as_filed=True)
st.caption(f"{made_from(answer.head, answer.extra['query'], answer.extra['currency'])} {UNCHANGED}")

st.subheader("What each column means", anchor=False)
table(told.columns, {}, f"{name}, its columns")

st.subheader("Everything at once", anchor=False)
st.markdown(WHOLE)
take_package(scope)
papers(("season-report",), scope)
