"""What is said to somebody who begins: the two ways, the three steps, and what the files would come to.

In: where the ledger would be, previews of files. Out: Markdown.
Elsewhere: the previews (`intake.previewing`), each file in words (`intake`).
"""

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from dashboard.sentences.plain import counted, literal

STEPS = {"pick": "Pick", "look-over": "Look over", "take-in": "Take in"}
OWN_RECORDS = """
**Your own records**, in three steps: pick the files, look over what they would come to, take them in. They are only read, they stay as they
are, and nothing leaves this machine.
"""
INVENTED = """
**An invented fleet first:** 48 boats that do not exist, with six seasons of messy records, in a ledger of its own. Yours is never mixed
with it.
"""
SUGGESTED = """
Service tickets, rescue calls, lists of boats and engines, hour readings, prices: as CSV, XLSX, Parquet or JSON lines, with the columns they
have. The least that gives a verdict: boats, engines, tickets and costs. More can follow on any day.
"""


def no_ledger_words(ledger: Path) -> str:
    """Say that there is no ledger yet, and how the command makes one."""
    command = "At the command: `towless intake FOLDER`, or `towless demo` for the invented fleet."
    return f"There is no ledger at {literal(ledger)}. {command}"


def steps_words(step: str) -> str:
    """Say which of the steps this is."""
    told = [f"**{place} {name}**" if key == step else f"{place} {name}" for place, (key, name) in enumerate(STEPS.items(), start=1)]
    return " › ".join(told)


def to_take_words(shown: Sequence[Any]) -> str:
    """Say what is about to be taken in; `shown` are previews."""
    refused = [table for table in shown if table.refusal]
    read = [table for table in shown if not table.refusal]
    rows, out = sum(table.rows_in for table in read), sum(table.rows_left_out for table in read)
    whole = "" if all(table.whole for table in read) else " looked at, from the beginning of each"
    told = f"**{counted(len(read), 'table', 'tables')}, {counted(rows, 'row', 'rows')}{whole}.**"
    told += f" {counted(out, 'row', 'rows')} of them would be left out, to be put right afterwards." if out else " None would be left out."
    names = ", ".join(literal(table.file) for table in refused)
    return told + (f" {names} cannot be read as any kind of record, and would stop the import: pick without." if refused else "")


SAMPLE_SHOWN = "This is the invented fleet: no boat on these pages exists."
