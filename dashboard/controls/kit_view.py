"""The kit aboard: what each type of boat should carry within money and weight, and what no kit covers.

In: filters. Out: elements of the page. Elsewhere: the words (`sentences.kit`), the choice (`pipelines.advice`).
"""

import streamlit as st

from dashboard import readings, shelves
from dashboard.charts.kits import kit_curve_chart, kit_tows_chart
from dashboard.controls.address import from_address, to_address
from dashboard.controls.lists import take_lists
from dashboard.controls.pickers import row_of_pickers
from dashboard.controls.showing import beneath, figures, nothing_here, picture, table
from dashboard.readings import Scope
from dashboard.sentences import stock_to_read
from dashboard.sentences.kit import cautions_of, instead_words, item_lines, kit_words, tow_lines
from dashboard.sentences.plain import literal
from dashboard.shelves import Wish
from pipelines.terms.cautions import CAUTIONS
from pipelines.terms.kit import SAFETY_GEAR

EVERY_CAUTION = tuple(CAUTIONS.values())


def kit_view(scope: Scope, wish: Wish) -> None:
    """Show the kit of one type of boat, picked in the address with its limits."""
    whole = shelves.kits(scope)
    if whole is None:
        nothing_here(
            "No kit can be weighed here: it takes rescue calls and boats in service. Take in `rescue_calls`, or widen the filters."
        )
    with row_of_pickers():
        types = [kit["boat_type"] for kit in whole.extra["kits"]]
        picked = _pick_type(types)
        money = st.number_input(
            "Money for one kit", 0.0, None, None, 10.0, "%.2f", placeholder="no limit", key="kit-money", width=170, bind="query-params"
        )
        weight = st.number_input(
            "Weight, kg", 0.0, None, None, 0.5, "%.1f", placeholder="no limit", key="kit-kg", width=150, bind="query-params"
        )
    answer = shelves.kits(scope, money, weight) or whole
    kit = answer.extra["kits"][types.index(picked)]
    currency = answer.extra["currency"]
    st.markdown(kit_words(kit, currency))
    _aboard(kit)
    left, right = st.columns(2, gap="large")
    with left:
        _rest(kit, currency)
    with right:
        st.subheader("Every tow of this type", anchor=False)
        st.markdown(instead_words(kit["gaps"]))
        drawn = picture(kit_tows_chart, tow_lines(kit["gaps"]), alt="Tows by fault, those the kit covers told apart")
        beneath(stock_to_read.KIT_TOWS, kit["gaps"], "kit", "tows-by-fault", shown=drawn)
    st.subheader("Before any of it", anchor=False)
    st.markdown("\n".join(f"- {caution}" for caution in [*cautions_of(kit, EVERY_CAUTION), literal(SAFETY_GEAR)]))
    take_lists(("kit-list",), scope, wish, (money, weight))
    st.subheader("Every type, every item", anchor=False)
    figures(answer.rows, "kit", "kits")


def _pick_type(types: list[str]) -> str:
    key = from_address("type", types)
    if st.session_state.get(key) not in types:
        st.session_state[key] = types[0]
    return st.selectbox("Type of boat", types, key=key, width=290, **to_address("type")) or types[0]


def _aboard(kit: dict) -> None:
    st.subheader("Aboard", anchor=False)
    if kit["tows_stopped"]:
        table(item_lines(kit, aboard=True), readings.meanings("kit"), "aboard")
    else:
        st.info("Nothing within these limits spares a tow.")


def _rest(kit: dict, currency: str) -> None:
    st.subheader("What money does", anchor=False)
    if kit["curve"].height > 1:
        drawn = picture(kit_curve_chart, kit["curve"], kit["spend"], currency, alt="Tows spared against money for one kit")
        beneath(stock_to_read.KIT_CURVE, kit["curve"], "kit", "kit-curve", shown=drawn)
    rest = item_lines(kit, aboard=False)
    if rest.height:
        with st.expander(f"Not aboard ({rest.height}), and why"):
            table(rest, readings.meanings("kit"), "not aboard")
