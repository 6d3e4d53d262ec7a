"""What to stock: what will be used, when to order, how much, and what more money would buy."""

import streamlit as st

from dashboard import readings
from dashboard.charts.shelf import budget_chart, shelf_chart
from dashboard.controls.filters import UNSEASONED, scope_of_page
from dashboard.controls.papers import papers
from dashboard.controls.pickers import pick_horizon, row_of_pickers
from dashboard.controls.showing import beneath, figures, foot, head, nothing_here, picture
from dashboard.sentences import how_to_read
from dashboard.sentences.work import order_words, shelf_lines

MOST_ROWS = 16

head("What to stock", "What will be used in the months ahead, what is short, and what would more money buy?")
with row_of_pickers():
    horizon = pick_horizon()
    scope = scope_of_page(UNSEASONED)
answer = readings.ask("stock", scope, horizon_days=horizon)
if answer.rows.is_empty():
    nothing_here("No part is on the shelf list here. Take in `parts`: what is on hand, the lead time and the price of each, by base.")

currency = readings.currency()
budget = readings.extra_frame(answer, "budget_curve")
st.markdown(order_words(answer.rows, currency), help=how_to_read.TERMS["order"])
left, right = st.columns(2, gap="large")
with left:
    st.subheader("The shelf", anchor=False)
    st.caption("Bar: on the shelf · dot: expected use, with its range · ❘ order at")
    picture(shelf_chart, shelf_lines(answer.rows).head(MOST_ROWS), alt="On the shelf against expected use and reorder point")
    beneath(how_to_read.SHELF, answer.rows, "stock", "shelf")
with right:
    st.subheader("What more money buys", anchor=False)
    if budget.is_empty():
        st.info("No budget curve: no part has both a price and an expected use.")
    else:
        picture(budget_chart, budget, currency, alt="Chance of having a part against money spent")
        beneath(how_to_read.BUDGET, budget, "budget_curve", "budget-curve")
st.subheader("The list", anchor=False)
figures(shelf_lines(answer.rows).select(answer.rows.columns), "stock", "shelf-list")
papers(("order-list", "shelf-list"), scope)
foot(answer, advises=True)
