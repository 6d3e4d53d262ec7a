"""Tickets and calls as rows of the contract's columns, all text, every word a code: the clean records.

In: ticket lines, calls. Out: `ticket_book`, `call_book`. Columns that begin with a dot are for the mess only and are never written.
Elsewhere: what happened (`tickets`, `calls`), how it is really written down (`mess`).
"""

import numpy as np
import polars as pl

from sample_fleet.chance import Chance
from sample_fleet.fleet import BASES
from sample_fleet.registers import day_text, figures
from sample_fleet.tickets import meter_readings
from sample_fleet.whereabouts import Whereabouts

PREFIX = dict(zip(BASES, ("BH", "WM", "UT"), strict=True))
BATCHED = ("raw-water pump impeller", "water-separating fuel filter")


def ticket_book(lines: pl.DataFrame, where: Whereabouts, seed: int) -> pl.DataFrame:
    """Return one row per ticket line; the engine is named for parts it carries, the boat always."""
    fleet, chance, size = where.fleet, Chance(seed, "ticket book"), len(lines)
    boat, engine = lines[".boat"].to_numpy(), lines[".engine"].to_numpy()
    day = lines["done_on"].to_numpy().astype(float)
    on_engine = (lines["carried_by"] == "engine").to_numpy()
    base = [fleet.boats[at].base for at in boat]
    place = where.place_of(np.maximum(engine, 0), day)
    batch = lines["component"].is_in(BATCHED).to_numpy() & (lines["action"] == "renew").to_numpy() & chance.whether(size, 0.3)
    back = (lines[".ending"] == "back-dated").to_numpy()
    meter = np.where(back & chance.whether(size, 0.5), np.nan, meter_readings(lines, where))
    dates = day_text(day)
    return pl.DataFrame(
        {
            "ticket_id": [f"{PREFIX[name]}{job:06d}" for name, job in zip(base, lines[".job"], strict=True)],
            "line_no": lines["line_no"].cast(pl.String),
            "engine_id": [fleet.engines[at].engine_id if named else "" for at, named in zip(engine, on_engine, strict=True)],
            "vessel_id": [fleet.boats[at].vessel_id for at in boat],
            "place": [word if named else "" for word, named in zip(place, on_engine, strict=True)],
            "done_on": dates,
            "meter_h": figures(meter),
            "component": lines["component"],
            "position": lines["position"],
            "action": lines["action"],
            "reason": lines["reason"],
            "finding": lines["finding"],
            "cause": lines["cause"],
            "labour_h": figures(lines["labour_h"].to_numpy()),
            "parts_cost": [text if text != "0.00" else "" for text in figures(lines["parts_cost"].to_numpy(), 2)],
            "downtime_h": [text if text != "0.0" else "" for text in figures(lines["downtime_h"].to_numpy())],
            "done_by": lines["done_by"],
            "batch": [f"{date[2:4]}-{1 + int(date[5:7]) // 4}" if named else "" for date, named in zip(dates, batch, strict=True)],
            "warranty": pl.repeat("", size, eager=True),
            "notes": pl.repeat("", size, eager=True),
            ".ending": lines[".ending"],
            ".base": base,
            ".boat": boat,
            ".engine": engine,
            ".day": day,
        }
    )


def call_book(calls: pl.DataFrame, where: Whereabouts) -> pl.DataFrame:
    """Return one row per call, with its engine and true cause."""
    fleet = where.fleet
    boat, engine = calls["boat"].to_numpy(), calls["engine"].to_numpy()
    hour = calls["hour"].to_numpy()
    days = day_text(calls["day"].to_numpy())
    return pl.DataFrame(
        {
            "call_id": [f"C{number:05d}" for number in range(1, len(calls) + 1)],
            "vessel_id": [fleet.boats[at].vessel_id for at in boat],
            "engine_id": [fleet.engines[at].engine_id for at in engine],
            "called_at": [f"{day} {int(at):02d}:{int(at % 1 * 60):02d}" for day, at in zip(days, hour, strict=True)],
            "meter_h": figures(calls["meter_h"].to_numpy()),
            "symptom": calls["symptom"],
            "cause": calls["cause"],
            "component": calls["component"],
            "outcome": calls["outcome"],
            "downtime_h": figures(calls["downtime_h"].to_numpy()),
            "cost": figures(calls["cost"].to_numpy(), 0),
            "notes": pl.repeat("", len(calls), eager=True),
            ".base": [fleet.boats[at].base for at in boat],
            ".boat": boat,
            ".engine": engine,
            ".life": calls["life"],
        }
    )
