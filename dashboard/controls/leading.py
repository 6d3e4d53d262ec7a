"""Lines of a page that lead on: each a link and its sentence, side by side; on a telephone one below the other.

In: where each leads and what it says. Out: elements of the page.
Elsewhere: which lines there are (`sentences.week`, `sentences.finding`).
"""

from collections.abc import Iterable
from pathlib import Path

import streamlit as st

from dashboard.sentences.leading import Lead
from dashboard.sentences.plain import link_words

TOUCH = Path(__file__).with_name("touch.css")
LINK_AND_WORDS = (0.24, 0.76)


def leading_lines(name: str, told: Iterable[tuple[Lead, str]]) -> None:
    """Show lines; `name` tells them from other lines of the page.

    Parameters
    ----------
    told
        Where each line leads, and what it says as Markdown.
    """
    with st.container(gap="xsmall", key=f"leads {name}"):
        st.html(TOUCH)
        for lead, words in told:
            left, right = st.columns(LINK_AND_WORDS, gap="small")
            with left:
                leading_link(lead)
            right.markdown(words)


def leading_link(lead: Lead) -> None:
    """Show a link alone."""
    st.page_link(f"screens/{lead.screen}.py", label=link_words(lead.label), query_params=dict(lead.address))
