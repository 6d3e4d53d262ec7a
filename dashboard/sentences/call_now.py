"""What to tell the caller and take along, in sentences.

In: the rows of `likely`. Out: Markdown. Nobody afloat is told to do what needs a technician.
Elsewhere: the chances (`advice.likely`).
"""

import polars as pl

from dashboard.sentences.plain import counted, literal, percent

SHOWN = 3
FOLDED = ("unknown", "another known cause")
STEADY = "Ask first: is anyone hurt, is water coming in, is anything burning? Then the coast or water rescue comes before anything here."


def in_short(rows: pl.DataFrame, calls: int, symptom: str) -> str:
    """Say what leads, how much is unknown, and how many calls it rests on."""
    known = rows.filter(~pl.col("cause").is_in(FOLDED))
    rest = float(rows.filter(pl.col("cause") == "unknown")["probability"].sum())
    basis = f"{counted(calls, 'call', 'calls')} like it on record" if calls else "No call like it is on record, so the trade's list speaks"
    if known.is_empty():
        return f"Nothing stands out for **{literal(symptom)}**. {basis}."
    first = known.row(0, named=True)
    leads = f"**{literal(first['cause'])}** leads with {percent(first['probability'])}"
    return f"{leads}; in {percent(rest)} of such calls the cause never came to light. {basis}."


def check_lines(rows: pl.DataFrame) -> list[str]:
    """Return what to have the crew look at for the first causes, each once, with its chance."""
    said: dict[str, str] = {}
    for row in rows.filter(~pl.col("cause").is_in(FOLDED)).head(SHOWN).iter_rows(named=True):
        said.setdefault(row["check_first"], f"{literal(row['check_first'])} ({literal(row['cause'])}, {percent(row['probability'])})")
    return list(said.values())


def to_bring(rows: pl.DataFrame) -> list[str]:
    """Return what to take along for the first causes, each thing once."""
    things = [thing.strip(" .") for words in rows.head(SHOWN)["bring"] for thing in words.split(",")]
    return [literal(thing) for thing in dict.fromkeys(thing[:1].lower() + thing[1:] for thing in things)]


def cautions_of(rows: pl.DataFrame) -> list[str]:
    """Return the cautions of the first causes, each once."""
    return [literal(caution) for caution in rows.head(SHOWN)["caution"].unique(maintain_order=True)]
