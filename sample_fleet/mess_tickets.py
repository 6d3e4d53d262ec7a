"""Service tickets as they really come: half spelt, some lost, some twice, dated when typed, booked under the wrong heading.

In: the clean ticket book. Out: the same rows gone astray, still as text.
Elsewhere: words (`words`), meters (`mess_hours`), which file a row stands in (`bundles`).
"""

import numpy as np
import polars as pl

from sample_fleet.chance import Chance, Flags
from sample_fleet.fleet import Fleet
from sample_fleet.mess_hours import misread
from sample_fleet.notes import TICKET_SAID, remarks
from sample_fleet.registers import day_text
from sample_fleet.words import written

LOST, BOOKED_PLANNED, NO_REASON, NO_FINDING = 0.03, 0.04, 0.05, 0.12
TYPED_LATE, LATEST, METER_MISSING = 0.06, 12, 0.14
NO_ENGINE_ALONE, NO_ENGINE_TWIN, NO_PLACE_TWIN, PLACES_SWAPPED, NO_POSITION = 0.25, 0.3, 0.04, 0.01, 0.06
TWICE_WHOLE, TWICE_TYPED, FAULTY, UNKNOWN_WORD, NOTED = 0.006, 0.008, 0.002, 0.003, 0.5
NOTES = {
    "called": ("towed in", "failed on hire", "u/s", "lads on hire rang in", "as last time", ""),
    "reported": ("crew said so on return", "u/s", "found by turn-round", ""),
    "found failed": ("found at service", "not working when tested", ""),
    "planned": ("at service", "c/o at service", "with the rest", "", "", "", ""),
    "condition": ("going", "would not last the month", "cracked", "on its way out", ""),
    "opportunistic": ("while we were in there", "same time", ""),
    "outside damage": ("hit something", "debris", "customer damage, see hire desk", ""),
    "back-dated": ("from the old job cards",),
    "look": ("", "", "", "ok for now", "NFF"),
}


def messy_tickets(book: pl.DataFrame, fleet: Fleet, seed: int) -> pl.DataFrame:
    """Return the ticket book as the yards hand it over."""
    chance = Chance(seed, "messy tickets")
    book = book.filter(~_where(book, pl.col(".ending") == "called", chance.whether(len(book), LOST)))
    causes = book["cause"]
    book = _headings(_typed_late(book, fleet, chance), chance)
    book = _engines_unnamed(book, chance)
    slips = book["ticket_id"].rank("dense").cast(pl.Int64) - 1
    meters = misread(book["meter_h"], chance, METER_MISSING, slips)
    book = book.with_columns(meters, remarks(causes, _notes(book, chance), Chance(seed, "remarks of tickets"), TICKET_SAID))
    book = _spelled(_typed_twice(book, chance), chance)
    return _faults(book, chance)


def _where(book: pl.DataFrame, condition: pl.Expr, flags: Flags) -> pl.Series:
    return book.select((condition & pl.Series(flags, dtype=pl.Boolean)).alias("where"))["where"]


def _blank(book: pl.DataFrame, column: str, condition: pl.Expr, flags: Flags) -> pl.Expr:
    return pl.when(_where(book, condition, flags)).then(pl.lit("")).otherwise(pl.col(column)).alias(column)


def _headings(book: pl.DataFrame, chance: Chance) -> pl.DataFrame:
    """Book some breakdowns as planned work, and leave some reasons and findings out."""
    size = len(book)
    planned = _where(book, pl.col(".ending") == "called", chance.whether(size, BOOKED_PLANNED))
    book = book.with_columns(
        pl.when(planned).then(pl.lit("planned")).otherwise(pl.col("reason")).alias("reason"),
        pl.when(planned).then(pl.lit("")).otherwise(pl.col("finding")).alias("finding"),
        pl.when(planned).then(pl.lit("")).otherwise(pl.col("cause")).alias("cause"),
    )
    said = ~pl.col(".ending").is_in(["found failed", "condition", "outside damage"])
    return book.with_columns(
        _blank(book, "reason", said, chance.whether(size, NO_REASON)),
        _blank(book, "finding", (pl.col("action") == "renew") & said, chance.whether(size, NO_FINDING)),
        _blank(book, "cause", pl.lit(True), chance.whether(size, 0.45)),
        _blank(book, "position", pl.lit(True), chance.whether(size, NO_POSITION)),
        _blank(book, "labour_h", pl.lit(True), chance.whether(size, 0.3)),
    )


