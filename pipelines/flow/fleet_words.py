"""What a word means to a fleet, as a person types it: a filter, a code they settle on, the words a list knows.

In: a published copy and a word. Out: its code, by the same order in which the words of records are coded.
Elsewhere: coding the records themselves (`intake.coding`, `building`), what waits for a person (`coding_queue`).
"""

from collections.abc import Sequence
from dataclasses import replace
from difflib import get_close_matches

import polars as pl

from pipelines.errors import UnknownWord
from pipelines.flow.sources import KNOWN_WORDS, Source
from pipelines.intake.coding import COMPONENT, NEAR_MISS, OWN_WORD, SETTLED, coded
from pipelines.intake.mapping import Mapping, mapping_from
from pipelines.intake.names import fold
from pipelines.terms.causes import UNCODED
from pipelines.terms.codes import CODE_LISTS
from pipelines.terms.scope import Scope

LAST_MAPPING = "select mapping from about.imports where undone_at is null and mapping is not null order by import_id desc limit 1"
NO_COMPONENTS = pl.DataFrame(schema={"component": pl.String})
FIELDS = {"base": "base", "vessel_class": "vessel_class", "engine_model": "model"}
"""{column of a filter: its field of `Scope`}."""
SHOWN = 12


def meanings(copy: Source, code_list: str, words: Sequence[str]) -> pl.DataFrame:
    """Say what words mean to the fleet: `list`, `word`, `code`, `how`, one row a word, `uncoded` where nobody knows."""
    known = copy.frame("select list, word, code, how from accepted.words")
    own = known.filter(pl.col("how") == OWN_WORD)["word"].to_list() if code_list == COMPONENT else []
    asked = pl.DataFrame(
        [(code_list, word, "asked") for word in words] + [(code_list, word, "components") for word in own],
        schema={"list": pl.String, "word": pl.String, "kind": pl.String},
        orient="row",
    )
    settled = known.filter(pl.col("how") == SETTLED).select("list", "word", "code")
    told = coded(asked, NO_COMPONENTS, settled, _mapping(copy)).words
    return told.filter(pl.col("list") == code_list, pl.col("word").is_in(list(words)))


def code_of(copy: Source, code_list: str, word: str) -> str:
    """Return the code a word stands for: a code, a trade word, a word of the fleet's mapping or one that a person settled.

    Raises
    ------
    UnknownWord
        If there is no such list, or the list does not know the word; with the nearest words it knows.
    """
    if code_list not in CODE_LISTS:
        raise UnknownWord(f"{code_list!r}: there is no such list of words. Lists: {', '.join(CODE_LISTS)}.")
    meant = meanings(copy, code_list, [word.strip()])
    code, how = meant.select("code", "how").row(0)
    if code == UNCODED or how == NEAR_MISS:
        raise UnknownWord(_unknown(copy, code_list, word))
    return code


def words_known(copy: Source, code_list: str = "") -> pl.DataFrame:
    """List what coded columns may hold.

    Returns
    -------
    pl.DataFrame
        `list`, `code`, `words` (other ways of writing it, `;` between), `rows_written` (distinct ways the records write it); one row a
        code, the fleet's own parts included.
    """
    if code_list and code_list not in CODE_LISTS:
        raise UnknownWord(f"{code_list!r}: there is no such list of words. Lists: {', '.join(CODE_LISTS)}.")
    built_in = [(name, code, word) for name, codes in CODE_LISTS.items() for code, words in codes.items() for word in (code, *words)]
    parts = copy.frame("select component as code from accepted.catalogue")["code"].to_list()
    components = {
        word: code for word, code in meanings(copy, COMPONENT, [w for n, _, w in built_in if n == COMPONENT]).select("word", "code").rows()
    }
    trade = [(name, components.get(word, code) if name == COMPONENT else code, word) for name, code, word in built_in]
    trade += [(COMPONENT, code, code) for code in parts]
    schema = {"list": pl.String, "code": pl.String, "word": pl.String}
    written = copy.frame("select list, code, word from accepted.words where code <> 'uncoded'")
    both = pl.concat([pl.DataFrame(trade, schema=schema, orient="row"), written], how="vertical").unique(maintain_order=True)
    other = pl.col("word").filter(pl.col("word") != pl.col("code")).str.join("; ")
    told = both.group_by("list", "code", maintain_order=True).agg(words=other)
    return told.filter(pl.col("list") == code_list) if code_list else told


def understood(copy: Source, scope: Scope) -> Scope:
    """Put the filters a person typed into the words of the records: a part's trade or mapped word, and names whatever their case.

    A word that nothing knows stays as it is, so that whoever answers refuses it with the nearest.
    """
    named = {FIELDS[column]: _as_recorded(copy, column, word) for column, word in scope.columns.items() if column in FIELDS}
    if scope.component:
        named["component"] = _component(copy, scope.component)
    return replace(scope, **named)


def _component(copy: Source, word: str) -> str:
    code, how = meanings(copy, COMPONENT, [word]).select("code", "how").row(0)
    return word if code == UNCODED or how == NEAR_MISS else code


def _as_recorded(copy: Source, column: str, word: str) -> str:
    known = copy.frame(KNOWN_WORDS[column])["word"].drop_nulls().to_list()
    alike = [other for other in known if fold(other) == fold(word)]
    return alike[0] if word not in known and len(alike) == 1 else word


def _mapping(copy: Source) -> Mapping:
    kept = copy.frame(LAST_MAPPING)
    return mapping_from(kept.item()) if kept.height else Mapping()


def _unknown(copy: Source, code_list: str, word: str) -> str:
    codes = words_known(copy, code_list)["code"].to_list()
    near = get_close_matches(word.lower(), codes, n=3, cutoff=0.4)
    told = f"The nearest: {', '.join(near)}." if near else f"It knows {', '.join(codes[:SHOWN])}{' …' if len(codes) > SHOWN else ''}."
    own = " A part of your own is named by a row of `components`." if code_list == COMPONENT else ""
    return f"{word!r}: the list {code_list} does not know it. {told} All of them: towless records --words {code_list}.{own}"
