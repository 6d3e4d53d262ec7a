"""How long parts last: the share still running by age, and what that says about how the part fails."""

import polars as pl
import streamlit as st

from dashboard import readings
from dashboard.charts.part_lives import life_ranges_chart, survival_chart
from dashboard.controls.filters import UNSEASONED, scope_of_page
from dashboard.controls.pickers import CLOCKS, SPLITS, pick_clock, pick_component, pick_row, pick_split, row_of_pickers
from dashboard.controls.showing import beneath, foot, head, nothing_here, picture
from dashboard.sentences import how_to_read
from dashboard.sentences.lives import how_it_fails, life_lines, most_failed_first, notes_of

MOST_ROWS = 14

head("How long parts last", "At what age does a part fail, and does an old one fail more readily than a new one?")
with row_of_pickers():
    scope = scope_of_page(UNSEASONED)
    parts = most_failed_first(readings.ask("fits", scope, by=(), clock="hours").rows)
    if parts.is_empty():
        nothing_here("No life of any part is known here. Take in boats, engines and tickets under Records, or widen the filters.")
    component = pick_component(parts["component"].unique(maintain_order=True).to_list())
    clock, split = pick_clock(), pick_split()
answer = readings.split_fits(scope, component, clock, split)
if answer.rows.is_empty():
    nothing_here(f"No life of this part is known in {CLOCKS[clock]}. Try the other clock: its dates may be known where its hours are not.")

row = pick_row(answer.rows) if split else answer.rows.row(0, named=True)
curve = pl.DataFrame(row["curve"])
others = most_failed_first(answer.rows if split else readings.ask("fits", scope, by=(), clock=clock).rows)
st.markdown(how_it_fails(row), help=how_to_read.TERMS["wear"])
left, right = st.columns(2, gap="large")
with left:
    st.subheader("Still running at each age", anchor=False)
    if curve.is_empty():
        st.info("Nothing of it has failed yet, so there is no curve; its lives count all the same.")
    else:
        picture(survival_chart, curve, row["shape"], row["scale"], clock, alt="Still running at each age, with limits")
        beneath(how_to_read.SURVIVAL, curve, "curve", f"curve-{component}-{clock}")
    st.caption(notes_of(row))
with right:
    st.subheader(SPLITS[split].capitalize() if split else "Beside the other parts", anchor=False)
    picture(life_ranges_chart, life_lines(others.head(MOST_ROWS)), clock, alt="One in ten failed by, with limits")
    beneath(how_to_read.LIFE_RANGES, others.drop("curve"), "fits", f"fits-{split or 'parts'}-{clock}")
foot(answer)
