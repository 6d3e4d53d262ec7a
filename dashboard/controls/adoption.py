"""Adopting an interval: who, how often, why; the only place where a screen changes the plan.

In: a row of `intervals`. Out: a row added to the plan; the one before it stays in the records. What was adopted before, and taking it back.
"""

from dataclasses import replace
from typing import Any

import polars as pl
import streamlit as st

from dashboard import changes, readings
from dashboard.controls.showing import figures
from dashboard.readings import Scope, TowlessError
from dashboard.sentences.plain import literal
from dashboard.sentences.what_if import adopted_lines


def adopt_form(row: dict[str, Any], scope: Scope) -> None:
    """Show a form that makes an interval of this part the fleet's plan; refusals are shown in their own words.

    Beneath it stands what was adopted for the part before.
    """
    group = {column: word for column, word in (row["group"] or {}).items() if word is not None}
    scope = replace(scope, model=group.get("engine_model", scope.model), base=group.get("base", scope.base))
    with st.expander("Adopt an interval"), st.form("adopt", border=False):
        if group.keys() - {"engine_model", "base"}:
            st.caption("A plan names engine models and bases alone: what is adopted here holds for every group of this part.")
        st.caption("It becomes the plan from today: What is due and What to stock follow it. The plan before it stays in the records.")
        hours, months = st.columns(2)
        every_h = hours.number_input("Every, engine hours", 1.0, None, row["renew_h"], 10.0, "%g", placeholder="not on hours")
        every_months = months.number_input("Every, months", 1.0, None, row["renew_months"], 1.0, "%g", placeholder="not on months")
        by = st.text_input("Adopted by")
        because = st.text_input("Why")
        if st.form_submit_button("Adopt"):
            _adopt(row["component"], every_h, every_months, by, because, scope)
    _adopted_before(row["component"])


def _adopted_before(component: str) -> None:
    """Show what was adopted for a part before, and take an adoption back."""
    told = readings.adopted(component)
    if told.is_empty():
        return
    with st.expander(f"Adopted before ({told.height})"):
        st.markdown("  \n".join(adopted_lines(told)))
        figures(told, "", f"adopted-{component}")
        standing = told.filter(pl.col("state").is_in(("in force", "replaced")) & pl.col("evidence_version").is_not_null())
        if standing.height:
            _take_back(standing["import_id"].unique().sort(descending=True).to_list())


def _take_back(imports: list[int]) -> None:
    with st.form("take an adoption back", border=False):
        number = st.selectbox("Adoption to take back, by its import", imports)
        by = st.text_input("Taken back by")
        if not st.form_submit_button("Take it back"):
            return
        if not by.strip():
            st.warning("Nothing was changed: say who takes it back.")
            return
        try:
            st.success(literal(changes.undo(number, by)))
        except TowlessError as refusal:
            st.warning(literal(refusal))


def _adopt(component: str, every_h: float | None, every_months: float | None, by: str, because: str, scope: Scope) -> None:
    if not by.strip() or not because.strip():
        st.warning("Nothing was changed: say who adopts it and why.")
        return
    try:
        st.success(literal(changes.adopt(component, every_h, every_months, by, because, scope)))
    except TowlessError as refusal:
        st.warning(literal(refusal))
