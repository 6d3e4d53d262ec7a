"""The season that comes, foretold and kept, and every kept forecast beside what came.

In: a published copy, filters, settings; who keeps a forecast. Out: `Answer`s; a sentence.
Nobody can change a kept forecast. One that is taken back stays in the list with its mark, and is left out of the marks of all.
Elsewhere: how a season is foretold (`foretelling`), past seasons foretold with hindsight of the day before (`backtesting`).
"""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import polars as pl

from pipelines.advice.forecast import FAILURES, fleet_total
from pipelines.advice.marks import LEVEL, Mark, calibration, coverage, log_score, mark, read_back, written_out
from pipelines.errors import NoFigure, WrongInput
from pipelines.exports.answer import Answer
from pipelines.flow.account import ADVICE, head_of
from pipelines.flow.building import METHODS
from pipelines.flow.copies import current_copy, publish_anew
from pipelines.flow.foretelling import Foretold, Key, came, carriers_of, foretold
from pipelines.flow.sources import known_day, known_source
from pipelines.ledger.reading import Published
from pipelines.ledger.writing import open_for_writing
from pipelines.lives.lives import derive
from pipelines.terms.answers import names_of
from pipelines.terms.scope import Scope
from pipelines.terms.seasons import Season, season_of
from pipelines.terms.settings import Settings

LEFT_DAYS = 182
"""A season with fewer days left is foretold together with the one after it."""
RUNS, OVER, TAKEN_BACK = "runs", "over", "taken back"
TAIL = (1 - LEVEL) / 2


def season_ahead(as_of: date, starts: int) -> Season:
    """Return the season to foretell from the day after `as_of`: the one that runs then, or the next if little of it is left."""
    season = season_of(as_of + timedelta(days=1), starts)
    return season if (season.ends - as_of).days >= LEFT_DAYS else season.following


def coming(copy: Published, scope: Scope, settings: Settings) -> Answer:
    """Foretell the season that comes, from the day after the last one that is known up to its end.

    Returns
    -------
    Answer
        A row a sort of count, part and base: season, known_on, begins, ends, sort, component, base, expected, low, high; the row without
        part is all failures of the fleet.

    Raises
    ------
    NoFigure
        If no part was watched long enough.
    """
    with known_source(copy, scope, settings) as source:
        told = _ahead(copy, known_day(source), scope, settings)
        rows = pl.DataFrame(_rows(told), infer_schema_length=None).select(names_of("coming"))
        return Answer(head_of(copy, source, told.matter.lives.height, scope, ADVICE), rows)


def keep(ledger_path: Path, by: str, settings: Settings) -> str:
    """Foretell the season that comes for the whole fleet, keep it in the ledger, and say so.

    Raises
    ------
    WrongInput
        If nobody is named.
    """
    if not by.strip():
        raise WrongInput("a forecast is kept by somebody: --kept-by NAME")
    with current_copy(ledger_path, settings) as copy:
        told = _ahead(copy, known_day(copy), Scope(), settings)
        signed = {"kept_on": date.today(), "kept_by": by, "methods": METHODS, "evidence_version": copy.version}
        rows = pl.DataFrame([row | signed for row in _rows(told)], infer_schema_length=None)
    with open_for_writing(ledger_path, "backtest") as ledger:
        number = ledger.keep_forecast(rows, by)
        publish_anew(ledger, settings)
    whole = rows.filter(pl.col("component").is_null()).row(0, named=True)
    return (
        f"Kept: season {told.season.name}, {whole['expected']:.1f} failures foretold ({whole['low']} to {whole['high']}) from "
        f"{whole['begins']} to {whole['ends']}, {rows.height - 1} parts and bases. To take it back: towless intake --undo {number}"
    )


