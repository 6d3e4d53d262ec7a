"""Service tickets as a careful yard would write them: the clean lines, before the mess.

In: lives, whereabouts. Out: `ticket_lines`, one row per line with the columns of the record kind and, behind a dot, what the mess
needs to know (`.ending`, `.boat`, `.engine`, `.base`). Words are codes, dates are days since 1970.
Elsewhere: calls (`calls`), spellings, losses and slips (`mess`).
"""

import numpy as np
import polars as pl

from sample_fleet.chance import Chance, Floats, Ints
from sample_fleet.clocks import Days
from sample_fleet.truths import PartTruth
from sample_fleet.use import Use
from sample_fleet.whereabouts import Whereabouts

BENCHES = ("bench 1", "bench 2", "bench 3", "bench 4", "van 1", "van 2")
REASON = {
    "called": "failed",
    "reported": "failed",
    "found failed": "planned",
    "planned": "planned",
    "condition": "condition",
    "opportunistic": "opportunistic",
    "outside damage": "failed",
}
FINDING = {"called": "failed", "reported": "failed", "found failed": "failed", "condition": "worn", "outside damage": "outside damage"}
BACK_DATED, LOOKS_WRITTEN, TESTS_WRITTEN, FIRST_LOOK = 0.4, 0.45, 0.5, 45


def ticket_lines(
    lives: pl.DataFrame, parts: tuple[PartTruth, ...], use: Use, where: Whereabouts, seed: int, bad_fitter: str
) -> pl.DataFrame:
    """Return the lines of all renewals, looks and tests that fall in the time of the records, in order of day."""
    chance = Chance(seed, "tickets")
    silent = [part.component for part in parts if part.silent]
    lines = pl.concat([_renewals(lives, silent), _back_dated(lives, where, chance), _looks(lives, parts, use, chance)])
    lines = _placed(lines.sort("done_on", "component", "carrier", "position"), where)
    lines = lines.filter((pl.col("done_on") >= pl.col(".from")) | (pl.col(".ending") == "back-dated"))
    return _with_work(_numbered(lines), parts, chance, bad_fitter)


def _line(ending: pl.Expr, day: str, action: pl.Expr, reason: pl.Expr, finding: pl.Expr, bad: pl.Expr) -> list[pl.Expr]:
    return [
        pl.col("component", "carried_by", "carrier", "position"),
        pl.col(day).floor().alias("done_on"),
        action.alias("action"),
        reason.alias("reason"),
        finding.alias("finding"),
        ending.alias(".ending"),
        bad.alias(".bad_fit"),
        pl.col("ended").alias(".ended"),
    ]


def _renewals(lives: pl.DataFrame, silent: list[str]) -> pl.DataFrame:
    """One line per renewal; `.bad_fit` says that what was fitted then is going to die of it.

    What is found dead at a visit is booked as failed; where nobody could have seen it fail, as the planned work that found it.
    """
    keys = ["component", "carried_by", "carrier", "position"]
    doomed = lives.filter("bad_fit").select(*keys, pl.col("began").alias("next_began"), pl.lit(True).alias(".doomed"))
    renewed = lives.drop_nulls("next_began").join(doomed, on=[*keys, "next_began"], how="left")
    ending = pl.col("ending")
    booked = ending.replace_strict(REASON, default="")
    found_dead = (ending == "found failed") & ~pl.col("component").is_in(silent)
    reason = pl.when(found_dead).then(pl.lit("failed")).otherwise(booked)
    finding = ending.replace_strict(FINDING, default="")
    return renewed.select(_line(ending, "next_began", pl.lit("renew"), reason, finding, pl.col(".doomed").fill_null(False)))


def _back_dated(lives: pl.DataFrame, where: Whereabouts, chance: Chance) -> pl.DataFrame:
    """Lines typed in when the records began, for some of the parts that were then in place."""
    lives = _placed(lives.with_columns(done_on=pl.col("began")), where)
    old = lives.filter((pl.col("began") < pl.col(".from")) & (pl.col("ended") > pl.col(".from")))
    known = old.filter(pl.Series(chance.whether(len(old), BACK_DATED), dtype=pl.Boolean))
    original = pl.col("began") == pl.col("began").min().over("carried_by", "carrier")
    action = pl.when(original).then(pl.lit("fit")).otherwise(pl.lit("renew"))
    return known.select(_line(pl.lit("back-dated"), "began", action, pl.lit(""), pl.lit(""), pl.lit(False)))


def _looks(lives: pl.DataFrame, parts: tuple[PartTruth, ...], use: Use, chance: Chance) -> pl.DataFrame:
    """Sound and worn findings at lay-up of parts whose wear can be seen, and sound tests of hidden functions at any visit."""
    frames: list[pl.DataFrame] = []
    for part in parts:
        if not (part.condition_chance or part.hidden):
            continue
        on_engine = part.carried_by == "engine"
        seen = (use.engine_visits if on_engine else use.boat_visits) if part.hidden else use.engine_layups if on_engine else use.boat_layups
        frames.append(_looks_at(lives.filter(pl.col("component") == part.component), seen, part, chance))
    return pl.concat(frames)


