"""What the office keeps of each part: who has it, what it costs, what the maker allows, today's plan, the shelf.

In: the truths of the parts. Out: frames of `components`, `fitted`, `costs`, `limits`, `plan`, `parts`, as text.
Elsewhere: boats, engines and readings (`registers`).
"""

import polars as pl

from pipelines.terms.components import CATALOGUE
from pipelines.terms.tables import PARTS
from sample_fleet.chance import Chance
from sample_fleet.fleet import BASES, CLASSES, MODELS, Fleet
from sample_fleet.truths import Limit, PartTruth

TEST_EVERY_MONTHS = {"bilge pump": 3, "kill switch": 1}
LEAD_DAYS = (3, 5, 7, 14, 21, 35)
SUPPLIERS = ("chandler", "engine agent", "wholesaler")
BY_MODEL = ("raw-water pump impeller", "drive belt", "ignition coil")
CURRENCY = "EUR"


def _text(value: float | None) -> str:
    return "" if value is None else f"{value:g}"


def _frame(rows: list[dict[str, str]]) -> pl.DataFrame:
    return pl.DataFrame(rows)


def components(parts: tuple[PartTruth, ...]) -> pl.DataFrame:
    """List the fleet's own part, which the catalogue does not hold, and what it knows better of two others."""
    rows = [
        _own("trim relay", "Trim relay (leg up / down)", "no", "0.1"),
        _own("raw-water pump impeller", "Raw-water pump impeller", "no", "0.2"),
        _own("drive belt", "Drive belt", "yes", "0.3"),
    ]
    known = {part.component for part in parts}
    return _frame([row for row in rows if row["component"] in known])


def _own(component: str, label: str, crew: str, weight: str) -> dict[str, str]:
    visible = "yes" if component in CATALOGUE and CATALOGUE[component].wear_visible else "no"
    flags = {"safety": "no", "hidden": "no", "wear_visible": visible, "crew_can_fit": crew}
    return {"component": component, "label": label, "carried_by": "engine", **flags, "weight_kg": weight}


def fitted(parts: tuple[PartTruth, ...]) -> pl.DataFrame:
    """One row per part and condition: a drive, a fuel, or a class with more than one position."""
    rows: list[dict[str, str]] = []
    for part in parts:
        classes = list(CLASSES) if part.positions else [""]
        for drive in part.drives or ("",):
            for fuel in part.fuels or ("",):
                for vessel_class in classes:
                    positions = ";".join(name for name in part.positions.get(vessel_class, ()) if name)
                    conditions = {"drive": drive, "fuel": fuel, "vessel_class": vessel_class}
                    rows.append({"component": part.component, **conditions, "positions": positions})
    return _frame(rows)


def costs(parts: tuple[PartTruth, ...]) -> pl.DataFrame:
    """Say the money per position of a planned renewal and of a failure, and of a visit."""
    return _frame(
        [
            {
                "component": part.component,
                "planned_cost": _text(part.planned_cost),
                "failure_cost": _text(part.failure_cost),
                "visit_cost": "35",
                "currency": CURRENCY,
            }
            for part in parts
        ]
    )


def limits(parts: tuple[PartTruth, ...]) -> pl.DataFrame:
    """Say what the maker's chart or others say of a part, where they say anything."""
    return _frame([_limit(part, part.limit) for part in parts if part.limit])


def _limit(part: PartTruth, limit: Limit) -> dict[str, str]:
    capped = limit.max_h is not None or limit.max_months is not None
    return {
        "component": part.component,
        "task": "test" if part.hidden else "renew",
        "engine_model": "",
        "max_h": _text(limit.max_h),
        "max_months": _text(limit.max_months),
        "binding": "" if not capped else "yes" if limit.binding else "no",
        "approval_note": limit.approval_note,
        "expected_life_h": _text(limit.expected_life_h),
        "expected_life_months": _text(limit.expected_life_months),
        "source_note": limit.source_note,
    }


def plan(parts: tuple[PartTruth, ...], fleet: Fleet) -> pl.DataFrame:
    """Today's intervals; a hidden function is tested, a part without an interval is renewed when it fails."""
    rows = []
    for part in parts:
        test = TEST_EVERY_MONTHS.get(part.component) if part.hidden else None
        rows.append(
            {
                "component": part.component,
                "task": "test" if part.hidden else "renew",
                "engine_model": "",
                "base": "",
                "every_h": _text(part.plan_h),
                "every_months": _text(test if part.hidden else part.plan_months),
                "adopted_on": f"{fleet.first_season - 1}-12-02",
                "adopted_by": "yard meeting",
                "reason": "as always" if part.plan_h or part.plan_months or test else "only when it fails",
            }
        )
    return _frame(rows)


def shelf(parts: tuple[PartTruth, ...], fleet: Fleet, seed: int) -> pl.DataFrame:
    """List what lies on the shelf of each base, some parts by engine model."""
    chance, rows = Chance(seed, "shelf"), []
    present = sorted({boat.base for boat in fleet.boats}, key=BASES.index)
    for number, part in enumerate(parts):
        models = [name for name, (drive, fuel, _) in MODELS.items() if _has(part, drive, fuel)] if part.component in BY_MODEL else [""]
        for place, model in enumerate(models):
            bought = {
                "part_id": f"P{1000 + 10 * number + place}",
                "component": part.component,
                "engine_model": model,
                "supplier": SUPPLIERS[int(chance.whole(1, 0, 2)[0])],
                "lead_time_d": str(LEAD_DAYS[int(chance.whole(1, 0, 5)[0])]),
                "unit_cost": f"{0.62 * part.planned_cost:.2f}",
                "pack_size": "4" if part.component == "spark plugs" else "",
                "quantity_per_fit": "4" if part.component == "spark plugs" else "",
            }
            rows.extend(bought | {"base": base} | _stock(len(fleet.boats), chance) for base in present)
    return _frame(rows).select(PARTS.column_names).sort("part_id", "base", maintain_order=True)


def _stock(boats: int, chance: Chance) -> dict[str, str]:
    on_hand = int(chance.whole(1, 0, 1 + max(3, boats // 12))[0])
    return {"on_hand": str(on_hand), "on_order": "2" if chance.one() < 0.1 else ""}


def _has(part: PartTruth, drive: str, fuel: str) -> bool:
    return (not part.drives or drive in part.drives) and (not part.fuels or fuel in part.fuels)
