"""The words of the `towless` command: verbs, options, and help that says what happens and what stays untouched.

In: nothing. Out: `parser`. Elsewhere: what the verbs do (`verbs`).
"""

import argparse
import os
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from pipelines.command import options, record_options, record_verbs, verbs

Add = Callable[[argparse.ArgumentParser], None]


@dataclass(frozen=True)
class Verb:
    """One verb: what happens, what stays untouched, a line to try, and the options it takes."""

    name: str
    happens: str
    untouched: str
    try_it: str
    run: Callable[[argparse.Namespace], int]
    options: tuple[Add, ...] = ()


VERBS = (
    Verb(
        "demo",
        "Makes a ledger from the sample fleet, prints its rescue calls by cause and the verdict for every part, then opens the dashboard.",
        "A ledger that holds other records is refused and stays as it is.",
        "towless demo --no-serve",
        record_verbs.demo,
        (record_options.demo, record_options.serve),
    ),
    Verb(
        "intake",
        "Checks every record in the files and adds the sound ones to the ledger. "
        "Rows with a fault are left out and listed with their reason.",
        "Your files are only read. Rows that are already in are not taken twice; if anything fails the ledger is as it was.",
        "towless intake records/ --ledger fleet.duckdb",
        record_verbs.intake,
        (record_options.paths, options.output_format),
    ),
    Verb(
        "records",
        "Shows what the ledger holds: rows in = accepted + repeated + superseded + left out, by kind; imports; words waiting to be coded.",
        "Nothing is changed unless --same, --not-same, --settle or --confirm says something; that is kept beside the records, which stay.",
        "towless records --pairs",
        record_verbs.records,
        (record_options.finding, record_options.pairs, record_options.coding, record_options.history, options.output_format),
    ),
    Verb(
        "week",
        "Tells the week in the morning: boats that should stay tied up, what is overdue and due soon, the calls that came in, alarms, what "
        "runs out on the shelf, and what waits for a person.",
        "Nothing is changed.",
        "towless week --base 'Eelgrass Quay'",
        verbs.week,
        (options.scope, options.output_format),
    ),
    Verb(
        "rates",
        "Counts rescue calls or failures by cause, base, model and more, per 1,000 engine hours with exact limits.",
        "Nothing is changed. Without hours there is no rate; an unknown cause stays unknown.",
        "towless rates --by cause --since 2025-04-01",
        verbs.rates,
        (options.rates, options.scope, options.level, options.output_format),
    ),
    Verb(
        "lives",
        "Lists every life: one stay of one part in one position, with its age, how it ended and the rows it came from.",
        "Nothing is changed.",
        "towless lives --component 'drive belt' --format csv",
        verbs.lives,
        (options.scope, options.output_format),
    ),
    Verb(
        "fits",
        "Fits how long parts last: Weibull by maximum likelihood with profile limits, and what is believed after prior and data.",
        "Nothing is changed.",
        "towless fits --by model --clock hours",
        verbs.fits,
        (options.fits, options.groups, options.scope, options.level, options.output_format),
    ),
    Verb(
        "intervals",
        "Says for each part how often to renew it, with the range the data support, the saving with limits and the reason in a sentence.",
        "Nothing is changed unless --adopt makes an interval the fleet's plan; then a row is added to the plan and the old one stays.",
        "towless intervals --component 'raw-water pump impeller'",
        verbs.intervals,
        (options.intervals, options.groups, options.scope, options.output_format),
    ),
    Verb(
        "due",
        "Lists what is overdue and what falls due, by the adopted plan or the maker's limits, why, and with its caution; which boats "
        "should stay tied up until a person has looked; and the yard's weeks. With --visits it lays the jobs onto visits, with "
        "--spare-boats it tells how many spare boats each month needs.",
        "Nothing is changed unless --put-off puts a task off, in your name, until a day; `intake --undo` takes that back.",
        "towless due --within 30d --hours-a-week 60",
        verbs.due,
        (options.due, options.putting_off, options.visits, options.scope, options.output_format),
    ),
    Verb(
        "stock",
        "Says for each part on the shelf what will be used, when to order and how much, and the chance of running out. "
        "With --ordered, --received or --counted it first writes down what was done to the shelf; with --kit it tells what boats carry.",
        "Nothing is changed unless something was ordered, received or counted; what stood there before is kept and can be brought back.",
        "towless stock --horizon 120d --service-level 0.95",
        verbs.stock,
        (options.stock, options.kit, options.shelf, options.scope, options.output_format),
    ),
    Verb(
        "likely",
        "Ranks the likely causes of a call from one boat, from the fleet's calls, the season and the age of that boat's own parts, "
        "with what to check first and what to bring.",
        "Nothing is changed. Causes that never came to light stay apart as unknown; nobody is told to do what needs a technician.",
        "towless likely --boat V12 --symptom overheats",
        verbs.likely,
        (options.likely, options.output_format),
    ),
    Verb(
        "backtest",
        "Foretells each past season from what was known before it, by part and base with 90 % ranges, and marks it against what came: "
        "coverage, calibration, log score, what the advice would have cost, what adopted intervals changed. Some seconds a season. "
        "With --next the season that comes is foretold; --keep keeps that forecast, to be marked when the season is over.",
        "Nothing is changed, but --keep writes the forecast down; a kept forecast is never changed.",
        "towless backtest --since 2024-01-01",
        verbs.backtest,
        (options.backtest, options.scope, options.output_format),
    ),
    Verb(
        "print",
        "Writes a paper as a PDF: job cards, inspection sheets, pick list, boat cards, crew briefing, season report, intervals to sign, "
        "order list, shelf list, kit list; the last three also as a table for a spreadsheet (.xlsx, .csv).",
        "The ledger is only read; a file that is already there is refused.",
        "towless print job-cards cards.pdf --within 14d",
        verbs.print_,
        (options.paper, options.stock, options.kit_limits, options.scope),
    ),
    Verb(
        "export",
        "Writes the figures as a data package: CSV tables of rates, lives, fits, verdicts, what is due, stock, forecasts and what is left "
        "out, a dictionary of every column, and scripts in Python and R that make the main figures again.",
        "The ledger is only read. A folder that holds anything is refused, and nothing is half-written.",
        "towless export figures/ --as xlsx parquet",
        verbs.export,
        (options.one_folder, options.forms, options.scope),
    ),
    Verb(
        "serve",
        "Opens the dashboard on this machine.",
        "Nothing leaves this machine, and nothing outside it can connect unless you name another host.",
        "towless serve --port 8501",
        record_verbs.serve,
        (record_options.serve,),
    ),
    Verb(
        "backup",
        "Writes a whole, checked copy of the ledger.",
        "The ledger is only read; a file that is already there is refused.",
        "towless backup fleet-2026-11.duckdb",
        record_verbs.backup,
        (record_options.one_file,),
    ),
    Verb(
        "restore",
        "Puts a copy made by `backup` back in the ledger's place, after checking it.",
        "The ledger that was there is kept beside it under another name.",
        "towless restore fleet-2026-11.duckdb",
        record_verbs.restore,
        (record_options.one_file,),
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
