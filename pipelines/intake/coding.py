"""Words to codes: what each word of the records means, and how that is known.

In: distinct words as written, the fleet's `components` records, words that a person settled, a mapping. Out: `Vocabulary`.
In this order a word is: settled by a person; said by the mapping; a part the fleet's own records name; a built-in code or trade word; one
unique near miss of a known word, listed for review; else uncoded, for a person to settle.
Elsewhere: the parts of a fleet (`catalogue`), near misses (`near_miss`), the built-in lists (`terms.codes`).
"""

from collections.abc import Iterable
from dataclasses import dataclass

import polars as pl

from pipelines.intake.catalogue import FleetParts, cause_tree, fleet_catalogue, fleet_parts
from pipelines.intake.mapping import Mapping
from pipelines.intake.names import fold
from pipelines.intake.near_miss import NearMisses
from pipelines.terms.causes import CAUSES, UNCODED
from pipelines.terms.codes import CODE_LISTS

COMPONENT, CAUSE = "component", "cause"
NAMING_KINDS = ("components", "fitted", "costs", "limits", "plan", "parts")
"""Record kinds whose component words are known words, because the fleet made these lists itself."""

SETTLED, MAPPED, OWN_WORD, IN_CATALOGUE, NEAR_MISS = "settled", "mapping", "own word", "catalogue", "near miss"
WORDS_SCHEMA: dict[str, pl.DataType] = dict.fromkeys(("list", "word", "code", "how"), pl.String())


@dataclass(frozen=True)
class Vocabulary:
    """How a fleet's words are understood.

    Attributes
    ----------
    words
        `list`, `word` (as written), `code`, `how`: one row a list and word.
    catalogue
        Columns of `terms.vocabulary.CATALOGUE_TABLE`.
    cause_tree
        Columns of `terms.vocabulary.CAUSE_TREE`.
    """

    words: pl.DataFrame
    catalogue: pl.DataFrame
    cause_tree: pl.DataFrame


def coded(words: pl.DataFrame, components: pl.DataFrame, settled: pl.DataFrame, mapping: Mapping) -> Vocabulary:
    """Give every word of the records its code.

    Parameters
    ----------
    words
        `list` (a code list), `word` (as written), `kind` (record kind it stands in); more columns are passed over.
    components
        Accepted `components` rows, words as written.
    settled
        `list`, `word`, `code`: what people said.
    mapping
        The fleet's own words.
    """
    said = {name: _said(name, settled, mapping) for name in CODE_LISTS}
    parts = fleet_parts(_own_words(words, said[COMPONENT]))
    rows = [row for name in CODE_LISTS for row in _list_rows(name, _of_list(words, name), said[name], parts)]
    table = pl.DataFrame(rows, schema=WORDS_SCHEMA, orient="row")
    return Vocabulary(table, fleet_catalogue(parts, components, _named(table, parts)), cause_tree(parts))


def code_words(code_list: str, words: Iterable[str], parts: FleetParts | None = None) -> pl.DataFrame:
    """Give words of one list their codes by the built-in lists, and a fleet's parts if they are given: `list`, `word`, `code`, `how`."""
    rows = _list_rows(code_list, list(dict.fromkeys(words)), {}, parts or fleet_parts(()))
    return pl.DataFrame(rows, schema=WORDS_SCHEMA, orient="row")


Said = dict[str, tuple[str, str]]
"""{folded word: (our word, how)}."""


def _said(code_list: str, settled: pl.DataFrame, mapping: Mapping) -> Said:
    by_mapping = {word: (ours, MAPPED) for word, ours in mapping.words_of(code_list).items()}
    mine = settled.filter(pl.col("list") == code_list)
    return by_mapping | {fold(word): (code, SETTLED) for word, code in mine.select("word", "code").iter_rows()}


def _own_words(words: pl.DataFrame, said: Said) -> list[str]:
    """Return the words that name parts of the fleet: those of its own lists, and those its mapping and people lead other words to."""
    written = words.filter((pl.col("list") == COMPONENT) & pl.col("kind").is_in(NAMING_KINDS))["word"].unique().to_list()
    named = [word for word in written if fold(word) not in said]
    there = {fold(word) for word in named} | fleet_parts(()).known.keys()
    led_to = [ours for ours, _ in said.values() if ours != UNCODED and fold(ours) not in there]
    return named + led_to


def _of_list(words: pl.DataFrame, code_list: str) -> list[str]:
    return words.filter(pl.col("list") == code_list)["word"].unique().sort().to_list()


def _list_rows(code_list: str, words: list[str], said: Said, parts: FleetParts) -> list[tuple[str, str, str, str]]:
    known = parts.known if code_list == COMPONENT else _built_in(code_list)
    own = parts.own if code_list == COMPONENT else {}
    near = NearMisses(known)
    return [(code_list, word, *_code(fold(word), said, own, known, near)) for word in words]


def _built_in(code_list: str) -> dict[str, str]:
    return {fold(word): code for code, words in CODE_LISTS[code_list].items() for word in (code, *words)}


def _code(word: str, said: Said, own: dict[str, str], known: dict[str, str], near: NearMisses) -> tuple[str, str]:
    """Return the code of a folded word and how it is known."""
    if word in said:
        ours, how = said[word]
        return known.get(fold(ours), UNCODED), how
    if word in known:
        return known[word], OWN_WORD if word in own else IN_CATALOGUE
    code = near.code_of(word)
    return (code, NEAR_MISS) if code else (UNCODED, UNCODED)


def _named(words: pl.DataFrame, parts: FleetParts) -> set[str]:
    """Return the codes of parts that any record names, outright or by a cause."""
    codes = {name: set(words.filter(pl.col("list") == name)["code"]) for name in (COMPONENT, CAUSE)}
    by_cause = {parts.code(CAUSES[code].component) for code in codes[CAUSE] if code in CAUSES and CAUSES[code].component}
    return (codes[COMPONENT] | by_cause | set(parts.own.values())) - {UNCODED}
