"""What a person did to the shelf, as the form says it.

In: rows of what stands. Out: short words.
Elsewhere: the form (`controls.shelf_form`), the difference of a count (`pipelines.flow.shelf`).
"""

from typing import Any

from dashboard.sentences.plain import day, literal

Row = dict[str, Any]
SAID = {"received": "Received", "counted": "Counted", "ordered": "Ordered"}
NO_BASE = "no base"


def field_label(row: Row) -> str:
    """Name one part beside its field: number and part, with the model where the shelf has it for one alone."""
    part = " · ".join(word for word in (row["label"] or row["component"], row["engine_model"]) if word)
    return f"**{literal(row['part_id'])}** {literal(part)}"


def stands_words(row: Row) -> str:
    """Say what the list holds of a part, and what was last done to it."""
    coming = f", {row['on_order']:,} on order" if row["on_order"] else ""
    last = (
        f" · {literal(row['last_change'])} on {day(row['since_on'])} by {literal(row['last_by'] or 'nobody named')}"
        if row["last_change"]
        else ""
    )
    return f"list: {row['on_hand'] or 0:,} on the shelf{coming}{last}"


def button_words(done: str, number: int) -> str:
    """Return what the button of the form says."""
    return f"Write down {number:,} {'part' if number == 1 else 'parts'} {done}" if number else "Nothing to write down yet"
