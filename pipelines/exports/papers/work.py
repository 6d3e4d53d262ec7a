"""The papers of the yard's work: job cards, visit cards, inspection sheets, the pick list.

In: what is due, the parts it takes, the boats. Out: sheets.
Elsewhere: what is due (`advice.due`), which part a task takes (`advice.picking`).
"""

from collections.abc import Mapping, Sequence

import polars as pl

from pipelines.exports.papers.blocks import BOX, Bullets, Cautions, Column, Fields, Heading, Sheet, Words, table
from pipelines.exports.papers.boats import Boat
from pipelines.exports.papers.written import counted, day, figure
from pipelines.terms.cautions import CAUTIONS, GENERAL
from pipelines.terms.components import AFLOAT, CATALOGUE

NONE_DUE = "Nothing is due in these days by the plan in force."
NO_AGE = "Where no age stands, no fitting is recorded: look at the part, and write down when it is renewed."
FOUND = "What was found; reason of each renewal (planned, condition, failed)"
NONE_FITTED = "No part is known to be fitted, so there is nothing to look at. Take in boats and engines."
_TASK = {"renew": "Renew", "inspect": "Inspect", "test": "Test"}
_BOXES = tuple(Column(word, "center") for word in ("sound", "worn", "failed"))
_TO_DO = (
    Column(""),
    Column("task"),
    Column("part", share=3),
    Column("engine"),
    Column("age, h", "right"),
    Column("age, months", "right"),
    Column("due", "right"),
    *_BOXES,
)
_TO_SEE = (
    Column("part", share=2.2),
    Column("engine"),
    Column("age, h", "right"),
    Column("what"),
    *_BOXES,
    Column("what was seen", share=2),
)


def job_cards(boats: Sequence[Boat], due: pl.DataFrame, parts: pl.DataFrame, labels: Mapping[str, str], days: int) -> list[Sheet]:
    """Make one sheet a boat that has work due.

    Parameters
    ----------
    boats
        The boats of the scope.
    due
        Rows of the answer `due`.
    parts
        From `advice.picking.picked`.
    labels
        {component: how it is written}.
    days
        How far ahead the list looks.
    """
    sheets = [
        _job_card(boat, due.filter(pl.col("vessel_id") == boat.vessel_id), parts.filter(pl.col("vessel_id") == boat.vessel_id), labels)
        for boat in boats
        if due.filter(pl.col("vessel_id") == boat.vessel_id).height
    ]
    return sheets or [Sheet("Job cards", "", (Words(f"{NONE_DUE} They look {counted(days, 'day', 'days')} ahead."),))]


def visit_cards(boats: Sequence[Boat], jobs: pl.DataFrame, parts: pl.DataFrame, labels: Mapping[str, str], days: int) -> list[Sheet]:
    """Make one sheet a visit, by day and boat.

    Parameters
    ----------
    boats
        The boats of the scope.
    jobs
        Jobs laid onto visits: columns of the answer `due` with visit_on and why.
    parts
        From `advice.picking.picked`, with visit_on.
    labels
        {component: how it is written}.
    days
        How far ahead the visits are planned.
    """
    known = {boat.vessel_id: boat for boat in boats}
    sheets = []
    for (on, vessel), held in jobs.sort("visit_on", "vessel_id").group_by("visit_on", "vessel_id", maintain_order=True):
        if vessel in known:
            takes = parts.filter((pl.col("visit_on") == on) & (pl.col("vessel_id") == vessel))
            sheets.append(_visit_card(known[vessel], held, takes, labels))
    return sheets or [Sheet("Visit cards", "", (Words(f"{NONE_DUE} They look {counted(days, 'day', 'days')} ahead."),))]


def inspection_sheets(boats: Sequence[Boat], due: pl.DataFrame, fitted: pl.DataFrame, labels: Mapping[str, str]) -> list[Sheet]:
    """Make one sheet a boat: what is due to be looked at or tested first, then every part whose wear shows or that must not fail.

    `fitted` holds the rows of `derived.fitted_now` with wear_visible, hidden and safety.
    """
    looks = due.filter(pl.col("task") != "renew")
    kept = fitted.filter(pl.col("wear_visible") | pl.col("hidden") | pl.col("safety"))
    on_boats = [(boat, *(frame.filter(pl.col("vessel_id") == boat.vessel_id) for frame in (looks, kept))) for boat in boats]
    sheets = [_inspection_sheet(boat, own_looks, own, labels) for boat, own_looks, own in on_boats if own.height]
    return sheets or [Sheet("Inspection sheets", "", (Words(NONE_FITTED),))]


def pick_list_sheets(picks: pl.DataFrame, labels: Mapping[str, str], days: int) -> list[Sheet]:
    """Make one sheet a base; `picks` from `advice.picking.pick_list`."""
    if picks.is_empty():
        return [Sheet("Pick list", "", (Words(NONE_DUE),))]
    bases = picks["base"].unique(maintain_order=True).to_list()
    return [_pick_list(base, picks.filter(pl.col("base").eq_missing(pl.lit(base, pl.String))), labels, days) for base in bases]


