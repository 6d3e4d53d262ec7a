"""Small invented frames in the columns of the contract, for charts, sentences and screens."""

import math
from datetime import date, timedelta

import polars as pl

TODAY = date(2025, 9, 30)


def rates() -> pl.DataFrame:
    """Calls by cause, unknown among them, one row without hours."""
    return pl.DataFrame(
        {
            "group": ["unknown", "rope, net or line round propeller", "fuel exhausted", "impeller vanes gone", "lanyard pulled", "seized"],
            "events": [61, 34, 28, 17, 9, 2],
            "share": [0.40, 0.23, 0.19, 0.11, 0.06, 0.01],
            "exposure_h": [40250.0, 40250.0, 40250.0, 40250.0, 40250.0, None],
            "rate": [1.516, 0.845, 0.696, 0.422, 0.224, None],
            "low": [1.159, 0.585, 0.462, 0.246, 0.102, None],
            "high": [1.947, 1.180, 1.005, 0.676, 0.424, None],
            "shrunken_rate": [1.516, 0.845, 0.696, 0.422, 0.224, None],
            "per_boat_day": [0.0012, 0.0007, 0.0005, 0.0003, 0.0002, None],
            "per_trip": pl.Series([None] * 6, dtype=pl.Float64),
            "note": [None, None, None, None, None, "hours unknown: no rate"],
            "share_low": [0.32, 0.16, 0.13, 0.07, 0.03, 0.00],
            "share_high": [0.49, 0.30, 0.26, 0.17, 0.11, 0.05],
        }
    )


def monthly_rates() -> pl.DataFrame:
    """Thirty months, winter ones with few hours or none."""
    months = [f"{2023 + place // 12}-{place % 12 + 1:02d}" for place in range(30)]
    hours = [_month_hours(place % 12) for place in range(30)]
    events = [place * 7 % 6 for place in range(30)]
    rate = [None if h is None else 1000 * e / h for e, h in zip(events, hours, strict=True)]
    return pl.DataFrame(
        {
            "group": months,
            "events": events,
            "exposure_h": hours,
            "rate": rate,
            "low": [None if r is None else r * 0.4 for r in rate],
            "high": [None if h is None else 1000 * (e + 2 * math.sqrt(e) + 3) / h for e, h in zip(events, hours, strict=True)],
        }
    )


def _month_hours(month: int) -> float | None:
    if month == 0:
        return None
    return 40.0 if month in (1, 11) else 900.0 + 700 * math.sin(month / 12 * math.pi)


def curve(points: int = 30, start: float = 0.0) -> pl.DataFrame:
    """A curve near a Weibull of shape 2.4 and scale 520 h, up to 600 h, of the parts that reach age `start`."""
    ages = [start + (600 - start) * place / points for place in range(points + 1)]
    surviving = [math.exp((start / 520) ** 2.4 - (age / 520) ** 2.4) for age in ages]
    return pl.DataFrame(
        {
            "age": ages,
            "at_risk": [120 * share + 1 for share in surviving],
            "events": [0.0] + [1.0] * points,
            "surviving": surviving,
            "low": [1.0, *(max(0.0, share - 0.09 * math.sqrt(1.05 - share)) for share in surviving[1:])],
            "high": [1.0, *(min(1.0, share + 0.07 * math.sqrt(1.05 - share)) for share in surviving[1:])],
        }
    )


def fits() -> pl.DataFrame:
    """Three parts: one wears out, one fails at random, one has failed too seldom to say."""
    return pl.DataFrame(
        {
            "component": ["raw-water pump impeller", "ignition coil", "gearbox"],
            "group": pl.Series([None, None, None], dtype=pl.Struct({"engine_model": pl.String})),
            "clock": ["hours"] * 3,
            "lives": [212, 96, 48],
            "failures": [37, 22, 1],
            "suspended": [150, 70, 47],
            "interval_censored": [25, 4, 0],
            "delayed": [31, 20, 12],
            "shape": [2.41, 1.04, None],
            "shape_low": [1.95, 0.75, None],
            "shape_high": [2.93, 1.40, None],
            "scale": [522.0, 1840.0, None],
            "scale_low": [470.0, 1300.0, None],
            "scale_high": [590.0, 3100.0, None],
            "b10": [204.0, 211.0, None],
            "b10_low": [171.0, 110.0, None],
            "b10_high": [240.0, 350.0, None],
            "median": [448.0, 1290.0, None],
            "log_likelihood": [-301.2, -188.9, None],
            "posterior": [_posterior(2.38, 520.0), _posterior(1.02, 1800.0), _posterior(1.9, 4000.0)],
            "wears_out_probability": [0.99, 0.31, 0.74],
            "best_family": ["weibull", "exponential", "weibull"],
            "note": ["25 renewed on condition, counted as failed between", None, "1 failure: too few for a fit"],
            "curve": [curve().to_dicts(), curve(12).to_dicts(), curve(3).to_dicts()],
        }
    )


