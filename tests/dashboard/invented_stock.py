"""Invented shelves and kits for the page What to stock."""

from datetime import date
from typing import Any

import polars as pl

from pipelines.exports.answer import Answer
from pipelines.terms.answers import names_of
from pipelines.terms.cautions import CAUTIONS
from pipelines.terms.components import PETROL_VAPOUR
from tests.dashboard import invented

TYPE = "day boat · TP-20"


def beside() -> dict[str, Any]:
    """What stands beside the rows of `stock`."""
    return {
        "budget_curve": invented.budget_curve(),
        "purchases": invented.purchases(),
        "lists": invented.plain_lists(),
        "currency": "EUR",
    }


def item(name: str, *, aboard: bool, **changes: Any) -> dict[str, Any]:
    """One item of a kit."""
    plain = {"boat_type": TYPE, "boats": 4, "item": name, "form": "one", "aboard": aboard, "pieces": 1, "price": 20.0, "weight_kg": None}
    plain |= {"tows_stopped": 0.2, "low": 0.1, "high": 0.3, "saved": 40.0, "tools": "plug spanner", "only": "only with the space aired"}
    plain |= {"note": None if aboard else "other things stop more tows within these limits", "safety": False}
    return plain | {"caution": CAUTIONS[PETROL_VAPOUR]} | changes


def kits() -> Answer:
    """The kit of one type of boat: plugs aboard, a propeller not; most tows unknown."""
    items = [item("spark plugs", aboard=True), item("propeller", aboard=False, price=90.0, tows_stopped=0.05)]
    faults = [
        ("unknown", "unknown", 0.5, False, "unknown"),
        ("spark plugs", "part", 0.25, True, "scheduled renewal"),
        ("fuel exhausted", "cause", 0.2, False, "pre-departure check"),
        ("propeller", "part", 0.05, False, "nothing known"),
    ]
    gaps = pl.DataFrame(faults, schema=["fault", "sort", "share", "covered", "remedy"], orient="row").with_columns(
        pl.lit(3, pl.Int64).alias("calls"), pl.col("share").alias("tows"), pl.lit("what covers it").alias("covered_by")
    )
    kit = {"boat_type": TYPE, "boats": 4, "calls": 20, "tows": 1.0, "tows_stopped": 0.25, "share_stopped": 0.25, "spend": 20.0}
    kit |= {"weight_kg": 0.0, "weight_not_recorded": ["spark plugs"], "price_not_recorded": [], "items": items, "gaps": gaps}
    kit |= {"curve": pl.DataFrame({"spend": [0.0, 20.0], "weight_kg": [0.0, 0.0], "tows_stopped": [0.0, 0.25]})}
    head = {"as_of": invented.TODAY, "ledger_version": 4, "records": 20, "left_out": 0}
    return Answer(head, pl.DataFrame(items).select(names_of("kit")), {"kits": [kit], "currency": "EUR"})


def standing() -> pl.DataFrame:
    """Two parts on one shelf, one of them coming."""
    plain = {
        "engine_model": None,
        "base": "Eelgrass Quay",
        "supplier": "engine agent",
        "used": 1,
        "since_on": date(2025, 9, 1),
    }
    plain |= {"last_change": None, "last_because": None, "last_by": None}
    impeller = {"row_id": 1, "part_id": "IMP-1", "component": "raw-water pump impeller", "label": "Raw-water pump impeller"}
    coil = {"row_id": 2, "part_id": "COIL-2", "component": "ignition coil", "label": "Ignition coil"}
    rows = [plain | impeller | {"on_hand": 2, "on_order": 3}, plain | coil | {"on_hand": 5, "on_order": 0, "last_change": "counted 5"}]
    return pl.DataFrame(rows, infer_schema_length=None)
