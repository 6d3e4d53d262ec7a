"""Suggested codes for rows that came without one, made whenever a version is published.

In: a workbench with accepted records and their codes. Out: `derived.suggested_codes`. It is read by the coding queue alone: no count and
no rate looks at it.
Elsewhere: the learning (`fits.code_learning`), what a person makes of the suggestions (`coding_queue`).
"""

from dataclasses import dataclass

import polars as pl

from pipelines.fits.code_learning import Examples, suggest
from pipelines.flow.queries import query
from pipelines.flow.sources import Source
from pipelines.ledger.workbench import Workbench
from pipelines.terms.causes import CAUSES, UNCODED, UNKNOWN
from pipelines.terms.codes import CODE_LISTS

TABLE = "derived.suggested_codes"
SCHEMA = {
    "row_id": pl.Int64(),
    "kind": pl.String(),
    "column": pl.String(),
    "code": pl.String(),
    "confidence": pl.Float64(),
    "evidence": pl.String(),
}
SAYS_NOTHING = (UNCODED, UNKNOWN, "mechanical, not further stated")
"""Codes that tell nobody what it was; a coarse one is never suggested."""
SYSTEMS = {cause.code: cause.system for cause in CAUSES.values() if cause.code not in SAYS_NOTHING}
LEAST_CONFIDENCE = 0.5
"""Suggestions that are more likely wrong than right are not made."""
MOST_ROWS = 20_000
"""Of coded rows, and of rows asked about, the latest so many are read."""
SYSTEM = "system"


@dataclass(frozen=True)
class Question:
    """One column to suggest codes for: its record kind, and the columns whose codes are facts beside the text."""

    kind: str
    column: str
    beside: tuple[str, ...]


QUESTIONS = (
    Question("rescue_calls", "symptom", ()),
    Question("rescue_calls", "cause", ("symptom", "component")),
    Question("rescue_calls", SYSTEM, ("symptom", "component")),
    Question("rescue_calls", "component", ("symptom", "cause")),
    Question("service_tickets", "cause", ("component", "finding")),
    Question("service_tickets", "component", ("finding",)),
)


def make_suggestions(bench: Workbench) -> None:
    """Make `derived.suggested_codes`, one row per row and column that came without a code and whose notes say something of it."""
    told = [suggestions(bench, question) for question in QUESTIONS]
    bench.put(TABLE, pl.concat(told, how="vertical"))


def suggestions(bench: Source, question: Question) -> pl.DataFrame:
    """Suggest codes of one column for the rows that came without, at least as sure as the least confidence."""
    rows = noted_rows(bench, question)
    asked = rows.filter("wanted").head(MOST_ROWS)
    if asked.is_empty():
        return pl.DataFrame(schema=SCHEMA)
    texts = asked["text"].unique(maintain_order=True)
    told = suggest(examples_of(rows, question, bench), texts.to_list()).with_columns(text=texts)
    sure = told.drop_nulls("code").filter(pl.col("confidence") >= LEAST_CONFIDENCE)
    joined = asked.join(sure, on="text", how="inner", suffix="_suggested")
    return joined.select(
        pl.col("row_id").cast(pl.Int64),
        pl.lit(question.kind).alias("kind"),
        pl.lit(question.column).alias("column"),
        pl.col("code_suggested").alias("code"),
        "confidence",
        "evidence",
    ).sort("row_id")


def noted_rows(bench: Source, question: Question) -> pl.DataFrame:
    """Return the rows of a kind that have notes, the latest first: `row_id`, `text` with the facts beside it, `code`, `wanted`."""
    rows = bench.frame(query(f"noted_{question.kind}"))
    facts = [pl.when(~_is_open(pl.col(name))).then(pl.format(f"{name}={{}}", _as_one_word(pl.col(name)))) for name in question.beside]
    code = (
        pl.col("cause").replace_strict(SYSTEMS, default=None, return_dtype=pl.String)
        if question.column == SYSTEM
        else pl.col(question.column)
    )
    text = pl.concat_str(["notes", *facts], separator=" ", ignore_nulls=True)
    return rows.select("row_id", text=text, code=code, wanted=_is_open(code) & pl.col(f"{question.column}_missed"))


def _is_open(code: pl.Expr) -> pl.Expr:
    return code.is_null() | code.is_in(SAYS_NOTHING)


def _as_one_word(code: pl.Expr) -> pl.Expr:
    return code.str.replace_all(r"\W+", "_")


def examples_of(rows: pl.DataFrame, question: Question, bench: Source) -> Examples:
    """Return what is learned from: coded rows, and the trade's own words for each code."""
    coded = rows.filter(~_is_open(pl.col("code"))).head(MOST_ROWS)
    words = _trade_words(question.column, bench)
    return Examples(coded["text"].to_list(), coded["code"].to_list(), [word for word, _ in words], [code for _, code in words])


def _trade_words(column: str, bench: Source) -> list[tuple[str, str]]:
    if column == SYSTEM:
        return [(word, cause.system) for cause in CAUSES.values() if cause.code in SYSTEMS for word in (cause.code, *cause.words)]
    words = [(word, code) for code, others in CODE_LISTS[column].items() if code not in SAYS_NOTHING for word in (code, *others)]
    if column != "component":
        return words
    named = bench.frame("select component from accepted.catalogue where named")["component"].to_list()
    return [(word, code) for word, code in words if code in named] + [(code, code) for code in named]
