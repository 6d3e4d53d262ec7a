"""The options of the verbs of records: what is taken in and how, what is looked up and settled, how the dashboard is served.

In: a parser of one verb. Out: options added to it, each with its help.
Elsewhere: options of figures (`options`), which verb takes which (`parser`), what it does with them (`record_verbs`).
"""

import argparse
from pathlib import Path

from pipelines.terms.tables import RECORD_KINDS


def paths(verb: argparse.ArgumentParser) -> None:
    """Add what is taken in and how."""
    verb.add_argument("paths", nargs="*", metavar="PATH", help="a file, a folder or a pattern such as 'logs/*.csv'")
    verb.add_argument("--as", dest="kind", choices=sorted(RECORD_KINDS), metavar="KIND", help="take every file as this kind of record")
    verb.add_argument("--map", type=Path, metavar="FILE", help="a mapping: your columns, words and date forms (TOML)")
    verb.add_argument("--strict", action="store_true", help="take in nothing if any row would be left out")
    verb.add_argument("--left-out", type=Path, metavar="FILE", help="write the rows left out, with their reasons, to this CSV file")
    verb.add_argument("--look-over", action="store_true", help="show what the files would come to, column by column; nothing is taken in")
    verb.add_argument("--undo", type=int, metavar="IMPORT", help="take an import out again, by its number (see `towless records`)")
    verb.add_argument(
        "--suggest-map", type=Path, metavar="FILE", help="read this file and print a first mapping for it; nothing is taken in"
    )
    verb.add_argument("--taken-in-by", default="", metavar="NAME", help="who takes them in (or undoes), kept with the import")


def pairs(verb: argparse.ArgumentParser) -> None:
    """Add doubtful pairs of call and ticket."""
    pair = ("CALL", "TICKET")
    verb.add_argument("--pairs", action="store_true", help="list calls and ticket lines that may be one breakdown and wait for a person")
    verb.add_argument("--same", nargs=2, metavar=pair, help="say that a call and a ticket line (id, id/line or row) are one breakdown")
    verb.add_argument("--not-same", nargs=2, metavar=pair, help="say that they are not; they are never matched again")
    verb.add_argument(
        "--by", dest="settled_by", default="", metavar="NAME", help="who says so; needed with --same, --not-same, --settle and --confirm"
    )
    verb.add_argument("--because", default="", metavar="TEXT", help="why, kept with it")


def coding(verb: argparse.ArgumentParser) -> None:
    """Add words and rows that wait for a code."""
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


def history(verb: argparse.ArgumentParser) -> None:
    """Add the versions of one row."""
    verb.add_argument(
        "--history",
        nargs=2,
        metavar=("KIND", "ID"),
        help="every version of a row by its id (a ticket line: TICKET/LINE): who sent it, when, in which file, and what became of it",
    )
    verb.add_argument("--row", type=int, metavar="N", help="the same by a row's number")


def finding(verb: argparse.ArgumentParser) -> None:
    """Add words to look for."""
    verb.add_argument(
        "--find",
        metavar="WORDS",
        help="what goes by some words: a boat (number, name, old name, a column of your own), an engine, a part, a ticket, a call, a note",
    )


def demo(verb: argparse.ArgumentParser) -> None:
    """Add whether the dashboard opens."""
    verb.add_argument("--no-serve", action="store_true", help="stop after printing; do not open the dashboard")


def serve(verb: argparse.ArgumentParser) -> None:
    """Add where the dashboard listens."""
    verb.add_argument("--host", default="127.0.0.1", help="address to listen on; default 127.0.0.1, this machine only")
    verb.add_argument("--port", type=int, default=8501, help="port; default 8501")
    verb.add_argument(
        "--sign-in", type=Path, metavar="FILE", help="ask who is there at your organisation's OpenID Connect provider; with roles (README)"
    )


def one_file(verb: argparse.ArgumentParser) -> None:
    """Add a file."""
    verb.add_argument("file", type=Path, metavar="FILE", help="the copy")
