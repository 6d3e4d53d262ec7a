"""Which records go to which file: one file a kind, or as three bases and an office really keep them.

In: frames of all record kinds. Out: files in a folder, with a mapping where a base has headings and words of its own.
Elsewhere: how rows go astray (`mess_tickets`, `mess_calls`, `mess_hours`), how a file is written (`write`).
"""

from pathlib import Path

import polars as pl

from sample_fleet.chance import Chance
from sample_fleet.fleet import BASES, Fleet
from sample_fleet.mess_calls import messy_calls
from sample_fleet.mess_hours import day_first, decimal_commas, misread
from sample_fleet.mess_tickets import messy_tickets
from sample_fleet.truths import Truth
from sample_fleet.words import YARD_WORDS
from sample_fleet.write import write_csv, write_json_lines, write_text, write_workbook

Books = dict[str, pl.DataFrame]
COAST, RIVER, LAKE = BASES
OFFICE_KINDS = ("vessels", "engines", "engine_moves", "components", "fitted", "parts", "costs", "limits", "plan")
TICKET_NUMBERS = ("meter_h", "labour_h", "parts_cost", "downtime_h")
CALL_LOG = {
    "called_at": "When",
    "vessel_id": "Boat",
    "symptom": "Caller says",
    "cause": "What it was",
    "component": "Part",
    "outcome": "How it ended",
    "downtime_h": "Hours down",
    "cost": "Cost",
    "notes": "Remarks",
}
"""Headings of the river base's call log, which has no number of a call and names no engine."""

RESENT_SHARE, CORRECTED_SHARE, COPIED = 0.6, 0.04, 0.01


def write_clean(books: Books, folder: Path) -> None:
    """Write one CSV file a record kind, nothing astray."""
    for kind, frame in books.items():
        write_csv(frame, folder / f"{kind}.csv")


def write_messy(books: Books, fleet: Fleet, truth: Truth, folder: Path) -> None:
    """Write the records as they are really kept."""
    for kind in OFFICE_KINDS:
        write_csv(books[kind], folder / f"{kind}.csv")
    write_json_lines(books["trips"], folder / "upper_tarnet_trips.jsonl", ("engine_h", "fuel_l", "distance_nm"))
    _write_tickets(messy_tickets(books["service_tickets"], fleet, truth.seed), truth.seed, folder)
    _write_calls(messy_calls(books["rescue_calls"], fleet, truth.seed, truth.coding_changed_on), truth.seed, fleet, folder)
    _write_readings(books["hour_readings"], fleet, truth.seed, folder)


def _write_tickets(book: pl.DataFrame, seed: int, folder: Path) -> None:
    """Write a workbook for the coast, a file with a byte-order mark and one sent again for the river, decimal commas for the lake."""
    coast, river, lake = (book.filter(pl.col(".base") == base) for base in BASES)
    if len(coast):
        write_workbook(_sheets(coast), folder / "brantholm_service.xlsx", TICKET_NUMBERS, ("done_on",))
    if len(river):
        write_csv(river, folder / "wellick_mouth_tickets.csv", mark=True)
        write_csv(_sent_again(river, seed), folder / "wellick_mouth_tickets_corrected.csv", mark=True)
    lake = day_first(decimal_commas(lake, TICKET_NUMBERS), ("done_on",))
    write_csv(lake, folder / "upper_tarnet_tickets.csv", separator=";")


def _sheets(book: pl.DataFrame) -> Books:
    """Return one sheet a year, whose headings drift: names in words, then another order and a column of the yard's own."""
    first = min(book.filter(pl.col(".ending") != "back-dated")["done_on"])[:4]
    year = pl.col("done_on").str.slice(0, 4)
    by_year = book.with_columns(pl.when(year < first).then(pl.lit(first)).otherwise(year).alias(".year"))
    years = by_year[".year"].unique().sort().to_list()
    sheets: Books = {}
    for number, year in enumerate(years):
        sheet = by_year.filter(pl.col(".year") == year)
        if number >= len(years) // 2:
            sheet = sheet.select("done_on", "ticket_id", "line_no", "vessel_id", pl.exclude("done_on", "ticket_id", "line_no", "vessel_id"))
            sheet = sheet.with_columns(invoiced=pl.lit(""))
        sheets[year] = sheet if number < 2 else sheet.rename({name: _in_words(name) for name in sheet.columns if name[0] != "."})
    return sheets


