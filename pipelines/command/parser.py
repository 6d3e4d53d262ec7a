"""The words of the `towless` command: verbs, options, and help that says what happens and what stays untouched.

In: nothing. Out: `parser`. Elsewhere: what the verbs do (`verbs`).
"""

import argparse
import os
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from pipelines.command import verbs
from pipelines.terms.papers import PAPERS, SIZES
from pipelines.terms.tables import RECORD_KINDS

Add = Callable[[argparse.ArgumentParser], None]

RATE_GROUPS = ("cause", "system", "symptom", "component", "remedy", "class", "base", "model", "vessel", "month")


@dataclass(frozen=True)
class Verb:
    """One verb: what happens, what stays untouched, a line to try, and the options it takes."""

    name: str
    happens: str
    untouched: str
    try_it: str
    run: Callable[[argparse.Namespace], int]
    options: tuple[Add, ...] = ()


def iso_day(word: str) -> date:
    """Read an ISO 8601 day."""
    try:
        return date.fromisoformat(word)
    except ValueError:
        raise argparse.ArgumentTypeError(f"{word!r} is not a day; write it like 2026-07-14") from None


def days(word: str) -> int:
    """Read a stretch of days such as `30d` or `30`, 1 or more."""
    figure = word.removesuffix("d")
    if not figure.isdigit() or int(figure) < 1:
        raise argparse.ArgumentTypeError(f"{word!r} is not a number of days; write it like 30d")
    return int(figure)


def share(word: str) -> float:
    """Read a share above 0 and below 1."""
    try:
        value = float(word)
    except ValueError:
        value = 0.0
    if not 0 < value < 1:
        raise argparse.ArgumentTypeError(f"{word!r} is not a share between 0 and 1; write it like 0.95")
    return value


def positive(word: str) -> float:
    """Read a number above 0."""
    try:
        value = float(word)
    except ValueError:
        value = 0.0
    if not 0 < value < float("inf"):
        raise argparse.ArgumentTypeError(f"{word!r} is not a number above 0")
    return value


def columns(word: str) -> tuple[str, ...]:
    """Read column names with commas between, whatever their case."""
    return tuple(dict.fromkeys(name.strip().lower() for name in word.split(",") if name.strip()))


def _format(verb: argparse.ArgumentParser) -> None:
    verb.add_argument(
        "--format", choices=("table", "csv", "json"), default="table", help="table to read, csv, or json (one object, nothing else)"
    )


def _scope(verb: argparse.ArgumentParser) -> None:
    verb.add_argument("--base", default="", help="only this base")
    verb.add_argument("--class", dest="vessel_class", default="", help="only this class of boat")
    verb.add_argument("--model", default="", help="only this engine model")
    verb.add_argument("--component", default="", help="only this component: its name, a trade word or one of your own words")
    verb.add_argument("--since", type=iso_day, metavar="DATE", help="only from this day on")
    verb.add_argument("--until", type=iso_day, metavar="DATE", help="only up to this day")
    verb.add_argument(
        "--as-of",
        type=iso_day,
        metavar="DATE",
        help="know nothing after this day; default: the last date in the records. A later day tells what is due or used up then",
    )


def _level(verb: argparse.ArgumentParser) -> None:
    verb.add_argument("--level", type=share, help="confidence level of the limits; default 0.95")


def _paths(verb: argparse.ArgumentParser) -> None:
    verb.add_argument("paths", nargs="*", metavar="PATH", help="a file, a folder or a pattern such as 'logs/*.csv'")
    verb.add_argument("--as", dest="kind", choices=sorted(RECORD_KINDS), metavar="KIND", help="take every file as this kind of record")
    verb.add_argument("--map", type=Path, metavar="FILE", help="a mapping: your columns, words and date forms (TOML)")
    verb.add_argument("--strict", action="store_true", help="take in nothing if any row would be left out")
    verb.add_argument("--left-out", type=Path, metavar="FILE", help="write the rows left out, with their reasons, to this CSV file")
    verb.add_argument("--undo", type=int, metavar="IMPORT", help="take an import out again, by its number (see `towless records`)")
    verb.add_argument(
        "--suggest-map", type=Path, metavar="FILE", help="read this file and print a first mapping for it; nothing is taken in"
    )
    verb.add_argument("--taken-in-by", default="", metavar="NAME", help="who takes them in (or undoes), kept with the import")


