"""The lists a yard keeps beside its tickets: boats, engines, moves, readings, trips.

In: a fleet, its use, whereabouts. Out: one frame a record kind, as text, columns as in the contract.
Elsewhere: the chart, the plan, the shelf (`charts`), tickets and calls (`tickets`, `calls`).
"""

from datetime import date

import numpy as np
import polars as pl

from sample_fleet.chance import Chance, Floats, Ints
from sample_fleet.clocks import EPOCH
from sample_fleet.fleet import LAST_SEASON, MODELS, Fleet
from sample_fleet.use import Use
from sample_fleet.whereabouts import Whereabouts

READINGS_WRITTEN = 0.55


def day_text(days: Floats | Ints | list[int]) -> list[str]:
    """Return ISO dates of days since 1970."""
    return np.datetime_as_string(np.floor(np.asarray(days)).astype("datetime64[D]")).tolist()


def figures(values: Floats, decimals: int = 1) -> list[str]:
    """Return numbers as text with so many decimals; not a number is empty."""
    return ["" if value != value else f"{value:.{decimals}f}" for value in values.tolist()]


def _day(day: int | None) -> str:
    return "" if day is None else date.fromordinal(EPOCH.toordinal() + day).isoformat()


def vessels(fleet: Fleet) -> pl.DataFrame:
    """One row per boat, with two columns of the fleet's own: one that matters for a part and one that does not."""
    return pl.DataFrame(
        [
            {
                "vessel_id": boat.vessel_id,
                "name": boat.name,
                "vessel_class": boat.vessel_class,
                "base": boat.base,
                "water": boat.water,
                "bottom": boat.bottom,
                "tank_l": str(boat.tank_l),
                "in_service_on": _day(boat.in_service),
                "withdrawn_on": _day(boat.withdrawn),
                "tickets_from_on": _day(boat.tickets_from),
                "calls_from_on": _day(boat.calls_from),
                "fuel_source": boat.fuel_source,
                "hull_colour": boat.hull_colour,
            }
            for boat in fleet.boats
        ]
    )


def engines(fleet: Fleet, use: Use, seed: int) -> pl.DataFrame:
    """One row per engine, with the boat it was first put on."""
    year = np.diff(use.engine_hours.cumulative, axis=1)[:, -12:].sum(axis=1)
    plans = np.round(year * Chance(seed, "plans").spread(len(year), 0.1), -1)
    rows = []
    for at, engine in enumerate(fleet.engines):
        drive, fuel, power = MODELS[engine.model]
        rows.append(
            {
                "engine_id": engine.engine_id,
                "vessel_id": fleet.boats[engine.vessel].vessel_id,
                "place": engine.place,
                "drive": drive,
                "fuel": fuel,
                "engine_model": engine.model,
                "power_kw": f"{power:.1f}",
                "commissioned_on": _day(engine.commissioned),
                "commissioned_h": f"{engine.commissioned_h:.1f}" if engine.commissioned_h else "",
                "withdrawn_on": _day(engine.withdrawn),
                "planned_h_next_season": "" if engine.withdrawn or not plans[at] else f"{plans[at]:.0f}",
            }
        )
    return pl.DataFrame(rows)


def engine_moves(fleet: Fleet) -> pl.DataFrame:
    """One row per stay of an engine after its first."""
    first = {engine.engine_id: engine.commissioned for engine in fleet.engines}
    rows = [
        (fleet.engines[stay.engine].engine_id, fleet.boats[stay.vessel].vessel_id, stay.place, _day(stay.began))
        for stay in fleet.stays
        if stay.began != first[fleet.engines[stay.engine].engine_id]
    ]
    return pl.DataFrame(rows, schema=["engine_id", "vessel_id", "place", "moved_on"], orient="row")