def kept(copy: Published, scope: Scope, settings: Settings) -> Answer:
    """List every forecast that was kept, marked where its days are over.

    Returns
    -------
    Answer
        Rows: forecast (its import), season, known_on, begins, ends, kept_by, sort, component, base, expected, low, high, actual (empty:
        its days are not over), so_far, state (`runs`, `over`, `taken back`). Beside them coverage, calibration and log_score of the
        failures of parts and bases whose days are over.

    Raises
    ------
    NoFigure
        If none was kept.
    """
    rows = copy.frame("select * from about.forecasts")
    if rows.is_empty():
        raise NoFigure("No forecast was kept yet. Keep one before the season: towless backtest --keep --kept-by NAME")
    with known_source(copy, scope, settings) as source:
        lives, as_of = source.frame("select * from derived.lives"), known_day(source)
        told = [one for held in rows.partition_by("import_id", maintain_order=True) for one in _told(copy, held, lives, as_of, settings)]
        wanted = [one for one in told if scope.component in ("", one["component"]) and scope.base in ("", one["base"])]
        marks = [one["mark"] for one in wanted if one["mark"] is not None and one["state"] == OVER and one["sort"] == FAILURES]
        judged = {"coverage": coverage(marks), "calibration": calibration(marks) if marks else [], "log_score": log_score(marks)}
        frame = pl.DataFrame(wanted or told[:1], infer_schema_length=None).select(names_of("kept_forecasts"))
        return Answer(head_of(copy, source, lives.height, scope, ADVICE), frame.head(len(wanted)), judged)


def _ahead(copy: Published, known_on: date, scope: Scope, settings: Settings) -> Foretold:
    season = season_ahead(known_on, int(settings.season_starts))
    told = foretold(copy, season, season.ends, scope, settings, known_on)
    if not told.forecasts:
        raise NoFigure("No part was watched long enough to foretell a season. Take older tickets in, or widen the filters.")
    return told


def _rows(told: Foretold) -> Iterator[dict[str, Any]]:
    """Give a row a sort, part and base, and one of all failures."""
    span = {"season": told.season.name, "known_on": told.known_on, "begins": told.known_on + timedelta(days=1), "ends": told.until}
    whole = fleet_total([one for one in told.forecasts if one.sort == FAILURES])
    every = [(FAILURES, None, None, whole, None)]
    every += [(one.sort, one.component, one.base, one.demand, told.naive[(one.sort, one.component, one.base)]) for one in told.forecasts]
    for sort, component, base, demand, naive in every:
        chances = {"chances": written_out(demand), "naive": None if naive is None else written_out(naive)}
        figures = {"expected": demand.mean, "low": demand.quantile(TAIL), "high": demand.quantile(1 - TAIL)}
        yield {**span, "sort": sort, "component": component, "base": base, **figures, **chances}


def _told(copy: Published, held: pl.DataFrame, lives: pl.DataFrame, as_of: date, settings: Settings) -> Iterator[dict[str, Any]]:
    """Give each row of one kept forecast with what came of it."""
    first = held.row(0, named=True)
    over = first["ends"] <= as_of
    state = TAKEN_BACK if first["undone_at"] else OVER if over else RUNS
    with _carriers(copy, first["known_on"], settings) as carriers:
        counted = came(lives, carriers, first["begins"], min(first["ends"], as_of))
    for row in held.iter_rows(named=True):
        here = _count(counted, (row["sort"], row["component"], row["base"]))
        told = {"forecast": row["import_id"], **row, "so_far": here, "actual": here if over else None, "state": state}
        yield told | {"mark": _mark(row, here) if over and row["component"] else None}


@contextmanager
def _carriers(copy: Published, known_on: date, settings: Settings) -> Iterator[pl.DataFrame]:
    """Give the engines and boats that had the parts when a forecast was made."""
    with copy.as_known_on(known_on) as bench:
        derive(bench, known_on, settings)
        yield carriers_of(bench.frame("select * from derived.positions"))


def _count(counted: dict[Key, int], key: Key) -> int:
    """Return what came of one part and base; without a part, of all."""
    return counted.get(key, 0) if key[1] else sum(count for (sort, *_), count in counted.items() if sort == key[0])


def _mark(row: dict[str, Any], actual: int) -> Mark:
    return mark(read_back(row["chances"]), read_back(row["naive"]), actual)
