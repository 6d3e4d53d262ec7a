"""Making an interval the fleet's plan: who, when, why, on which evidence.

In: components, an interval or none (then the advised one), a name and a reason. Out: a row a component in the plan.
The plan is a record kind, so an adoption is an import like any other: dated, undoable, and the row before it stays.
Elsewhere: what is advised (`advice`), what is due by the plan (`answering`).
"""

import json
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

import polars as pl

from pipelines.advice.case import Fleet, part_of
from pipelines.errors import UnknownWord, WrongInput
from pipelines.exports.answer import own_group, plain
from pipelines.flow import answering
from pipelines.flow.conditions import Condition, conditions_of, outranked, spelt_out
from pipelines.flow.copies import current_copy, publish_anew
from pipelines.flow.estimating import matter_of
from pipelines.flow.fleet_words import understood
from pipelines.intake.by_hand import made_by_hand
from pipelines.ledger.reading import Published
from pipelines.ledger.writing import open_for_writing
from pipelines.terms.scope import Scope
from pipelines.terms.settings import Settings

Row = dict[str, Any]
Interval = tuple[float | None, float | None]
Held = tuple[Interval, Condition, list[Row]]
"""An interval, the models and bases it is for, and the verdicts it rests on."""


@dataclass(frozen=True)
class Adoption:
    """What is adopted, by whom and why; without an interval the advised one is."""

    components: tuple[str, ...]
    every_h: float | None
    every_months: float | None
    by: str
    because: str


def adopt(ledger_path: Path, adoption: Adoption, scope: Scope, settings: Settings) -> str:
    """Write the plan rows, publish, and say what was adopted.

    Raises
    ------
    WrongInput
        If the name or the reason is missing, the interval passes a limit that must be kept, or a part that must not fail would have none.
    UnknownWord
        If a component has no verdict here.
    """
    if not adoption.by.strip() or not adoption.because.strip():
        raise WrongInput("an adoption needs who and why: --adopted-by NAME --because TEXT")
    with current_copy(ledger_path, settings) as copy:
        scope = understood(copy, scope)
        verdicts = answering.intervals(copy, scope, settings).rows.to_dicts()
        fleet = matter_of(copy, scope).with_candidates()[0].fleet
        version = copy.version
        named = [_verdicts(_meant(copy, name), verdicts) for name in adoption.components]
    adopted = [each for held in named for each in with_evidence(held, adoption, scope, version, fleet)]
    rows, evidence = [row for row, _ in adopted], [_frozen(held) for _, held in adopted]
    with open_for_writing(ledger_path, "adopt") as ledger:
        number = ledger.adopt(made_by_hand("plan", rows, f"adopted on ledger version {version}"), adoption.by, version, evidence)
        publish_anew(ledger, settings)
    return " ".join(f"Adopted: {_named(row)}, {_interval(row)}." for row in rows) + f" To take it back: towless intake --undo {number}"


def _meant(copy: Published, name: str) -> str:
    """Return the part a person names by its code or a trade or mapped word."""
    return understood(copy, Scope(component=name)).component


def _frozen(verdicts: list[Row]) -> str:
    """Write verdicts as they stand now, for whoever asks later what was signed."""
    return json.dumps([plain(row | {"group": own_group(row["group"])}) for row in verdicts], ensure_ascii=False)


def _verdicts(name: str, verdicts: list[Row]) -> list[Row]:
    found = [row for row in verdicts if row["component"] == name]
    if not found:
        known = ", ".join(sorted({row["component"] for row in verdicts})) or "none"
        raise UnknownWord(f"{name!r}: no verdict on such a component here. Known: {known}.")
    return found


def plan_rows(verdicts: list[Row], adoption: Adoption, scope: Scope, version: int, fleet: Fleet) -> list[Row]:
    """Make the rows of the plan; see `with_evidence`."""
    return [row for row, _ in with_evidence(verdicts, adoption, scope, version, fleet)]


def with_evidence(verdicts: list[Row], adoption: Adoption, scope: Scope, version: int, fleet: Fleet) -> list[tuple[Row, list[Row]]]:
    """Make a row for all where an interval is given, else one for each model or base that the advised intervals hold for.

    Where older rows name other models or bases, which might outrank these, every model at every base gets its row. Beside each row stand
    the verdicts it rests on.
    """
    component = verdicts[0]["component"]
    positions = fleet.positions.filter(pl.col("component") == component)
    held = _intervals(verdicts, adoption, scope, positions)
    for (hours, months), _, _ in held:
        _refuse_past_limit(verdicts[0], hours, months, fleet)
    renewals = fleet.plan.filter(pl.col("component") == component, pl.col("task").fill_null("renew") == "renew")
    if outranked(positions, renewals, [condition for _, condition, _ in held]):
        held = [(interval, pair, behind) for interval, condition, behind in held for pair in spelt_out(positions, condition)]
    reason = f"{adoption.because} (evidence: ledger version {version})"
    signed = {"adopted_on": date.today(), "adopted_by": adoption.by, "reason": reason}
    return [
        ({"component": component, "task": "renew", **condition, "every_h": hours, "every_months": months, **signed}, behind)
        for (hours, months), condition, behind in held
    ]


def _intervals(
    verdicts: list[Row], adoption: Adoption, scope: Scope, positions: pl.DataFrame
) -> list[tuple[Interval, Condition, list[Row]]]:
    """Give each interval with the models and bases it is for, and the verdicts behind it."""
    general: Condition = {"engine_model": scope.model or None, "base": scope.base or None}
    if adoption.every_h is not None or adoption.every_months is not None:
        return [((adoption.every_h, adoption.every_months), general, verdicts)]
    return [
        ((row["renew_h"], row["renew_months"]), general | condition, [row])
        for row in verdicts
        for condition in conditions_of(row["component"], positions, row["group"])
    ]


def _refuse_past_limit(verdict: Row, hours: float | None, months: float | None, fleet: Fleet) -> None:
    component = verdict["component"]
    if hours is None and months is None and part_of(fleet.catalogue, component).must_not_fail:
        raise WrongInput(f"{component}: a safety or hidden part is never left to fail. Give an interval: --every-h H or --every-months M.")
    rules = fleet.limits.filter(pl.col("component") == component, pl.col("task") == "renew")
    approved = (pl.col("approval_note").fill_null("").str.strip_chars() != "") & ~pl.col("binding").fill_null(value=True)
    ceilings = rules.filter(~approved)
    for given, limit, unit in ((hours, ceilings["max_h"].min(), "engine hours"), (months, ceilings["max_months"].min(), "months")):
        if isinstance(limit, float) and (given is None or given > limit):
            told = "none" if given is None else f"{given:g}"
            raise WrongInput(
                f"{component}: {told} {unit} passes the limit of {limit:g}, which is binding or has no written approval. "
                f"Adopt {limit:g} or fewer, or record the approval_note with the limit."
            )


def _named(row: Row) -> str:
    return " ".join(str(word) for word in (row["component"], row["engine_model"], row["base"]) if word)


def _interval(row: Row) -> str:
    parts = [f"every {row[name]:g} {unit}" for name, unit in (("every_h", "h"), ("every_months", "months")) if row[name] is not None]
    return " or ".join(parts) + (", whichever comes first" if len(parts) > 1 else "") if parts else "only when it fails"
