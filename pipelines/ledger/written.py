"""Accepted records as they were written, and the step from words to codes.

In: a workbench with `written.<kind>`, and the code of every word. Out: `accepted.<kind>` with codes beside the words.
Elsewhere: which code a word has (`intake`), where `written` comes from (`publishing`).
"""

from collections.abc import Callable

import polars as pl

from pipelines.ledger.tables_from_terms import AS_WRITTEN, ROW_ID, accepted_columns, coded_columns, quoted
from pipelines.ledger.workbench import Workbench
from pipelines.terms.causes import UNCODED, UNKNOWN
from pipelines.terms.columns import Column
from pipelines.terms.tables import RECORD_KINDS, RecordKind

SCHEMA = "written"


def written_words(bench: Workbench) -> pl.DataFrame:
    """Return the distinct words of accepted records.

    Returns
    -------
    pl.DataFrame
        `list` (code list), `word` (as written), `kind` (record kind), `rows` (accepted rows that hold it there).
    """
    return bench.frame(f"{_over_coded_columns(_words_of)} order by list, word, kind")


def apply_codes(bench: Workbench, words: pl.DataFrame) -> None:
    """Make every `accepted.<kind>` from `written.<kind>`, and `accepted.words`.

    Parameters
    ----------
    bench
        Workbench with the schema `written`.
    words
        `list`, `word`, `code`, `how`; one row a list and word. A word that is not in it is uncoded; no word stays none. What a person
        said of a single row (`accepted.settled_rows`) counts where its word says nothing: none, uncoded or unknown.

    Raises
    ------
    ValueError
        If a word of a list has two codes, which would double its rows.
    """
    if words.select("list", "word").is_duplicated().any():
        raise ValueError("a word of a code list has two codes")
    bench.put("accepted.words", words.select(pl.col("list", "word", "code", "how").cast(pl.String)))
    settled = set(bench.frame('select distinct kind, "column" from accepted.settled_rows').iter_rows())
    for kind in RECORD_KINDS.values():
        bench.run(_coded_table(kind, {column for name, column in settled if name == kind.name}))


def make_uncoded(bench: Workbench) -> None:
    """Make `about.uncoded`: words of accepted rows that nobody has given a code yet, with the rows that hold them."""
    words = _over_coded_columns(_uncoded_of)
    bench.run(f"create table about.uncoded as select list, word, sum(rows)::bigint as rows from ({words}) group by all order by list, word")


def _over_coded_columns(query: Callable[[RecordKind, Column], str]) -> str:
    return " union all ".join(query(kind, column) for kind in RECORD_KINDS.values() for column in coded_columns(kind))


def _words_of(kind: RecordKind, column: Column) -> str:
    return (
        f"select '{column.coded_as}' as list, {column.name} as word, '{kind.name}' as kind, count(*) as rows "
        f"from {SCHEMA}.{kind.name} where {column.name} is not null group by {column.name}"
    )


def _uncoded_of(kind: RecordKind, column: Column) -> str:
    word = f"{column.name}{AS_WRITTEN}"
    counted = f"select '{column.coded_as}' as list, {word} as word, count(*) as rows from accepted.{kind.name}"
    return f"{counted} where {column.name} = '{UNCODED}' group by {word}"


def _coded_table(kind: RecordKind, settled: set[str]) -> str:
    coded = {column.name: column.coded_as for column in coded_columns(kind)}
    columns = ", ".join(f"{_value(name, coded, settled)} as {quoted(name)}" for name in accepted_columns(kind))
    joins = " ".join(
        f"left join accepted.words w_{name} on w_{name}.list = '{code_list}' and w_{name}.word = r.{name}"
        for name, code_list in coded.items()
    )
    joins += "".join(
        f""" left join accepted.settled_rows s_{name} on s_{name}.row_id = r.{ROW_ID} and s_{name}."column" = '{name}'"""
        for name in sorted(settled)
    )
    return f"create table accepted.{kind.name} as select {columns} from {SCHEMA}.{kind.name} r {joins}"


def _value(name: str, coded: dict[str, str], settled: set[str]) -> str:
    if name in coded:
        by_word = f"case when r.{name} is not null then coalesce(w_{name}.code, '{UNCODED}') end"
        says_nothing = f"coalesce({by_word}, '{UNKNOWN}') in ('{UNCODED}', '{UNKNOWN}')"
        return f"case when {says_nothing} then coalesce(s_{name}.code, {by_word}) else {by_word} end" if name in settled else by_word
    return f"r.{quoted(name.removesuffix(AS_WRITTEN))}"
