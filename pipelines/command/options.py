"""The options of the verbs that tell figures, each with its help; what several verbs take stands here once.

In: a parser of one verb. Out: options added to it.
Elsewhere: options of records (`record_options`), how a word is read (`words_read`), which verb takes which (`parser`).
"""

import argparse
from pathlib import Path

from pipelines.command.words_read import columns, days, iso_day, not_negative, positive, share
from pipelines.exports.frames import FORMS
from pipelines.terms.papers import PAPERS, SIZES, TABLE_FORMS

_TABLES = ", ".join(name for name, paper in PAPERS.items() if paper.as_table)
_ENDINGS = f"the file to write, as PDF; {_TABLES} also as {' or '.join(f'.{form}' for form in TABLE_FORMS)}, by its ending"
RATE_GROUPS = ("cause", "system", "symptom", "component", "remedy", "class", "base", "model", "vessel", "month")


def output_format(verb: argparse.ArgumentParser) -> None:
    """Add how the answer is written."""
    verb.add_argument(
        "--format", choices=("table", "csv", "json"), default="table", help="table to read, csv, or json (one object, nothing else)"
    )


def scope(verb: argparse.ArgumentParser) -> None:
    """Add which part of the fleet and of time."""
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


def level(verb: argparse.ArgumentParser) -> None:
    """Add confidence level."""
    verb.add_argument("--level", type=share, help="confidence level of the limits; default 0.95")


def rates(verb: argparse.ArgumentParser) -> None:
    """Add what rates are made of."""
    verb.add_argument("--by", type=str.lower, choices=RATE_GROUPS, default="cause", help="what the rows are; default cause")
    verb.add_argument("--of", choices=("calls", "failures"), default="calls", help="rescue calls, or failures of parts")
    verb.add_argument(
        "--compare", nargs=2, metavar="ROW", help="the ratio of the rates of two rows, with exact limits (key `ratio` of json)"
    )


def groups(verb: argparse.ArgumentParser) -> None:
    """Add what rows are grouped by."""
    verb.add_argument(
        "--by",
        type=columns,
        default=(),
        metavar="COLUMN[,COLUMN]",
        help="model, water, base, class or any column of your boats and engines",
    )


def fits(verb: argparse.ArgumentParser) -> None:
    """Add what is fitted."""
    verb.add_argument("--clock", choices=("hours", "months"), default="hours", help="age in engine hours or in months; default hours")
    verb.add_argument("--lives", type=Path, metavar="FILE", help="fit a table of lives from outside (CSV or Parquet); no ledger is read")


def intervals(verb: argparse.ArgumentParser) -> None:
    """Add what-ifs and adoption."""
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


def due(verb: argparse.ArgumentParser) -> None:
    """Add how far ahead, the yard's hours, and the calendar."""
    verb.add_argument("--within", type=days, default=30, metavar="DAYS", help="look this far ahead, such as 30d; default 30d")
    verb.add_argument(
        "--next-visit",
        type=days,
        metavar="DAYS",
        help="days until the yard next sees the boats, for the chance of failing; default --within",
    )
    verb.add_argument(
        "--hours-a-week", type=positive, metavar="H", help="hours of labour the yard has in a week; tasks are laid into weeks of so many"
    )
    verb.add_argument("--calendar", type=Path, metavar="FILE.ics", help="write the due dates (with --visits the visits) as a calendar file")


def visits(verb: argparse.ArgumentParser) -> None:
    """Add visits that jobs share, and spare boats."""
    verb.add_argument(
        "--visits", action="store_true", help="lay the jobs of each boat onto visits: day, jobs, why, and what sharing a visit saves"
    )
    verb.add_argument(
        "--visit-cost", type=positive, metavar="MONEY", help="with --visits: what a visit costs, in place of what is recorded"
    )
    verb.add_argument(
        "--visit-window", type=days, metavar="DAYS", help="with --visits: put jobs together that fall due within so many days, not by cost"
    )
    verb.add_argument(
        "--spare-boats", action="store_true", help="boats down at once in each of the next twelve months, and the spare boats they need"
    )
    verb.add_argument(
        "--service-level",
        type=share,
        dest="enough_boats",
        metavar="SHARE",
        help="with --spare-boats: wanted chance that they replace every boat that is down; default 0.95",
    )


