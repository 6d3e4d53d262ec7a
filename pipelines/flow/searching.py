"""Finding a boat, an engine, a part, a ticket or a call by what somebody types.

In: a published copy, words. Out: `Answer`, one row a thing found, the nearest of each sort first.
Nothing is guessed: only where nothing goes by the words at all is a slip of the pen in a boat's name or a part's word taken for the one
word it is near, and then it is said.
Elsewhere: near words (`intake.near_miss`), what words mean to a fleet (`fleet_words`).
"""

import polars as pl

from pipelines.errors import WrongInput
from pipelines.exports.answer import Answer
from pipelines.flow.fleet_words import words_known
from pipelines.flow.queries import query
from pipelines.flow.sources import day_of
from pipelines.intake.coding import COMPONENT
from pipelines.intake.names import fold
from pipelines.intake.near_miss import NearMisses
from pipelines.ledger.reading import Published
from pipelines.terms.answers import names_of
from pipelines.terms.scope import Scope
from pipelines.terms.settings import Settings

MOST_OF_A_SORT = 8
LONGEST = 200
NAMES = "select name from accepted.vessels where name is not null union select name from about.former_names"


def find(copy: Published, scope: Scope, settings: Settings, words: str) -> Answer:  # noqa: ARG001
    """Find what goes by some words, whatever their case, accents and punctuation; each must begin a word of what it meets.

    Parameters
    ----------
    words
        A boat's id, name, former name or a word of a column of the fleet's own; an engine's id; a part's code, trade word or stock
        number; a ticket's or call's id or words of its note. At most 200 characters are looked at.

    Returns
    -------
    Answer
        Columns of `find`, at most eight rows a sort. Beside them `searched` (the words it was found by), `near` (the near word that was
        taken instead; empty: none) and `counts` ({sort: how many there are}).

    Raises
    ------
    WrongInput
        If no letter or digit is given.
    """
    asked = " ".join(words.split())[:LONGEST]
    if not any(sign.isalnum() for sign in asked):
        raise WrongInput("nothing to look for: give a boat, an engine, a part, a ticket, a call, or a word of a note")
    told = _part_words(copy)
    rows, near = _found(copy, asked, told), ""
    if rows.is_empty() and (near := _near(copy, asked, told)):
        rows = _found(copy, near, told).with_columns(pl.lit(f"near word: {near}").alias("met_by"))
    counts = dict(rows.select("found", "of_sort").unique(maintain_order=True).iter_rows())
    head = {"as_of": day_of(copy), "ledger_version": copy.version, "records": sum(counts.values()), "left_out": 0}
    return Answer(head, rows.select(names_of("find")), {"searched": near or asked, "near": near, "counts": counts})


def _part_words(copy: Published) -> pl.DataFrame:
    """Return every word that leads to a part: `code`, `word`."""
    known = words_known(copy, COMPONENT).select("code", word=pl.col("words").str.split("; "))
    own = known.select("code", word="code")
    return pl.concat([own, known.explode("word").filter(pl.col("word") != "")]).unique(maintain_order=True)


def _found(copy: Published, words: str, told: pl.DataFrame) -> pl.DataFrame:
    parts = told.to_dict(as_series=False)
    return copy.frame(query("find"), {"words": words, "most": MOST_OF_A_SORT, "codes": parts["code"], "part_words": parts["word"]})


def _near(copy: Published, words: str, told: pl.DataFrame) -> str:
    """Return the one name of a boat or word of a part that the words are a slip of; empty: none, or several."""
    names = {fold(name): name for name in copy.frame(NAMES)["name"]}
    codes = {fold(word): code for code, word in told.iter_rows()}
    return NearMisses(names | codes).code_of(fold(words))