def _job_card(boat: Boat, due: pl.DataFrame, parts: pl.DataFrame, labels: Mapping[str, str]) -> Sheet:
    return Sheet("Job card", boat.words, (boat.facts, *_work(due, parts, labels)))


def _visit_card(boat: Boat, jobs: pl.DataFrame, parts: pl.DataFrame, labels: Mapping[str, str]) -> Sheet:
    why = Words(f"Visit on {day(jobs['visit_on'][0])}. {jobs['why'][0]}")
    return Sheet("Visit card", boat.words, (boat.facts, why, *_work(jobs, parts, labels)))


def _work(due: pl.DataFrame, parts: pl.DataFrame, labels: Mapping[str, str]) -> list:
    """Return what is to be done, what it takes, the cautions before it, and room to write."""
    rows = [_task_row(row, labels) for row in due.iter_rows(named=True)]
    blocks: list = [Heading("To do"), table(_TO_DO, rows), *_takes(parts, labels), _cautions(due["component"].to_list())]
    if due["fitted_on"].null_count():
        blocks.append(Words(NO_AGE, faint=True))
    return [*blocks, Fields(("Hour meter, each engine", "Done by", "Date")), Fields((FOUND,))]


def _task_row(row: dict, labels: Mapping[str, str]) -> list[str]:
    what = f"{labels.get(row['component'], row['component'])} {row['position'] or ''}".strip()
    late = day(row["due_on"]) + (" overdue" if row["overdue"] else "")
    ages = figure(row["age_h"]), figure(row["age_months"], 1)
    return [BOX, _TASK[row["task"]], what, row["engine_id"] or "boat", *ages, late, BOX, BOX, BOX]


def _takes(parts: pl.DataFrame, labels: Mapping[str, str]) -> list:
    if parts.is_empty():
        return []
    rows = [
        [
            BOX,
            labels.get(row["component"], row["component"]),
            row["part_id"] or "no part on any list",
            figure(row["pieces"]),
            figure(row["on_hand"]),
        ]
        for row in parts.iter_rows(named=True)
    ]
    columns = (Column(""), Column("takes", share=3), Column("part", share=1), Column("pieces", "right"), Column("on the shelf", "right"))
    return [Heading("Parts"), table(columns, rows)]


def _cautions(components: Sequence[str]) -> Cautions:
    """Return each caution once, in the order of the work; a part the catalogue does not know gets the general one."""
    known = [key for component in components for key in (CATALOGUE[component].cautions if component in CATALOGUE else (AFLOAT,))]
    return Cautions(tuple(CAUTIONS[key] for key in dict.fromkeys(known)) or (GENERAL,))


def _inspection_sheet(boat: Boat, looks: pl.DataFrame, fitted: pl.DataFrame, labels: Mapping[str, str]) -> Sheet:
    wanted = {(row["engine_id"], row["component"], row["position"]): row for row in looks.iter_rows(named=True)}
    rows = []
    for row in fitted.sort("component", "engine_id", "position", nulls_last=True).iter_rows(named=True):
        look = wanted.get((row["engine_id"], row["component"], row["position"]))
        asked = f"{_TASK[look['task']].lower()}, due {day(look['due_on'])}" if look else ("test" if row["hidden"] else "look")
        name = f"{labels.get(row['component'], row['component'])} {row['position'] or ''}".strip()
        rows.append((look is None, [name, row["engine_id"] or "boat", figure(row["age_h"]), asked, BOX, BOX, BOX, ""]))
    rows.sort(key=lambda pair: pair[0])
    blocks = (
        boat.facts,
        table(_TO_SEE, ([cell or " " for cell in row] for _, row in rows)),
        _cautions(fitted["component"].to_list()),
        Bullets(("Cooling water runs", "No fuel smell, no drip", "Kill cord stops the engine", "Bilge dry, pump heard to run"), boxes=True),
        Fields(("Hour meter, each engine", "Looked at by", "Date")),
    )
    return Sheet("Inspection sheet", boat.words, blocks)


def _pick_list(base: str | None, picks: pl.DataFrame, labels: Mapping[str, str], days: int) -> Sheet:
    columns = (Column(""), Column("part", share=2), Column("number"), Column("pieces", "right"), Column("on the shelf", "right"))
    columns = (*columns, Column("short", "right"), Column("for", share=2))
    rows = [
        [
            BOX,
            labels.get(row["component"], row["component"]),
            row["part_id"] or "no part on any list",
            figure(row["pieces"]),
            figure(row["on_hand"]),
            figure(row["short"]) if row["short"] else "",
            ", ".join(row["boats"]),
        ]
        for row in picks.iter_rows(named=True)
    ]
    short = picks.filter(pl.col("short") > 0).height
    said = (
        f"{counted(short, 'line is', 'lines are')} short of what the work takes." if short else "The shelf holds all that the work takes."
    )
    about = f"Renewals overdue or due within {counted(days, 'day', 'days')}. {said}"
    return Sheet("Pick list", base or "no base", (Words(about), table(columns, rows), Fields(("Picked by", "Date"))))