def putting_off(verb: argparse.ArgumentParser) -> None:
    """Add putting a task off, and what was put off."""
    verb.add_argument(
        "--put-off", metavar="COMPONENT", help="put a task off --until DATE; needs --boat or --engine, --put-off-by NAME and --because TEXT"
    )
    verb.add_argument("--boat", default="", metavar="VESSEL", help="with --put-off: the boat's number, or its name")
    verb.add_argument("--engine", default="", metavar="ENGINE", help="with --put-off: the engine")
    verb.add_argument("--position", default="", help="with --put-off: which of several like parts")
    verb.add_argument(
        "--task", default="", choices=("", "renew", "inspect", "test"), help="with --put-off: which task, where there are several"
    )
    verb.add_argument(
        "--until-h", type=positive, metavar="H", help="with --put-off: or until the part is so many engine hours old, if sooner"
    )
    verb.add_argument("--put-off-by", default="", metavar="NAME", help="who puts it off")
    verb.add_argument("--because", default="", metavar="TEXT", help="why; kept with it, and told in the list")
    verb.add_argument(
        "--put-offs", action="store_true", help="list what was ever put off: who, when, why, until when, and what became of it"
    )


def stock(verb: argparse.ArgumentParser) -> None:
    """Add season, service level and budget."""
    verb.add_argument("--horizon", type=days, metavar="DAYS", help="season to stock for, such as 120d; default 120d")
    verb.add_argument(
        "--service-level", type=share, metavar="SHARE", help="wanted chance of not running out over the lead time; default 0.95"
    )
    verb.add_argument("--budget", type=positive, metavar="MONEY", help="the best list this much money buys")


def kit(verb: argparse.ArgumentParser) -> None:
    """Add the kit that each type of boat carries."""
    verb.add_argument("--kit", action="store_true", help="instead: the spares and aids that each type of boat should carry")
    kit_limits(verb)


def shelf(verb: argparse.ArgumentParser) -> None:
    """Add what was done to the shelf."""
    pair = ("PART", "N")
    verb.add_argument("--ordered", nargs=2, action="append", default=[], metavar=pair, help="write down that N pieces were ordered")
    verb.add_argument("--received", nargs=2, action="append", default=[], metavar=pair, help="write down that N ordered pieces have come")
    verb.add_argument("--counted", nargs=2, action="append", default=[], metavar=pair, help="write down that N pieces lie on the shelf")
    verb.add_argument("--by", dest="done_by", default="", metavar="NAME", help="who ordered, received or counted; needed with each")
    verb.add_argument("--because", default="", metavar="TEXT", help="why, kept with it")


def kit_limits(verb: argparse.ArgumentParser) -> None:
    """Add what the kit of one boat may cost and weigh."""
    verb.add_argument("--kit-budget", type=not_negative, metavar="MONEY", help="money for the kit of one boat")
    verb.add_argument("--kit-weight", type=not_negative, metavar="KG", help="the most that the kit of one boat may weigh")


def one_folder(verb: argparse.ArgumentParser) -> None:
    """Add a folder to write into."""
    verb.add_argument("folder", type=Path, metavar="DIR", help="folder to write into; made if it is not there")


def forms(verb: argparse.ArgumentParser) -> None:
    """Add what stands beside the CSV tables."""
    verb.add_argument(
        "--as",
        dest="forms",
        nargs="+",
        choices=FORMS,
        default=("csv", "parquet"),
        help="what the tables are written as; CSV is always there, xlsx is one workbook; default csv parquet",
    )


def likely(verb: argparse.ArgumentParser) -> None:
    """Add the boat and what the caller says."""
    verb.add_argument("--boat", required=True, metavar="VESSEL", help="the boat's number, or its name")
    verb.add_argument("--symptom", required=True, metavar="WORD", help="what the caller says, such as overheats or 'no crank'")
    verb.add_argument("--on", type=iso_day, metavar="DATE", help="day of the call; default: the last day in the records")
    verb.add_argument("--as-of", type=iso_day, metavar="DATE", help="know nothing after this day; default: the last date in the records")


def backtest(verb: argparse.ArgumentParser) -> None:
    """Add the season that comes, forecasts that were kept, and alarms."""
    verb.add_argument("--next", action="store_true", help="instead: the season that comes, foretold from what is known now")
    verb.add_argument("--keep", action="store_true", help="keep that forecast in the ledger, to be marked when the season is over")
    verb.add_argument("--kept-by", default="", metavar="NAME", help="who keeps it")
    verb.add_argument("--kept", action="store_true", help="instead: every forecast that was kept, and what came of it")
    verb.add_argument(
        "--alarms",
        action="store_true",
        help="instead: what runs above its forecast now, batches and fitters with early failures, engines whose hours stand still",
    )


def paper(verb: argparse.ArgumentParser) -> None:
    """Add which paper, and for what."""
    told = "; ".join(f"{name}: {paper.purpose}" for name, paper in PAPERS.items())
    verb.add_argument("paper", choices=tuple(PAPERS), metavar="PAPER", help=told)
    verb.add_argument("file", type=Path, metavar="FILE.pdf", help=_ENDINGS)
    verb.add_argument("--size", choices=tuple(SIZES), default="a4", help="sheet of paper; default a4")
    verb.add_argument("--boat", default="", metavar="VESSEL", help="only this boat")
    verb.add_argument("--within", type=days, default=30, metavar="DAYS", help="work due so far ahead, such as 30d; default 30d")