def hour_readings(fleet: Fleet, use: Use, where: Whereabouts, seed: int) -> pl.DataFrame:
    """Read meters at about half of the visits, and at each change of a meter that was told; `.boat` stays for the mess."""
    chance, visits, meters = Chance(seed, "readings"), use.engine_visits, where.meters
    begin = np.array([boat.tickets_from for boat in fleet.boats])
    boat = where.boat_of(visits.carrier, visits.day)
    kept = (visits.day >= begin[boat]) & (visits.day <= fleet.last) & chance.whether(len(boat), READINGS_WRITTEN)
    told = np.flatnonzero((meters.changed < fleet.last) & meters.told)
    engine = np.concatenate([visits.carrier[kept], told])
    day = np.concatenate([np.floor(visits.day[kept]), meters.changed[told]])
    change = np.arange(len(engine)) >= kept.sum()
    old = where.meter_of(engine, day)
    shown = np.where(change, meters.start_after[engine], old)
    frame = pl.DataFrame(
        {
            "engine_id": [fleet.engines[at].engine_id for at in engine],
            "read_on": day_text(day),
            "meter_h": figures(shown),
            "meter_changed": np.where(change, "yes", ""),
            "old_meter_h": figures(np.where(change, old, np.nan)),
            ".boat": where.boat_of(engine, day),
        }
    )
    return frame.unique(["engine_id", "read_on", "meter_changed"], keep="first", maintain_order=True).sort(
        "engine_id", "read_on", "meter_changed"
    )


def trips(fleet: Fleet, use: Use, seed: int) -> pl.DataFrame:
    """Trips of one boat in ten in the last season, for a base that keeps a trip book."""
    chance = Chance(seed, "trips")
    boats = [at for at, boat in enumerate(fleet.boats) if boat.base == "Upper Tarnet" and not boat.withdrawn][
        : max(3, len(fleet.boats) // 40)
    ]
    months = {int(day): at for at, day in enumerate(use.boat_hours.grid)}
    frames = [_trips_of(boat, month, use, chance) for boat in boats for month in _season(months)]
    frame = pl.concat(frames) if frames else _no_trips()
    frame = frame.sort(".out", "boat")
    return frame.select(
        trip_id=pl.format("S{}", pl.int_range(1, pl.len() + 1).cast(pl.String).str.zfill(5)),
        vessel_id=pl.Series([fleet.boats[at].vessel_id for at in frame["boat"]], dtype=pl.String),
        out_at=(pl.col(".out") * 1440).round().cast(pl.Int64).mul(60_000_000).cast(pl.Datetime("us")).dt.strftime("%Y-%m-%d %H:%M"),
        back_at=(pl.col(".back") * 1440).round().cast(pl.Int64).mul(60_000_000).cast(pl.Datetime("us")).dt.strftime("%Y-%m-%d %H:%M"),
        engine_h=pl.Series(figures(frame["hours"].to_numpy()), dtype=pl.String),
        fuel_l=pl.Series(figures(frame["fuel"].to_numpy()), dtype=pl.String),
        distance_nm=pl.Series(figures(frame["miles"].to_numpy()), dtype=pl.String),
    )


def _season(months: dict[int, int]) -> list[int]:
    return [months[(date(LAST_SEASON, month, 1) - EPOCH).days] for month in range(4, 11)]


def _no_trips() -> pl.DataFrame:
    return pl.DataFrame(schema={"boat": pl.Int64, **dict.fromkeys((".out", ".back", "hours", "fuel", "miles"), pl.Float64)})


def _trips_of(boat: int, month: int, use: Use, chance: Chance) -> pl.DataFrame:
    """Split the hours of one boat in one month into outings of about three and a half hours."""
    clock = use.boat_hours
    hours = float(clock.cumulative[boat, month + 1] - clock.cumulative[boat, month])
    outings = round(hours / 3.5)
    if not outings:
        return _no_trips()
    shares = chance.spread(outings, 0.4)
    each = hours * shares / shares.sum()
    out = clock.grid[month] + chance.whole(outings, 0, 29) + chance.uniform(outings, 8.5, 14.0) / 24
    return pl.DataFrame(
        {
            "boat": np.full(outings, boat),
            ".out": out,
            ".back": out + each * 1.5 / 24,
            "hours": each,
            "fuel": each * chance.uniform(outings, 2.2, 3.4),
            "miles": each * chance.uniform(outings, 3.0, 4.6),
        }
    )
