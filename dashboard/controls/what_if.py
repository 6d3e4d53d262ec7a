"""What-if: other costs, limit, interval, hours or prior for one part, kept in the address and nowhere else.

In: a row of `intervals`. Out: the answer as it would be, plainly marked. It is never stored, and the form that adopts never reads it.
"""

from typing import Any
from urllib.parse import parse_qsl, urlencode

import polars as pl
import streamlit as st

from dashboard import readings
from dashboard.charts.turning_points import turning_chart
from dashboard.controls.showing import beneath, picture
from dashboard.readings import Scope, Supposed
from dashboard.sentences import how_to_read
from dashboard.sentences.advice import headline, saving
from dashboard.sentences.plain import literal
from dashboard.sentences.what_if import IS_ONE, against_records, turning_lines

ADDRESS = "what-if"
INPUTS = {
    "planned_cost": ("A planned renewal costs", 0.0),
    "failure_cost": ("A failure costs", 0.0),
    "every_h": ("Today every, engine hours", 1.0),
    "every_months": ("Today every, months", 1.0),
    "max_h": ("Limit, engine hours", 1.0),
    "max_months": ("Limit, months", 1.0),
    "year_h": ("Engine hours a year", 1.0),
    "random": ("Prior chance of random failure", 0.01),
}


def what_if_form(row: dict[str, Any], scope: Scope, currency: str) -> None:
    """Show fields for what is supposed of a part, what would then be advised, and what would turn the verdict."""
    given = _given(row)
    with st.expander("What if …", expanded=bool(given)):
        st.caption("Leave a field empty to take it from the records. Nothing you try here is kept or adopted.")
        pairs = [st.columns(2) for _ in range(0, len(INPUTS), 2)]
        asked = {name: _field(pairs[place // 2][place % 2], name, row, given) for place, name in enumerate(INPUTS)}
        supposed = {name: value for name, value in asked.items() if value is not None}
        _to_address(row, supposed)
        if supposed:
            _show(row, scope, Supposed(**supposed), currency)
        if st.toggle("Which assumption would change the verdict?", key=f"turns {_name(row)}"):
            _turns(row, scope)


def _field(column: Any, name: str, row: dict[str, Any], given: dict[str, float]) -> float | None:
    label, least = INPUTS[name]
    key = f"what if {_name(row)} {name}"
    st.session_state.setdefault(key, given.get(name))
    most = 0.99 if name == "random" else None
    return column.number_input(label, least, most, None, 0.05 if name == "random" else None, "%g", key=key, placeholder="as recorded")


def _show(row: dict[str, Any], scope: Scope, supposed: Supposed, currency: str) -> None:
    would = readings.what_if(scope, row["component"], row["group"], supposed)
    if would is None:
        st.info("This part cannot be weighed here.")
        return
    st.warning(f"{IS_ONE} {headline(would)}  \n{literal(would['reason'])}  \n{saving(would, currency)}")
    st.caption(against_records(row, would))


def _turns(row: dict[str, Any], scope: Scope) -> None:
    turns = readings.turning_points(scope, row["component"], row["group"])
    if turns.is_empty():
        st.info("Nothing can be moved: costs or lives are missing.")
        return
    shown = picture(turning_chart, turning_lines(turns), alt="What would change the verdict")
    beneath(how_to_read.TURNS, turns, "", f"turning-points-{row['component']}", shown=shown)


def _name(row: dict[str, Any]) -> str:
    words = [word for word in (row["group"] or {}).values() if word]
    return " · ".join([row["component"], *words])


def _given(row: dict[str, Any]) -> dict[str, float]:
    """Read what the address supposes of this part; what is no figure of ours is passed over."""
    held = dict(parse_qsl(st.query_params.get(ADDRESS, "")))
    if held.pop("of", "") != _name(row):
        return {}
    figures = {name: pl.Series([word]).cast(pl.Float64, strict=False).item() for name, word in held.items() if name in INPUTS}
    return {name: value for name, value in figures.items() if value is not None and INPUTS[name][1] <= value < float("inf")}


def _to_address(row: dict[str, Any], supposed: dict[str, float]) -> None:
    if supposed:
        st.query_params[ADDRESS] = urlencode({"of": _name(row), **{name: f"{value:g}" for name, value in supposed.items()}})
    else:
        st.query_params.pop(ADDRESS, None)