def _in_words(name: str) -> str:
    return name.replace("_", " ").capitalize().replace(" id", " ID")


def _sent_again(book: pl.DataFrame, seed: int) -> pl.DataFrame:
    """Return part of the last season's tickets once more, a few put right: a meter that was missing, a word spelt out."""
    chance = Chance(seed, "sent again")
    last = max(book["done_on"])[:4]
    season = book.filter(pl.col("done_on").str.starts_with(last) & (pl.col("component") != ""))
    season = season.filter(pl.Series(chance.whether(len(season), RESENT_SHARE), dtype=pl.Boolean))
    right = pl.Series(chance.whether(len(season), CORRECTED_SHARE), dtype=pl.Boolean)
    return season.with_columns(
        pl.when(right).then(pl.lit("corrected")).otherwise(pl.col("notes")).alias("notes"),
        pl.when(right).then(pl.lit("0.5")).otherwise(pl.col("labour_h")).alias("labour_h"),
    )


def _write_calls(book: pl.DataFrame, seed: int, fleet: Fleet, folder: Path) -> None:
    """Write the office's log, and the river base's own book with boats by number."""
    write_csv(book.filter(pl.col(".base") != RIVER), folder / "rescue_calls.csv")
    river = book.filter(pl.col(".base") == RIVER)
    digits = [fleet.boats[at].vessel_id.removeprefix("V").lstrip("0") for at in river[".boat"]]
    hands = Chance(seed, "call log").whole(len(river), 0, len(BOAT_WORDS) - 1)
    river = river.with_columns(
        pl.Series("vessel_id", [BOAT_WORDS[hand].format(number) for hand, number in zip(hands, digits, strict=True)])
    )
    log = day_first(river.select(list(CALL_LOG)), ("called_at",), "/").rename(CALL_LOG)
    write_csv(log, folder / "wellick_mouth_call_log.csv")
    write_text(_mapping(fleet), folder / "mapping.toml")


BOAT_WORDS = ("{}", "No {}", "No. {}", "boat {}")


def _mapping(fleet: Fleet) -> str:
    """Return the mapping that reads the river base's call log and the yard's own words."""
    mine = [boat.vessel_id for boat in fleet.boats if boat.base == RIVER]
    numbers = [(template.format(boat.removeprefix("V").lstrip("0")), boat) for boat in mine for template in BOAT_WORDS]
    lines = ["# Headings and words of this fleet's own, as its records use them.", "", "[words.component]"]
    lines += [f'"{word}" = "{code}"' for word, code in YARD_WORDS.items()]
    lines += ["", '[file."wellick_mouth_call_log*"]', 'as = "rescue_calls"', 'date_order = "day first"', ""]
    lines += ['[file."wellick_mouth_call_log*".columns]', *[f'"{heading}" = "{column}"' for column, heading in CALL_LOG.items()]]
    lines += ["", '[file."wellick_mouth_call_log*".words.vessel_id]']
    lines += [f'"{word}" = "{boat}"' for word, boat in numbers if not word.startswith("No.")]
    return "\n".join(lines) + "\n"


def _copied(book: pl.DataFrame, chance: Chance) -> pl.Series:
    """Copy a few readings from the line before, as happens when nobody went aboard to look."""
    lazy = pl.Series(chance.whether(len(book), COPIED), dtype=pl.Boolean) & (book["engine_id"] == book["engine_id"].shift(1))
    return book.select(pl.when(lazy).then(pl.col("meter_h").shift(1)).otherwise(pl.col("meter_h")).alias("meter_h"))["meter_h"]


def _write_readings(book: pl.DataFrame, fleet: Fleet, seed: int, folder: Path) -> None:
    """Write one file a base; the lake writes decimal commas, semicolons and the day first."""
    chance = Chance(seed, "messy readings")
    book = book.with_columns(misread(_copied(book, chance), chance, 0.0))
    base = pl.Series([fleet.boats[at].base for at in book[".boat"]], dtype=pl.String)
    for name in BASES:
        mine, stem = book.filter(base == name), name.lower().replace(" ", "_")
        if name == LAKE:
            mine = day_first(decimal_commas(mine, ("meter_h", "old_meter_h")), ("read_on",))
        write_csv(mine, folder / f"{stem}_hour_readings.csv", separator=";" if name == LAKE else ",")
