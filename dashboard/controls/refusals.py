"""What a page says when its question is refused: the reason in its own words, and the way out where there is no ledger yet.

In: what the page raised on purpose. Out: words on the page. Anything else raised is a bug and is not caught.
"""

from collections.abc import Iterator
from contextlib import contextmanager

import streamlit as st

from dashboard.controls.first_steps import no_ledger_yet
from dashboard.readings import NoLedger, TowlessError
from dashboard.sentences.plain import literal


@contextmanager
def shown_in_words() -> Iterator[None]:
    """Show what is raised on purpose as words on the page."""
    try:
        yield
    except NoLedger:
        no_ledger_yet()
    except TowlessError as refusal:
        st.warning(literal(refusal))
