"""Adopting an interval: who, how often, why; the only place where a screen changes the plan.

In: a row of `intervals`. Out: a row added to the plan; the one before it stays in the records.
"""

from dataclasses import replace
from typing import Any

import streamlit as st

from dashboard import readings
from dashboard.readings import Scope, TowlessError
from dashboard.sentences.plain import literal


def adopt_form(row: dict[str, Any], scope: Scope) -> None:
    """Show a form that makes an interval of this part the fleet's plan; refusals are shown in their own words."""
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


def _adopt(component: str, every_h: float | None, every_months: float | None, by: str, because: str, scope: Scope) -> None:
    if not by.strip() or not because.strip():
        st.warning("Nothing was changed: say who adopts it and why.")
        return
    try:
        st.success(literal(readings.adopt(component, every_h, every_months, by, because, scope)))
    except TowlessError as refusal:
        st.warning(literal(refusal))
