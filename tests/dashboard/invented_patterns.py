"""What stands behind invented rates and fits: patterns, comparisons, lines, points, hazard and causes."""

import math
from datetime import date
from typing import Any

import polars as pl

from tests.dashboard.invented import TODAY

BREAK = date(2024, 5, 1)
SHAPE, SCALE = 2.4, 520.0


def patterns(of: str = "calls") -> dict[str, Any]:
    """Patterns of calls, or of failures of parts."""
    found = {"trend": trend(), "seasons": seasons(), "boats": boats()}
    return found | ({"recurrence": recurrence(), "cost_recurrence": costs()} if of == "calls" else {})


def trend() -> dict[str, Any]:
    """No trend, one break of coding, one of two causes falling."""
    months = [date(2023 + place // 12, place % 12 + 1, 1) for place in range(3, 30) if place % 12 not in (0, 1, 11)]
    monthly = pl.DataFrame({"month": months, "events": [3] * len(months), "exposure_h": [900.0] * len(months)})
    step = {
        "month": BREAK,
        "fewer": ["other"],
        "more": ["seized"],
        "p_value": 1e-6,
        "told": "From 2024-05 on 'other' was logged less and 'seized' more",
    }
    causes = [
        {"cause": "fuel exhausted", "per_year": 0.6, "low": 0.5, "high": 0.8, "p_value": 1e-4, "note": None},
        {"cause": "seized", "per_year": 1.1, "low": 0.7, "high": 1.9, "p_value": 0.7, "note": None},
    ]
    figures = {"per_year": 0.97, "low": 0.9, "high": 1.05, "p_value": 0.4, "dispersion": 1.0, "note": None}
    return figures | {"monthly": monthly.with_columns(expected=pl.lit(2.8)), "breaks": [step], "causes": causes}


def seasons() -> dict[str, Any]:
    """Twelve months; winter has hardly an hour, August is worst."""
    hours = [20.0, 10.0, 80.0, 3400.0, 6600.0, 9000.0, 15000.0, 17000.0, 8400.0, 2700.0, 600.0, 100.0]
    events = [0, 0, 3, 20, 40, 60, 110, 220, 60, 15, 1, 0]
    rate = [1000 * count / h for count, h in zip(events, hours, strict=True)]
    rows = pl.DataFrame(
        {
            "month_of_year": list(range(1, 13)),
            "events": events,
            "exposure_h": hours,
            "rate": rate,
            "low": [value * 0.7 for value in rate],
            "high": [1000 * (count + 2 * math.sqrt(count) + 3) / h for count, h in zip(events, hours, strict=True)],
        }
    )
    return {"rows": rows, "p_value": 0.001, "note": None}


def boats() -> dict[str, Any]:
    """Four boats: one stands out, one is worth a look."""
    rows = pl.DataFrame(
        {
            "name": ["V1", "V2", "V3", "V4"],
            "events": [12, 9, 3, 2],
            "exposure_h": [400.0, 800.0, 500.0, 900.0],
            "rate": [30.0, 11.25, 6.0, 2.2],
            "fleet_rate": [10.0] * 4,
            "standing": ["stands out high", "as the fleet", "as the fleet", "worth a look low"],
        }
    )
    limits = pl.DataFrame({"exposure_h": [400.0, 600.0, 900.0], "fleet_rate": [10.0] * 3})
    ends = {"warn_low": -5.0, "warn_high": 8.0, "act_low": -8.0, "act_high": 15.0}
    lines = limits.with_columns((10 + gap * (400 / pl.col("exposure_h")).sqrt()).alias(name) for name, gap in ends.items())
    return {"rows": rows, "limits": lines, "note": None}


def recurrence() -> dict[str, Any]:
    """Calls adding up on 40 boats over two years, neither faster nor slower."""
    mean = [0.1 * place for place in range(1, 31)]
    rows = pl.DataFrame(
        {
            "age": [24.0 * place for place in range(1, 31)],
            "at_risk": [40] * 30,
            "events": [4] * 30,
            "amount": [4.0] * 30,
            "mean": mean,
            "se": [0.1] * 30,
            "low": [value * 0.8 for value in mean],
            "high": [value * 1.2 for value in mean],
        }
    )
    law = {"growth": 1.02, "growth_low": 0.9, "growth_high": 1.15}
    return {"rows": rows, "boats": 40, "left_out": 0, "laplace": {"statistic": 0.3, "p_value": 0.76}, "power_law": law, "note": None}


def costs() -> dict[str, Any]:
    """What those calls cost."""
    rows = recurrence()["rows"].with_columns(pl.col("mean", "low", "high") * 250)
    return {"rows": rows, "boats": 40, "left_out": 0, "note": "3 of 120 calls have no cost on record; they add nothing here."}


def ratio(group: str, other: str) -> dict[str, Any]:
    """One rate against another, not beyond chance."""
    return {"group": group, "other": other, "ratio": 1.3, "low": 0.8, "high": 2.1, "p_value": 0.3, "note": None}


def counted() -> pl.DataFrame:
    """Three calls."""
    return pl.DataFrame(
        {"group": ["unknown", "seized", "seized"], "call_id": ["C1", "C2", "C3"], "called_on": [TODAY] * 3, "row_id": [1, 2, 3]}
    )


def lives() -> pl.DataFrame:
    """Two lives with the rows they came from."""
    return pl.DataFrame({"life_id": ["L1", "L2"], "low_h": [120.0, 300.0], "evidence": [[4, 5], [6]]})


def line(last: float = 600.0, start: float = 0.0) -> pl.DataFrame:
    """The Weibull of `invented.curve` to a fifth beyond its end, with limits."""
    ages = sorted({start + (1.2 * last - start) * place / 60 for place in range(61)} | {last})
    share = [math.exp((start / SCALE) ** SHAPE - (age / SCALE) ** SHAPE) for age in ages]
    return pl.DataFrame({"age": ages, "surviving": share, "low": [value**1.2 for value in share], "high": [value**0.8 for value in share]})


def paper() -> pl.DataFrame:
    """Twenty failures near that Weibull."""
    failed = [(place + 0.5) / 25 for place in range(20)]
    ages = [SCALE * (-math.log1p(-share)) ** (1 / SHAPE) for share in failed]
    return pl.DataFrame({"age": ages, "failed": failed, "low": [f * 0.7 for f in failed], "high": [min(0.99, f * 1.3) for f in failed]})


def hazard() -> pl.DataFrame:
    """A rising hazard."""
    ages = [10.0 * place + 5 for place in range(48)]
    mean = [SHAPE / SCALE * (age / SCALE) ** (SHAPE - 1) for age in ages]
    return pl.DataFrame({"age": ages, "hazard": mean, "low": [h * 0.6 for h in mean], "high": [h * 1.5 for h in mean]})


def incidence(causes: int = 3) -> pl.DataFrame:
    """So many causes, each rarer than the one before."""
    frames = []
    for place in range(causes):
        share = [0.3 / (place + 1) * age / 600 for age in range(100, 601, 100)]
        frames.append(
            pl.DataFrame(
                {
                    "cause": [f"cause {place + 1}"] * 6,
                    "age": [float(age) for age in range(100, 601, 100)],
                    "at_risk": [50.0] * 6,
                    "events": [2.0] * 6,
                    "incidence": share,
                    "low": [value * 0.7 for value in share],
                    "high": [value * 1.3 for value in share],
                }
            )
        )
    return pl.concat(frames)


def goodness(p_value: float | None = 0.4) -> dict[str, Any]:
    """Three bands, the last with more failures than expected."""
    ends = [0.0, 200.0, 400.0, 600.0]
    bands = [
        {"from_age": ends[place], "to_age": ends[place + 1], "failed": failed, "expected": 7.0} for place, failed in enumerate((6, 6, 15))
    ]
    return {"p_value": p_value, "bands": bands if p_value is not None else [], "note": None if p_value is not None else "Too few."}


def detail(row: dict[str, Any]) -> dict[str, Any]:
    """What stands behind a row of fits; nothing of a line where there is no fit."""
    fitted = row["shape"] is not None
    return {
        "component": row["component"],
        "group": row["group"],
        "from_age": 0.0,
        "seen_to": 600.0,
        "line": line() if fitted else None,
        "paper": paper() if fitted else None,
        "hazard": hazard(),
        "incidence": incidence() if fitted else None,
        "goodness": goodness() if fitted else goodness(None),
        "read_otherwise": [
            {"reading": "as it is ruled", "lives": 0, "b10": 310.0, "scale": 700.0},
            {"reading": "renewals on condition with a fraction of 1", "lives": 4, "b10": 290.0, "scale": 660.0},
        ],
    }


def comparison(component: str, p_value: float | None = 0.02) -> dict[str, Any]:
    """Two groups, the second failing more than its share."""
    groups = [{"group": "TP-20", "failed": 10.0, "expected": 14.0}, {"group": "MD-35", "failed": 12.0, "expected": 8.0}]
    return {"component": component, "chi_square": 5.4, "degrees": 1, "p_value": p_value, "groups": groups, "note": "One group only."}
