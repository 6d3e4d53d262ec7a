"""Picking what a caller says, and making the call a record with one touch.

In: what a person picks. Out: the symptom, kept in the address; a rescue call in the ledger, said back, with a way to take it back.
Elsewhere: the long form with everything about a call (`by_hand`), keeping it (`readings`).
"""

import secrets
from datetime import datetime

import streamlit as st

from dashboard import changes
from dashboard.controls.address import from_address, to_address
from dashboard.readings import TowlessError
from dashboard.sentences.plain import literal

WIDTH = 320
NUMBER, KEPT, NAME = "call now open", "call that was kept", "who writes"


def pick_symptom(symptoms: list[str]) -> str | None:
    """Pick what the caller says; `None`: nothing is picked yet."""
    return st.selectbox(
        "What does the caller say?",
        symptoms,
        index=None,
        placeholder="The caller says …",
        key=from_address("symptom", symptoms),
        label_visibility="collapsed",
        width=WIDTH,
        **to_address("symptom"),
    )


def keep_call(vessel_id: str, symptom: str) -> None:
    """Show the button that makes the call a record, or say back what was kept."""
    number = st.session_state.setdefault(NUMBER, secrets.token_hex(4))
    kept = st.session_state.get(KEPT)
    if kept and kept["of"] == (vessel_id, symptom):
        _said_back(kept)
        return
    by = st.text_input("Who answers the call?", key=NAME)
    if st.button("Make it a rescue call on record", type="primary", key=f"{number} keep call"):
        _keep(vessel_id, symptom, by, number)


def _keep(vessel_id: str, symptom: str, by: str, number: str) -> None:
    row = {"call_id": f"hand-{number}", "vessel_id": vessel_id, "called_at": datetime.now().replace(second=0, microsecond=0)}
    try:
        written = changes.write_down("rescue_calls", {**row, "symptom": symptom}, by)
    except TowlessError as refusal:
        st.warning(literal(refusal))
        return
    st.session_state[KEPT] = {"of": (vessel_id, symptom), "what": written, "by": by, "at": f"{row['called_at']:%H:%M}"}
    st.rerun()


def _said_back(kept: dict) -> None:
    if kept.get("taken back"):
        st.info("Taken back: it is out of every count, and kept in the history of the records.")
    else:
        vessel_id, symptom = kept["of"]
        st.success(f"On record: boat {literal(vessel_id)}, {literal(symptom)}, {kept['at']}. Add cause and outcome under Records later.")
        if st.button("Take it back", key="take the call back"):
            changes.take_back(kept["what"], kept["by"])
            kept["taken back"] = True
            st.rerun()
    if st.button("Another call", key="another call"):
        del st.session_state[NUMBER], st.session_state[KEPT]
        st.rerun()