def _typed_late(book: pl.DataFrame, fleet: Fleet, chance: Chance) -> pl.DataFrame:
    """Date some tickets by the day they were typed, all lines of one alike."""
    tickets = book.select("ticket_id").unique(maintain_order=True)
    late = np.where(chance.whether(len(tickets), TYPED_LATE), 1 + chance.whole(len(tickets), 0, LATEST - 1), 0)
    days = book.select("ticket_id", ".day").join(tickets.with_columns(late=late), on="ticket_id", how="left", maintain_order="left")
    typed = np.minimum((days[".day"] + days["late"]).to_numpy(), fleet.last)
    return book.with_columns(pl.Series("done_on", day_text(typed)))


def _engines_unnamed(book: pl.DataFrame, chance: Chance) -> pl.DataFrame:
    """Name only the boat, for two engines mostly with the place, sometimes the wrong one."""
    size = len(book)
    twin = pl.col("place").is_in(["port", "starboard"])
    swapped = _where(book, twin, chance.whether(size, PLACES_SWAPPED))
    other = pl.col("place").replace({"port": "starboard", "starboard": "port"})
    unnamed = chance.uniform(size)
    nameless = pl.when(twin).then(pl.Series(unnamed < NO_ENGINE_TWIN)).otherwise(pl.Series(unnamed < NO_ENGINE_ALONE))
    placeless = (twin & pl.Series(unnamed < NO_PLACE_TWIN)) | (~twin & pl.Series(chance.whether(size, 0.6)))
    return book.with_columns(
        pl.when(nameless | swapped).then(pl.lit("")).otherwise(pl.col("engine_id")).alias("engine_id"),
        pl.when(placeless).then(pl.lit("")).when(swapped).then(other).otherwise(pl.col("place")).alias("place"),
    )


def _notes(book: pl.DataFrame, chance: Chance) -> pl.Series:
    draws, kept = chance.uniform(len(book)), chance.whether(len(book), NOTED)
    notes = [
        NOTES[ending][int(draw * len(NOTES[ending]))] if keep else ""
        for ending, draw, keep in zip(book[".ending"], draws, kept, strict=True)
    ]
    return pl.Series("notes", notes, dtype=pl.String)


def _typed_twice(book: pl.DataFrame, chance: Chance) -> pl.DataFrame:
    """Repeat some rows whole, and type some again on a ticket of their own a day or two later without the meter."""
    size = len(book)
    whole = book.filter(pl.Series(chance.whether(size, TWICE_WHOLE), dtype=pl.Boolean))
    again = book.filter(_where(book, pl.col(".ending").is_in(["planned", "reported", "condition"]), chance.whether(size, TWICE_TYPED)))
    later = chance.whole(len(again), 0, 2)
    again = again.with_columns(
        pl.Series("done_on", day_text(again[".day"].to_numpy() + later)),
        ticket_id=pl.format("{}A", pl.col("ticket_id")),
        line_no=pl.lit("1"),
        meter_h=pl.lit(""),
    )
    again = again.unique("ticket_id", keep="first", maintain_order=True)
    return pl.concat([book, whole, again]).sort(".day", "ticket_id", "line_no", maintain_order=True)


def _spelled(book: pl.DataFrame, chance: Chance) -> pl.DataFrame:
    """Write the words as hands write them; a row that was repeated whole keeps its spelling."""
    keys = ["ticket_id", "line_no"]
    first = book.unique(keys, keep="first", maintain_order=True)
    words = first.select(
        *keys,
        written(first["component"], "component", chance, unknown=UNKNOWN_WORD),
        *[written(first[column], column, chance) for column in ("action", "reason", "finding", "cause", "place")],
    )
    coded = ["component", "action", "reason", "finding", "cause", "place"]
    return book.drop(coded).join(words, on=keys, how="left", maintain_order="left").select(book.columns)


def _faults(book: pl.DataFrame, chance: Chance) -> pl.DataFrame:
    """Spoil a few rows beyond use: a day that is not, hours below nought, no part named, no action."""
    size = len(book)
    kind = np.where(chance.whether(size, FAULTY), chance.whole(size, 1, 4), 0)
    fault = pl.Series(kind)
    return book.with_columns(
        pl.when(fault == 1).then(pl.col("done_on").str.replace(r"\d{2}-\d{2}$", "02-30")).otherwise(pl.col("done_on")).alias("done_on"),
        pl.when(fault == 2).then(pl.lit("-12.5")).otherwise(pl.col("meter_h")).alias("meter_h"),
        pl.when(fault == 3).then(pl.lit("")).otherwise(pl.col("component")).alias("component"),
        pl.when(fault == 4).then(pl.lit("")).otherwise(pl.col("action")).alias("action"),
    )
