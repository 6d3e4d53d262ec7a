"""The field that finds a boat, a part, a ticket or a call from any page.

In: words that are typed. Out: the page that says what goes by them, with the words in its address.
Elsewhere: what goes by them (`flow.searching`), the page (`screens.find`).
"""

import streamlit as st

from dashboard import readings

FIND = "screens/find.py"
FIELD, WANTED = "find anywhere", "words wanted"
WIDTH = 270
ASKS = "Find a boat, part, ticket or call"


def find_field() -> None:
    """Show the field, and go to the page of what was found where words were typed."""
    if wanted := st.session_state.pop(WANTED, ""):
        st.switch_page(FIND, query_params={"words": wanted})
    if readings.has_ledger():
        st.text_input(ASKS, key=FIELD, placeholder=f"{ASKS} …", label_visibility="collapsed", width=WIDTH, on_change=_asked, type="search")


def words_wanted() -> str:
    """Show the field of the page of what was found, its words kept in the address, and return them."""
    return st.text_input(
        ASKS, key="words", bind="query-params", placeholder=f"{ASKS} …", label_visibility="collapsed", type="search"
    ).strip()


def _asked() -> None:
    st.session_state[WANTED] = st.session_state[FIELD].strip()
    st.session_state[FIELD] = ""