def _posterior(shape: float, scale: float) -> dict[str, float]:
    b10 = scale * 0.105 ** (1 / shape)
    middle = {"shape": shape, "scale": scale, "b10": b10}
    limits = {f"{name}_{end}": value * times for name, value in middle.items() for end, times in (("low", 0.85), ("high", 1.2))}
    return {**middle, **limits, "level": 0.9}


def cost_curve() -> pl.DataFrame:
    """Cost per position and year against the interval, least near 190 h, for the impeller; flat falling for the coil."""
    rows = []
    for component, best in (("raw-water pump impeller", 190.0), ("ignition coil", 5000.0)):
        for place in range(1, 61):
            age = 10.0 * place
            cost = 9000 / age + 47 * (age / best) ** 1.4 + 10
            rows.append({"component": component, "age": age, "cost": cost, "low": cost * 0.82, "high": cost * 1.25})
    return pl.DataFrame(rows)


def intervals() -> pl.DataFrame:
    """One row of each sort of verdict."""
    names = ["raw-water pump impeller", "ignition coil", "drive belt", "bilge pump", "hoses and clamps", "gearbox"]
    none = [None] * 6
    return pl.DataFrame(
        {
            "component": names,
            "group": pl.Series(none, dtype=pl.Struct({"engine_model": pl.String})),
            "positions": [48, 40, 22, 48, 22, 22],
            "verdict": [
                "renew at interval",
                "run to failure, keep a spare",
                "renew on condition",
                "test for hidden failure",
                "improve the fitting",
                "too little to say",
            ],
            "renew_h": [190.0, None, 400.0, None, None, 800.0],
            "renew_months": [18.0, None, 36.0, 48.0, 60.0, None],
            "inspect_h": [None, None, 100.0, None, None, None],
            "inspect_months": [None, None, 6.0, None, None, None],
            "test_months": [None, None, None, 1.0, None, None],
            "range_h": [[150.0, 240.0], None, [300.0, 450.0], None, None, None],
            "range_months": [[12.0, 24.0], None, [30.0, 40.0], [36.0, 60.0], None, None],
            "year_h": [310.0, 310.0, 290.0, 310.0, 290.0, 290.0],
            "cost_rate": [104.2, 61.0, 33.0, 21.0, None, None],
            "cost_rate_low": [88.0, 44.0, 25.0, 15.0, None, None],
            "cost_rate_high": [131.0, 83.0, 44.0, 29.0, None, None],
            "current_h": [300.0, None, 400.0, None, None, 800.0],
            "current_months": [12.0, None, 36.0, 36.0, 60.0, None],
            "current_cost_rate": [128.0, 61.0, 34.0, 22.0, None, None],
            "run_to_failure_cost_rate": [171.0, 61.0, 47.0, None, None, None],
            "saving_per_year": [1142.0, 0.0, 20.0, 48.0, None, None],
            "saving_low": [310.0, 0.0, -60.0, -20.0, None, None],
            "saving_high": [2230.0, 0.0, 110.0, 130.0, None, None],
            "pays_probability": [0.98, 0.06, 0.71, None, None, 0.44],
            "failures": [37, 22, 8, 3, 11, 1],
            "lives": [212, 96, 60, 140, 70, 48],
            "limit_h": [250.0, None, 500.0, None, None, 1000.0],
            "limit_months": [24.0, None, None, 60.0, None, None],
            "limit_binding": [True, None, False, True, None, False],
            "basis": ["37 failures in 212 lives, hours", "22 failures in 96 lives", "8 failures", "3 failures", "11 failures", "1 failure"],
            "reason": [
                "It wears out (chance 0.99): renewing at 190 h costs 39 % less than waiting for it to fail.",
                "It fails at random: renewing sooner would not lower the breakdowns, so keep a spare.",
                "Wear can be seen before it fails; looking every 100 h costs less than a fixed renewal.",
                "A failure shows only when it is needed; test it monthly.",
                "It fails soon after work on it more often than age explains: look at how it is fitted.",
                "One failure in 48 lives cannot tell when it wears out; the present interval stands.",
            ],
        }
    )


