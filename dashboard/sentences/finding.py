"""What words found, in sentences, and where each thing leads.

In: the rows of `find`. Out: Markdown, leads. Elsewhere: how they were found (`flow.searching`).
"""

from collections.abc import Mapping
from typing import Any

from dashboard.sentences.leading import Lead
from dashboard.sentences.plain import counted, day, literal

SORTS = {
    "boat": ("boat", "boats"),
    "engine": ("engine", "engines"),
    "part": ("part", "parts"),
    "stocked part": ("part on the shelf", "parts on the shelf"),
    "call": ("call", "calls"),
    "ticket": ("ticket line", "ticket lines"),
}
LONGEST_NOTE = 240


def found_words(asked: str, extra: Mapping[str, Any]) -> str:
    """Say how much was found, and by which near word if it was by one."""
    counts = [counted(number, *SORTS[found]) for found, number in extra["counts"].items()]
    if not counts:
        return (
            f"**Nothing goes by {literal(asked)}.** A boat is found by its number, a name it has or had, or a word of a column of your own."
        )
    near = f"Nothing goes by {literal(asked)}; this is what goes by the near word **{literal(extra['near'])}**. " if extra["near"] else ""
    return f"{near}{', '.join(counts)}."


def heading_of(found: str) -> str:
    """Return the heading of one sort of thing."""
    return SORTS[found][1].capitalize()


def lead_of(row: Mapping[str, Any]) -> Lead:
    """Return where a thing that was found leads."""
    match row["found"]:
        case "part":
            return Lead("how_long_parts_last", row["id"], {"component": row["id"]})
        case "stocked part":
            return Lead("what_to_stock", row["id"])
        case "boat":
            return Lead("one_boat", row["label"], {"boat": row["id"]})
        case _ if row["vessel_id"] is None:
            return Lead("records", row["id"], {"view": "imports"})
        case "engine":
            return Lead("one_boat", row["id"], {"boat": row["vessel_id"], "engine": f"engine {literal(row['id'])}"})
        case _:
            return Lead("one_boat", f"{row['vessel_id']}, {day(row['on'])}", {"boat": row["vessel_id"], "record": row["id"]})


def thing_words(row: Mapping[str, Any]) -> str:
    """Say in a line what a thing is and by what it was met, as Markdown."""
    told = [] if row["label"] in (None, row["id"]) or row["found"] == "boat" else [_short(row["label"])]
    told += [f"{row['found']} {row['id']}"] if row["found"] in ("call", "ticket") else []
    told += [f"met by {row['met_by']}"] if row["met_by"] not in ("note", "name", "id") or not told else []
    return literal(" · ".join(told))


def _short(note: str) -> str:
    plain = " ".join(note.split())
    return plain if len(plain) <= LONGEST_NOTE else f"{plain[:LONGEST_NOTE]} …"