def _pairs(verb: argparse.ArgumentParser) -> None:
    pair = ("CALL", "TICKET")
    verb.add_argument("--pairs", action="store_true", help="list calls and ticket lines that may be one breakdown and wait for a person")
    verb.add_argument("--same", nargs=2, metavar=pair, help="say that a call and a ticket line (id, id/line or row) are one breakdown")
    verb.add_argument("--not-same", nargs=2, metavar=pair, help="say that they are not; they are never matched again")
    verb.add_argument(
        "--by", dest="settled_by", default="", metavar="NAME", help="who says so; needed with --same, --not-same, --settle and --confirm"
    )
    verb.add_argument("--because", default="", metavar="TEXT", help="why, kept with it")


def _coding(verb: argparse.ArgumentParser) -> None:
    verb.add_argument(
        "--queue", action="store_true", help="list codes suggested for rows that came without one; they count nowhere until confirmed"
    )
    verb.add_argument(
        "--words", nargs="?", const="", metavar="LIST", help="list the codes of a list (component, cause, symptom …) and the words for each"
    )
    verb.add_argument("--settle", nargs=3, metavar=("LIST", "WORD", "CODE"), help="say what a word means, for every row that holds it")
    verb.add_argument(
        "--confirm", nargs=3, metavar=("ROW", "COLUMN", "CODE"), help="give one row that came without it a code; '' takes it back"
    )


def _history(verb: argparse.ArgumentParser) -> None:
    verb.add_argument(
        "--history",
        nargs=2,
        metavar=("KIND", "ID"),
        help="every version of a row by its id (a ticket line: TICKET/LINE): who sent it, when, in which file, and what became of it",
    )
    verb.add_argument("--row", type=int, metavar="N", help="the same by a row's number")


def _rates(verb: argparse.ArgumentParser) -> None:
    verb.add_argument("--by", type=str.lower, choices=RATE_GROUPS, default="cause", help="what the rows are; default cause")
    verb.add_argument("--of", choices=("calls", "failures"), default="calls", help="rescue calls, or failures of parts")
    verb.add_argument(
        "--compare", nargs=2, metavar="ROW", help="the ratio of the rates of two rows, with exact limits (key `ratio` of json)"
    )


def _groups(verb: argparse.ArgumentParser) -> None:
    verb.add_argument(
        "--by",
        type=columns,
        default=(),
        metavar="COLUMN[,COLUMN]",
        help="model, water, base, class or any column of your boats and engines",
    )


def _fits(verb: argparse.ArgumentParser) -> None:
    verb.add_argument("--clock", choices=("hours", "months"), default="hours", help="age in engine hours or in months; default hours")
    verb.add_argument("--lives", type=Path, metavar="FILE", help="fit a table of lives from outside (CSV or Parquet); no ledger is read")


def _intervals(verb: argparse.ArgumentParser) -> None:
    verb.add_argument("--costs", type=Path, metavar="FILE", help="a what-if: these costs instead of the ledger's; nothing is kept")
    verb.add_argument(
        "--adopt", nargs="+", metavar="COMPONENT", default=[], help="make the advised (or the given) interval the fleet's plan"
    )
    verb.add_argument(
        "--adopted", action="store_true", help="list what was adopted: who, when, why, on which figures, and the import that undoes it"
    )
    verb.add_argument("--every-h", type=positive, metavar="H", help="adopt this many engine hours instead of the advised")
    verb.add_argument("--every-months", type=positive, metavar="M", help="adopt this many months instead of the advised")
    verb.add_argument("--adopted-by", default="", metavar="NAME", help="who adopts it; needed with --adopt")
    verb.add_argument("--because", default="", metavar="TEXT", help="why; needed with --adopt")


def _due(verb: argparse.ArgumentParser) -> None:
    verb.add_argument("--within", type=days, default=30, metavar="DAYS", help="look this far ahead, such as 30d; default 30d")
    verb.add_argument("--calendar", type=Path, metavar="FILE.ics", help="write the due dates as a calendar file too")


def _stock(verb: argparse.ArgumentParser) -> None:
    verb.add_argument("--horizon", type=days, metavar="DAYS", help="season to stock for, such as 120d; default 120d")
    verb.add_argument(
        "--service-level", type=share, metavar="SHARE", help="wanted chance of not running out over the lead time; default 0.95"
    )
    verb.add_argument("--budget", type=positive, metavar="MONEY", help="the best list this much money buys")


