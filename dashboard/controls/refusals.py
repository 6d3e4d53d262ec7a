"""What a page says when its question is refused: the reason in its own words, and the way out where there is no ledger yet.

In: what the page raised on purpose. Out: words on the page. Anything else raised is a bug and is not caught.
"""

from collections.abc import Iterator
from contextlib import contextmanager

import streamlit as st

from dashboard import readings
from dashboard.readings import NoLedger, TowlessError
from dashboard.sentences.plain import literal

FIRST_STEPS = """
**Look at it on invented records first:** close this and run `towless demo`. It makes a ledger of a hire fleet that does not exist.

**Or take in your own:** put your tickets and rescue calls (CSV, XLSX, Parquet or JSON lines) in a folder and run

```
towless intake FOLDER
```

Then open this page again. Nothing you take in leaves this machine.
"""


@contextmanager
def shown_in_words() -> Iterator[None]:
    """Show what is raised on purpose as words on the page."""
    try:
        yield
    except NoLedger:
        st.subheader("No ledger yet", anchor=False)
        st.markdown(f"There is no ledger at {literal(readings.ledger_path())}.")
        st.markdown(FIRST_STEPS)
    except TowlessError as refusal:
        st.warning(literal(refusal))