def due() -> pl.DataFrame:
    """Jobs of five boats, some overdue."""
    rows = []
    for boat in range(5):
        for job, component in enumerate(("raw-water pump impeller", "drive belt", "bilge pump")):
            days = (boat * 17 + job * 29) % 71 - 22
            rows.append(
                {
                    "engine_id": f"E{boat}",
                    "vessel_id": f"V{boat:02d}",
                    "component": component,
                    "position": None,
                    "task": "renew",
                    "fitted_on": TODAY - timedelta(days=400),
                    "age_h": 180.0 + boat,
                    "age_months": 13.1,
                    "due_in_h": days * 1.2,
                    "due_on": TODAY + timedelta(days=days),
                    "overdue": days < 0,
                    "deferred_until": None,
                    "failure_probability": 0.08,
                    "caution": "Engine stopped and cool, key out: no sleeves or hair near belts and pulleys.",
                    "because": "To be renewed every 200 h, by the plan adopted by Yard office on 2025-03-01: 180 h, 20 h left.",
                    "state": "running",
                    "ceiling_on": None,
                    "times_put_off": 0,
                    "put_off_by": None,
                    "put_off_because": None,
                    "put_off_import": None,
                }
            )
    days, words = ("deferred_until", "ceiling_on"), ("position", "put_off_by", "put_off_because")
    kinds = {**dict.fromkeys(days, pl.Date), **dict.fromkeys(words, pl.String), "put_off_import": pl.Int64}
    return pl.DataFrame(rows, schema_overrides=kinds)


def put_off() -> pl.DataFrame:
    """The same, the first job put off twice by somebody."""
    first = pl.int_range(pl.len()) == 0
    said = {"deferred_until": TODAY + timedelta(days=20), "times_put_off": 2, "put_off_by": "Yard office", "put_off_import": 7}
    said |= {"put_off_because": "part on order", "overdue": False}
    return due().with_columns(pl.when(first).then(pl.lit(value)).otherwise(name).alias(name) for name, value in said.items())


def tied_up() -> pl.DataFrame:
    """Eight boats that should stay tied up."""
    reasons = [["failed and not renewed: drive belt of engine E0, since 2 Sep 2025", "safety part overdue: kill switch, since 20 Sep 2025"]]
    reasons += [["limit that must be kept is passed: engine oil and filter of engine E1, since 11 Sep 2025"]] * 7
    boats = {"vessel_id": [f"V{boat:02d}" for boat in range(8)], "reason": ["; ".join(told) for told in reasons], "reasons": reasons}
    return pl.DataFrame({**boats, "since": [TODAY - timedelta(days=19)] * 8, "jobs": [2] + [1] * 7})


def weeks() -> pl.DataFrame:
    """Six jobs in two weeks, one of them slipped past what must be kept."""
    monday = date(2025, 9, 29)
    note = "does not fit in the week of 29 Sep 2025: slips to 6 Oct 2025, 1.2 % chance that it fails meanwhile"
    rows = [
        {
            "week": monday + timedelta(days=7 * (job > 3)),
            **{name: due().row(job, named=True)[name] for name in ("vessel_id", "engine_id", "component", "position", "task", "due_on")},
            "labour_h": 1.5,
            "labour_from": "median of 9 ticket lines",
            "wanted_week": monday,
            "ceiling_on": monday + timedelta(days=3) if job == 5 else None,
            "weeks_late": int(job > 3),
            "past_ceiling": job == 5,
            "failure_meanwhile": 0.012 if job > 3 else None,
            "note": note if job > 3 else None,
        }
        for job in range(6)
    ]
    return pl.DataFrame(rows, schema_overrides={"ceiling_on": pl.Date, "position": pl.String}, infer_schema_length=None)


def stock() -> pl.DataFrame:
    """Four parts on the shelf, one of them short."""
    return pl.DataFrame(
        {
            "part_id": ["IMP-1", "COIL-2", "BELT-3", "PUMP-4"],
            "component": ["raw-water pump impeller", "ignition coil", "drive belt", "bilge pump"],
            "base": ["Eelgrass Quay", "Eelgrass Quay", "Saltern Basin", None],
            "on_hand": [2, 5, 1, 0],
            "mean_demand": [6.3, 1.1, 2.0, None],
            "demand_low": [3.0, 0.0, 0.0, None],
            "demand_high": [10.0, 3.0, 5.0, None],
            "probability_of_stock_out": [0.41, 0.01, 0.06, None],
            "reorder_point": [5, 1, 2, None],
            "order_up_to": [11, 4, 5, None],
            "order_quantity": [9, 0, 4, None],
            "order_cost": [171.0, 0.0, 92.0, None],
            "note": [None, None, "packs of 2", "no lives yet: no demand can be given"],
            "supplier": ["engine agent", "engine agent", None, "chandler"],
            "on_order": [2, 0, 0, 0],
            "lead_time_d": [21.0, 5.0, 21.0, 5.0],
            "pack_size": [1, 1, 2, 1],
            "unit_cost": [19.0, 48.0, 23.0, 60.0],
            "season_use": [_use([0.05, 0.2, 0.5, 0.9, 1.0], first=2), _use([0.3, 0.8, 1.0]), _use([0.2, 0.6, 1.0]), None],
            "lead_demand": [2.1, 0.2, 0.5, None],
            "lead_use": [_use([0.1, 0.6, 0.9, 1.0]), _use([0.9, 1.0]), _use([0.6, 1.0]), None],
            "last_year_use": [7, 1, None, None],
            "running_out": [
                [{"on": date(2025, 10, 31), "chance": 0.02}, {"on": date(2025, 11, 30), "chance": 0.3}],
                [{"on": date(2025, 10, 31), "chance": 0.0}],
                [{"on": date(2025, 10, 31), "chance": 0.1}],
                None,
            ],
            "runs_out_early_on": [date(2025, 11, 5), None, date(2025, 10, 20), None],
            "runs_out_even_on": [date(2025, 12, 20), None, None, None],
            "hold_reason": [None, "Holding one costs 4 EUR and spares 40 EUR.", None, None],
        }
    )