def _demo(verb: argparse.ArgumentParser) -> None:
    verb.add_argument("--no-serve", action="store_true", help="stop after printing; do not open the dashboard")


def _serve(verb: argparse.ArgumentParser) -> None:
    verb.add_argument("--host", default="127.0.0.1", help="address to listen on; default 127.0.0.1, this machine only")
    verb.add_argument("--port", type=int, default=8501, help="port; default 8501")


def _folder(verb: argparse.ArgumentParser) -> None:
    verb.add_argument("folder", type=Path, metavar="DIR", help="folder to write into; made if it is not there")


def _likely(verb: argparse.ArgumentParser) -> None:
    verb.add_argument("--boat", required=True, metavar="VESSEL", help="the boat's number, or its name")
    verb.add_argument("--symptom", required=True, metavar="WORD", help="what the caller says, such as overheats or 'no crank'")
    verb.add_argument("--on", type=iso_day, metavar="DATE", help="day of the call; default: the last day in the records")
    verb.add_argument("--as-of", type=iso_day, metavar="DATE", help="know nothing after this day; default: the last date in the records")


def _backtest(verb: argparse.ArgumentParser) -> None:
    verb.add_argument(
        "--alarms",
        action="store_true",
        help="instead: what runs above its forecast now, batches and fitters with early failures, engines whose hours stand still",
    )


def _paper(verb: argparse.ArgumentParser) -> None:
    told = "; ".join(f"{name}: {paper.purpose}" for name, paper in PAPERS.items())
    verb.add_argument("paper", choices=tuple(PAPERS), metavar="PAPER", help=told)
    verb.add_argument("file", type=Path, metavar="FILE.pdf", help="the file to write")
    verb.add_argument("--size", choices=tuple(SIZES), default="a4", help="sheet of paper; default a4")
    verb.add_argument("--boat", default="", metavar="VESSEL", help="only this boat")
    verb.add_argument("--within", type=days, default=30, metavar="DAYS", help="work due so far ahead, such as 30d; default 30d")


def _file(verb: argparse.ArgumentParser) -> None:
    verb.add_argument("file", type=Path, metavar="FILE", help="the copy")


