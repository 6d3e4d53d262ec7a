"""Make an invented fleet's records: the committed sample, or one of any size with truths of its own.

    python -m sample_fleet.make DIR                                          the sample, byte for byte as committed
    python -m sample_fleet.make DIR --boats 400 --seasons 6 --seed 7 [--clean] [--truths FILE]

In: a folder, a size, a seed. Out: files of every record kind in that folder; `make_fleet` also returns the planted truths.
Elsewhere: what is true (`planted`, `drawn`), what happens (`fleet`, `use`, `lives`), what is written (`books`, `bundles`).
"""

import argparse
import json
from dataclasses import replace
from datetime import date
from pathlib import Path

import numpy as np
import polars as pl

from sample_fleet import charts, registers
from sample_fleet.books import call_book, ticket_book
from sample_fleet.bundles import write_clean, write_messy
from sample_fleet.calls import rescue_calls
from sample_fleet.drawn import draw_causes, draw_parts
from sample_fleet.fleet import Fleet, build_fleet
from sample_fleet.lives import carriers_of, live_parts, positions_of
from sample_fleet.planted import CAUSES, PARTS
from sample_fleet.tickets import ticket_lines
from sample_fleet.truths import PartTruth, Truth
from sample_fleet.use import Use, run_fleet
from sample_fleet.whereabouts import find_whereabouts
from sample_fleet.write import write_text

SAMPLE_BOATS, SAMPLE_SEASONS, SAMPLE_SEED = 48, 6, 24
BAD_FITTER = "bench 4"


def make_fleet(directory: Path | str, boats: int, seasons: int, seed: int, mess: bool = True) -> Truth:
    """Make the records of a fleet.

    Parameters
    ----------
    directory
        Folder for the files; made if it is not there. Files of the same names are replaced.
    boats, seasons, seed
        Size and seed; the sample's own three give the sample with its fixed truths.
    mess
        Whether the records are written as yards write them; else every row is whole and every word a code.

    Returns
    -------
    Truth
        What was planted, with one row per position.
    """
    folder = Path(directory)
    folder.mkdir(parents=True, exist_ok=True)
    fleet = build_fleet(boats, seasons, seed)
    use = run_fleet(fleet, seed)
    truth = _truth(fleet, use, seed)
    books = _books(fleet, use, truth, mess=mess)
    if mess:
        write_messy(books, fleet, truth, folder)
    else:
        write_clean(books, folder)
    return truth


def _truth(fleet: Fleet, use: Use, seed: int) -> Truth:
    is_sample = (len(fleet.boats), fleet.seasons, seed) == (SAMPLE_BOATS, SAMPLE_SEASONS, SAMPLE_SEED)
    parts, causes = (PARTS, CAUSES) if is_sample else (draw_parts(seed), draw_causes(seed))
    changed = date(fleet.first_season + fleet.seasons // 2 + 1, 4, 1)
    truth = Truth(len(fleet.boats), fleet.seasons, seed, parts, causes, changed, "hull_colour", BAD_FITTER)
    return replace(truth, positions=pl.concat([_positions(part, fleet, use) for part in parts]))


def _positions(part: PartTruth, fleet: Fleet, use: Use) -> pl.DataFrame:
    """Return one row per position that was in the fleet during the records, with its own hours a year."""
    positions, carriers = positions_of(part, fleet), carriers_of(part, fleet)
    on_engine = part.carried_by == "engine"
    clock = use.engine_hours if on_engine else use.boat_hours
    began, ended = np.maximum(positions.began, fleet.first), positions.ended
    hours = clock.hours_at(positions.carrier, ended) - clock.hours_at(positions.carrier, began)
    boats = [fleet.boats[carriers[at][0]] for at in positions.carrier]
    return pl.DataFrame(
        {
            "component": pl.repeat(part.component, len(boats), dtype=pl.String, eager=True),
            "engine_id": pl.Series([fleet.engines[at].engine_id if on_engine else None for at in positions.carrier], dtype=pl.String),
            "vessel_id": pl.Series([boat.vessel_id for boat in boats], dtype=pl.String),
            "position": pl.Series(positions.name, dtype=pl.String),
            "factor": positions.factor,
            "hours_per_year": hours / np.maximum((ended - began) / 365.25, 0.05),
            "engine_model": pl.Series([carriers[at][1] for at in positions.carrier], dtype=pl.String),
            "base": pl.Series([boat.base for boat in boats], dtype=pl.String),
            "vessel_class": pl.Series([boat.vessel_class for boat in boats], dtype=pl.String),
            "water": pl.Series([boat.water for boat in boats], dtype=pl.String),
            "fuel_source": pl.Series([boat.fuel_source for boat in boats], dtype=pl.String),
            "hull_colour": pl.Series([boat.hull_colour for boat in boats], dtype=pl.String),
        }
    ).filter(pl.col("hours_per_year") > 1)


def _books(fleet: Fleet, use: Use, truth: Truth, *, mess: bool) -> dict[str, pl.DataFrame]:
    """Return a clean frame per record kind."""
    seed, parts = truth.seed, truth.parts
    where = find_whereabouts(fleet, use, seed, meters_change=mess)
    lives = live_parts(fleet, use, parts, seed)
    lines = ticket_lines(lives, parts, use, where, seed, truth.bad_fitter)
    return {
        "vessels": registers.vessels(fleet),
        "engines": registers.engines(fleet, use, seed),
        "engine_moves": registers.engine_moves(fleet),
        "components": charts.components(parts),
        "fitted": charts.fitted(parts),
        "hour_readings": registers.hour_readings(fleet, use, where, seed),
        "service_tickets": ticket_book(lines, where, seed),
        "rescue_calls": call_book(rescue_calls(fleet, lives, parts, truth.causes, use, where, seed), where),
        "trips": registers.trips(fleet, use, seed),
        "parts": charts.shelf(parts, fleet, seed),
        "costs": charts.costs(parts),
        "limits": charts.limits(parts),
        "plan": charts.plan(parts, fleet),
    }


def main(arguments: list[str] | None = None) -> int:
    """Make a fleet from the command line."""
    parser = argparse.ArgumentParser(
        prog="python -m sample_fleet.make",
        description="Make the records of an invented fleet in DIR. Files of the same names there are replaced, others are left alone.",
        epilog="Try it:  python -m sample_fleet.make invented --boats 400 --seasons 6 --seed 7",
    )
    parser.add_argument("directory", metavar="DIR", type=Path, help="folder for the records")
    parser.add_argument("--boats", type=int, default=SAMPLE_BOATS, help="boats that were ever in the fleet, 4 or more (%(default)s)")
    parser.add_argument("--seasons", type=int, default=SAMPLE_SEASONS, help="seasons of records, 2 or more (%(default)s)")
    parser.add_argument("--seed", type=int, default=SAMPLE_SEED, help="seed of the fleet (%(default)s, the committed sample)")
    parser.add_argument("--clean", action="store_true", help="whole rows and plain codes, without the mess of real records")
    parser.add_argument("--truths", metavar="FILE", type=Path, help="write the planted truths there as JSON")
    given = parser.parse_args(arguments)
    if given.boats < 4 or given.seasons < 2 or given.seed < 0:
        parser.error("--boats is 4 or more, --seasons 2 or more, --seed 0 or more")
    truth = make_fleet(given.directory, given.boats, given.seasons, given.seed, mess=not given.clean)
    if given.truths:
        write_text(json.dumps(truth.as_json(), indent=1) + "\n", given.truths)
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