def _use(up_to: list[float], first: int = 0) -> list[dict]:
    return [{"pieces": first + place, "chance": chance} for place, chance in enumerate(up_to)]


def purchases() -> pl.DataFrame:
    """What money buys, best buy first."""
    return pl.DataFrame(
        {
            "step": [0, 1, 2, 3],
            "part_id": [None, "IMP-1", "IMP-1", "BELT-3"],
            "component": [None, "raw-water pump impeller", "raw-water pump impeller", "drive belt"],
            "base": [None, "Eelgrass Quay", "Eelgrass Quay", "Saltern Basin"],
            "pieces": [0, 1, 1, 2],
            "price": [0.0, 19.0, 19.0, 46.0],
            "spend": [0.0, 19.0, 38.0, 84.0],
            "service_level": [0.52, 0.63, 0.74, 0.86],
            "missed": [4.0, 3.1, 2.2, 1.1],
        }
    )


def plain_lists() -> pl.DataFrame:
    """What a plain rule costs and brings, against the best buys."""
    rule = {"list": "two of everything", "spend": 80.0, "service_level": 0.7, "same_money_level": 0.8, "same_service_spend": 38.0}
    return pl.DataFrame([rule])


def budget_curve() -> pl.DataFrame:
    """What more money buys."""
    return pl.DataFrame({"spend": [0.0, 19.0, 38.0, 84.0, 103.0, 263.0], "service_level": [0.52, 0.63, 0.74, 0.86, 0.91, 0.97]})


def reconciliation() -> pl.DataFrame:
    """Rows in by kind, which add up."""
    return pl.DataFrame(
        {
            "kind": ["vessels", "engines", "service_tickets", "rescue_calls", "hour_readings"],
            "rows_in": [48, 66, 6214, 512, 9120],
            "accepted": [48, 66, 5820, 481, 9050],
            "repeated": [0, 0, 310, 22, 0],
            "superseded": [0, 0, 41, 0, 12],
            "left_out": [0, 0, 43, 9, 58],
        }
    )


def left_out() -> pl.DataFrame:
    """Two rows with a fault, one of them with a cell that a spreadsheet would run."""
    return pl.DataFrame(
        {
            "row_id": [41, 57],
            "kind": ["rescue_calls", "service_tickets"],
            "file": ["calls.csv", "tickets.csv"],
            "sheet": [None, None],
            "line": [41, 57],
            "column": ["meter_h", "done_on"],
            "value": ["12:40", "=2+5"],
            "reason": ["'12:40': hours are a number such as 1240.5; leave it empty if it was not read.", "'=2+5': not a date."],
            "raw": ["{}", "{}"],
        },
        schema_overrides={"sheet": pl.String},
    )


def uncoded() -> pl.DataFrame:
    """Words that wait for a person."""
    return pl.DataFrame({"list": ["component", "cause"], "word": ["thingummy", "gremlins"], "rows": [4, 2]})


def adoptions() -> pl.DataFrame:
    """What was adopted for a part: one in force with its figures, one from a file."""
    now = {"every_h": 200.0, "every_months": 18.0, "adopted_on": date(2026, 3, 1), "adopted_by": "yard office", "reason": "winter review"}
    told = {"state": "in force", "import_id": 7, "evidence_version": 6, "then_verdict": "renew at interval"}
    old = {"every_h": None, "every_months": None, "adopted_on": date(2020, 3, 1), "adopted_by": None, "reason": None}
    silent = {"state": "replaced", "import_id": 1, "evidence_version": None, "then_verdict": None}
    return pl.DataFrame([{**now, **told}, {**old, **silent}]).with_columns(
        pl.lit(None, pl.String).alias(name) for name in ("engine_model", "base")
    )