VERBS = (
    Verb(
        "demo",
        "Makes a ledger from the sample fleet, prints its rescue calls by cause and the verdict for every part, then opens the dashboard.",
        "A ledger that holds other records is refused and stays as it is.",
        "towless demo --no-serve",
        verbs.demo,
        (_demo, _serve),
    ),
    Verb(
        "intake",
        "Checks every record in the files and adds the sound ones to the ledger. "
        "Rows with a fault are left out and listed with their reason.",
        "Your files are only read. Rows that are already in are not taken twice; if anything fails the ledger is as it was.",
        "towless intake records/ --ledger fleet.duckdb",
        verbs.intake,
        (_paths, _format),
    ),
    Verb(
        "records",
        "Shows what the ledger holds: rows in = accepted + repeated + superseded + left out, by kind; imports; words waiting to be coded.",
        "Nothing is changed unless --same, --not-same, --settle or --confirm says something; that is kept beside the records, which stay.",
        "towless records --pairs",
        verbs.records,
        (_pairs, _coding, _history, _format),
    ),
    Verb(
        "rates",
        "Counts rescue calls or failures by cause, base, model and more, per 1,000 engine hours with exact limits.",
        "Nothing is changed. Without hours there is no rate; an unknown cause stays unknown.",
        "towless rates --by cause --since 2025-04-01",
        verbs.rates,
        (_rates, _scope, _level, _format),
    ),
    Verb(
        "lives",
        "Lists every life: one stay of one part in one position, with its age, how it ended and the rows it came from.",
        "Nothing is changed.",
        "towless lives --component 'drive belt' --format csv",
        verbs.lives,
        (_scope, _format),
    ),
    Verb(
        "fits",
        "Fits how long parts last: Weibull by maximum likelihood with profile limits, and what is believed after prior and data.",
        "Nothing is changed.",
        "towless fits --by model --clock hours",
        verbs.fits,
        (_fits, _groups, _scope, _level, _format),
    ),
    Verb(
        "intervals",
        "Says for each part how often to renew it, with the range the data support, the saving with limits and the reason in a sentence.",
        "Nothing is changed unless --adopt makes an interval the fleet's plan; then a row is added to the plan and the old one stays.",
        "towless intervals --component 'raw-water pump impeller'",
        verbs.intervals,
        (_intervals, _groups, _scope, _format),
    ),
    Verb(
        "due",
        "Lists what is overdue and what falls due, by the adopted plan or the maker's limits, with its caution.",
        "Nothing is changed.",
        "towless due --within 30d",
        verbs.due,
        (_due, _scope, _format),
    ),
    Verb(
        "stock",
        "Says for each part on the shelf what will be used, when to order and how much, and the chance of running out.",
        "Nothing is changed.",
        "towless stock --horizon 120d --service-level 0.95",
        verbs.stock,
        (_stock, _scope, _format),
    ),
    Verb(
        "likely",
        "Ranks the likely causes of a call from one boat, from the fleet's calls, the season and the age of that boat's own parts, "
        "with what to check first and what to bring.",
        "Nothing is changed. Causes that never came to light stay apart as unknown; nobody is told to do what needs a technician.",
        "towless likely --boat V12 --symptom overheats",
        verbs.likely,
        (_likely, _format),
    ),
    Verb(
        "backtest",
        "Foretells each past season from what was known before it, by part and base with 90 % ranges, and marks it against what came: "
        "coverage, calibration, log score, what the advice would have cost, what adopted intervals changed. Some seconds a season.",
        "Nothing is changed.",
        "towless backtest --since 2024-01-01",
        verbs.backtest,
        (_backtest, _scope, _format),
    ),
    Verb(
        "print",
        "Writes a paper as a PDF: job cards, inspection sheets, pick list, boat cards, crew briefing, season report, intervals to sign, "
        "order list, shelf list.",
        "The ledger is only read; a file that is already there is refused.",
        "towless print job-cards cards.pdf --within 14d",
        verbs.print_,
        (_paper, _scope),
    ),
    Verb(
        "export",
        "Writes the figures as CSV and Parquet tables with a dictionary of every column.",
        "The ledger is only read. A folder that holds other files is refused.",
        "towless export figures/",
        verbs.export,
        (_folder, _scope),
    ),
    Verb(
        "serve",
        "Opens the dashboard on this machine.",
        "Nothing leaves this machine, and nothing outside it can connect unless you name another host.",
        "towless serve --port 8501",
        verbs.serve,
        (_serve,),
    ),
    Verb(
        "backup",
        "Writes a whole, checked copy of the ledger.",
        "The ledger is only read; a file that is already there is refused.",
        "towless backup fleet-2026-11.duckdb",
        verbs.backup,
        (_file,),
    ),
    Verb(
        "restore",
        "Puts a copy made by `backup` back in the ledger's place, after checking it.",
        "The ledger that was there is kept beside it under another name.",
        "towless restore fleet-2026-11.duckdb",
        verbs.restore,
        (_file,),
    ),
)


def parser() -> argparse.ArgumentParser:
    """Return the parser of the whole command."""
    top = argparse.ArgumentParser(
        prog="towless",
        description="Fewer tows: from service tickets and rescue calls to how often each part is renewed, what to stock, and why.",
        epilog="Try it:  towless demo",
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    verb_parsers = top.add_subparsers(dest="verb", required=True, metavar="VERB")
    for verb in VERBS:
        _add(verb_parsers, verb)
    return top


def _add(verb_parsers: "argparse._SubParsersAction[argparse.ArgumentParser]", verb: Verb) -> None:
    made = verb_parsers.add_parser(
        verb.name,
        help=verb.happens.split(":")[0].rstrip("."),
        description=f"{verb.happens}\n{verb.untouched}",
        epilog=f"Try it:  {verb.try_it}",
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    made.add_argument(
        "--ledger",
        type=Path,
        default=_ledger_of_the_environment(),
        metavar="PATH",
        help="the ledger; default fleet.duckdb, or TOWLESS_LEDGER",
    )
    made.add_argument("--settings", type=Path, metavar="FILE", help="priors, fractions, levels, currency (TOML)")
    for add in verb.options:
        add(made)
    made.set_defaults(run=verb.run)


def _ledger_of_the_environment() -> Path | None:
    named = os.environ.get("TOWLESS_LEDGER")
    return Path(named) if named else None