def _looks_at(lives: pl.DataFrame, days: Days, part: PartTruth, chance: Chance) -> pl.DataFrame:
    seen = lives.join(pl.DataFrame({"carrier": days.carrier, "day": days.day}), on="carrier", maintain_order="left_right")
    seen = seen.filter((pl.col("day") > pl.col("began") + FIRST_LOOK) & (pl.col("day") < pl.col("ended")))
    seen = seen.filter(pl.col("failed").is_null() | (pl.col("day") < pl.col("failed")))
    written = chance.whether(len(seen), TESTS_WRITTEN if part.hidden else LOOKS_WRITTEN)
    finding = pl.when((pl.col("day") > pl.col("worn_from")) & pl.lit(not part.hidden)).then(pl.lit("worn")).otherwise(pl.lit("sound"))
    action = pl.lit("test" if part.hidden or part.component == "start battery" else "inspect")
    line = _line(pl.lit("look"), "day", action, pl.lit("planned"), finding, pl.lit(False))
    return seen.filter(pl.Series(written, dtype=pl.Boolean)).select(line)


def _placed(lines: pl.DataFrame, where: Whereabouts) -> pl.DataFrame:
    """Add the boat, the engine (-1 for a part that a twin-engined boat carries) and the first day of its records."""
    carrier, day = lines["carrier"].to_numpy(), lines["done_on"].to_numpy().astype(float)
    on_engine = (lines["carried_by"] == "engine").to_numpy()
    boat = np.where(on_engine, where.boat_of(np.where(on_engine, carrier, 0), day), carrier)
    twins = {stay.vessel for stay in where.fleet.stays if stay.place != "single"}
    alone = ~np.isin(boat, np.array(sorted(twins), dtype=np.int64))
    engine = np.where(on_engine, carrier, np.where(alone, where.engine_of(np.where(on_engine, 0, carrier), day), -1))
    begin = np.array([each.tickets_from for each in where.fleet.boats])[boat]
    return lines.with_columns(pl.Series(".boat", boat), pl.Series(".engine", engine), pl.Series(".from", begin))


def _with_work(lines: pl.DataFrame, parts: tuple[PartTruth, ...], chance: Chance, bad_fitter: str) -> pl.DataFrame:
    """Add causes, work, money and who did it, one bench a ticket; bad fittings come mostly from one of them."""
    size, known = len(lines), {part.component: part for part in parts}
    costs = np.array([known[word].planned_cost for word in lines["component"]])
    renewal = (lines["action"] == "renew").to_numpy()
    broken = lines[".ending"].is_in(["called", "reported", "outside damage"]).to_numpy()
    jobs = lines[".job"].to_numpy()
    benches = chance.whole(int(jobs.max(initial=0)) + 1, 0, len(BENCHES) - 1)[jobs]
    bad = lines[".bad_fit"].to_numpy() & chance.whether(size, 0.7)
    return lines.with_columns(
        pl.Series("finding", _noted(lines, renewal, chance)),
        pl.Series("cause", _causes(lines, known)),
        pl.Series("labour_h", np.round(np.where(renewal, 0.25 + costs / 150, 0.2) * chance.spread(size, 0.25), 1)),
        pl.Series("parts_cost", np.round(np.where(renewal, 0.62 * costs * chance.spread(size, 0.08), 0.0), 2)),
        pl.Series("downtime_h", np.round(np.where(broken, 4 + 20 * chance.exponential(size), 0.0), 1)),
        pl.Series("done_by", np.where(bad, bad_fitter, np.array(BENCHES)[benches])),
    )


def _noted(lines: pl.DataFrame, renewal: np.ndarray, chance: Chance) -> np.ndarray:
    """Return findings; at a planned or opportunistic renewal the yard notes sound, worn or nothing."""
    free = renewal & lines[".ending"].is_in(["planned", "opportunistic"]).to_numpy()
    return np.where(free, np.array(["sound", "worn", ""])[chance.pick(len(lines), (0.35, 0.25, 0.4))], lines["finding"].to_numpy())


def _causes(lines: pl.DataFrame, parts: dict[str, PartTruth]) -> list[str]:
    return [
        parts[word].outside_cause if ending == "outside damage" else parts[word].cause if ending in ("called", "reported") else ""
        for word, ending in lines.select("component", ".ending").iter_rows()
    ]


def _numbered(lines: pl.DataFrame) -> pl.DataFrame:
    """Give the tickets numbers by day, one for all that was done to a boat on a day; breakdowns have their own."""
    own = pl.col(".ending").is_in(["called", "reported", "outside damage"])
    job = pl.struct("done_on", ".boat", pl.when(own).then(pl.col("component")).otherwise(pl.lit("")))
    lines = lines.with_columns(job.rank("dense").alias(".job")).sort(".job", maintain_order=True)
    return lines.with_columns(pl.int_range(1, pl.len() + 1).over(".job").alias("line_no"))


def meter_readings(lines: pl.DataFrame, where: Whereabouts) -> Floats:
    """Return the true meter reading of each line's engine on its day; not a number where there is no one engine."""
    engine: Ints = lines[".engine"].to_numpy()
    day = lines["done_on"].to_numpy().astype(float)
    return np.where(engine < 0, np.nan, where.meter_of(np.maximum(engine, 0), day))
