"""How long parts last: the share still running by age, and what that says about how the part fails."""

import streamlit as st

from dashboard import readings
from dashboard.charts.part_lives import life_ranges_chart
from dashboard.controls.filters import UNSEASONED, scope_of_page
from dashboard.controls.looks import show_look
from dashboard.controls.pickers import CLOCKS, LOOKS, SPLITS, pick_clock, pick_component, pick_look, pick_row, pick_split, row_of_pickers
from dashboard.controls.showing import beneath, foot, head, nothing_here, picture
from dashboard.sentences import how_to_read
from dashboard.sentences.lives import (
    do_groups_differ,
    group_lines,
    how_it_fails,
    life_lines,
    most_failed_first,
    notes_of,
    read_otherwise_words,
)

MOST_ROWS, FIRST_SPLIT = 14, "model"

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

place = pick_row(answer.rows) if split else 0
row, lives = answer.rows.row(place, named=True), readings.lives_behind(scope, component)
st.markdown(how_it_fails(row), help=how_to_read.TERMS["wear"])
look = pick_look()
left, right = st.columns(2, gap="large")
with left:
    st.subheader(LOOKS[look].capitalize(), anchor=False)
    if look == "groups":
        by = split or FIRST_SPLIT
        groups = answer if split else readings.split_fits(scope, component, clock, by)
        shown = picture(
            life_ranges_chart, group_lines(groups.rows.head(MOST_ROWS)), clock, alt=f"One in ten failed by, {SPLITS[by]}, with limits"
        )
        st.markdown(do_groups_differ(groups.extra["comparisons"][0]))
        beneath(how_to_read.GROUPS, groups.rows.drop("curve"), "fits", f"groups-{component}-{by}-{clock}", lives, shown=shown)
    else:
        show_look(look, row, answer.extra["details"][place], lives)
    st.caption(f"{notes_of(row)} {read_otherwise_words(answer.extra['details'][place]['read_otherwise'], clock)}")
with right:
    st.subheader("Beside the other parts", anchor=False)
    others = most_failed_first(readings.ask("fits", scope, by=(), clock=clock).rows)
    shown = picture(life_ranges_chart, life_lines(others.head(MOST_ROWS)), clock, alt="One in ten failed by, with limits")
    beneath(how_to_read.LIFE_RANGES, others.drop("curve"), "fits", f"fits-parts-{clock}", shown=shown)
foot(answer)
