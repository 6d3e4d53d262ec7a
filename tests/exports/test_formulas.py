"""Words that a spreadsheet would run leave harmless and come back as they were, and figures stay figures."""

import csv
import io

import polars as pl
import pytest
from hypothesis import assume, given
from hypothesis import settings as examples
from hypothesis import strategies as st

from pipelines.exports.answer import as_csv, harmless
from pipelines.exports.frames import as_file
from pipelines.intake.plain_parts import PLAIN_ID, PLAIN_WORD
from pipelines.intake.taking import read_file
from pipelines.terms.codes import MISSING
from pipelines.terms.spreadsheets import NEGATIVE

# Signs after which common spreadsheets run a cell (common practice, no source), and marks that a reader may trip over.
SIGNS = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")
FIRST = st.sampled_from(["", "'", "''", "'''"])
WORDS = st.builds(
    "{}{}{}".format,
    FIRST,
    st.sampled_from([*SIGNS, ""]),
    st.text(st.characters(exclude_categories=("Cs",), exclude_characters="\x00"), max_size=12),
)
SPACES = "\u200b\ufeff\u00a0 \t\r\n"


def came_back(words: list[str], folder, form: str) -> list[str | None]:
    """Write boats of these names as a file, take it in again, and return their names."""
    frame = pl.DataFrame({"vessel_id": [f"B{place:03d}" for place in range(len(words))], "name": words})
    file = folder / f"vessels.{form}"
    file.write_bytes(as_file(frame, form))
    return read_file(file)[0].rows.sort("vessel_id")["name"].to_list()


def kept_whole(word: str) -> bool:
    """Whether a ledger can hold the word: it is trimmed and is no spelling of missing."""
    inner = word.lstrip("'") if word.startswith("'") else word
    return word == word.strip().strip(SPACES) and word.lower() not in MISSING and inner.lower() not in MISSING and "\x85" not in word


@examples(max_examples=60)
@given(st.lists(WORDS.filter(kept_whole), min_size=1, max_size=12))
@pytest.mark.parametrize("form", ["csv", "xlsx"])
def test_words_come_back_through_intake_as_they_were(tmp_path_factory, form: str, words: list[str]):
    assume(all(words))
    assert came_back(words, tmp_path_factory.mktemp("again"), form) == words


@pytest.mark.parametrize("sign", SIGNS)
def test_a_word_that_begins_with_a_sign_leaves_behind_an_apostrophe(sign: str):
    told = next(csv.reader(io.StringIO(as_csv(pl.DataFrame({"name": [f"{sign}1+cmd"]})).split("\n", 1)[1], newline="")))[0]
    assert told == f"'{sign}1+cmd"


@pytest.mark.parametrize("sign", SIGNS)
def test_a_quoted_word_of_any_sign_is_read_without_its_apostrophe(sign: str, tmp_path):
    assert came_back([f"{sign}SUM(A1)"], tmp_path, "csv") == [f"{sign}SUM(A1)"]


@given(st.floats(allow_nan=False, allow_infinity=False), st.integers(-(2**53), 2**53))
def test_figures_leave_as_figures_to_the_last_digit(value: float, count: int):
    frame = pl.DataFrame({"value": [value], "count": [count]})
    told = pl.read_csv(as_file(frame, "csv"), schema={"value": pl.Float64, "count": pl.Int64})
    assert told.rows() == [(value, count)]
    sheet = pl.read_excel(io.BytesIO(as_file(frame, "xlsx")), schema_overrides={"value": pl.Float64, "count": pl.Float64})
    assert float(sheet["value"][0]) == value
    assert int(sheet["count"][0]) == count
    assert pl.read_parquet(io.BytesIO(as_file(frame, "parquet"))).equals(frame)


@given(st.from_regex(r"-[0-9]{1,9}(\.[0-9]{1,5})?", fullmatch=True))
def test_a_negative_number_written_as_a_word_stays_a_number(word: str):
    assert harmless(pl.Series([word]))[0] == word
    assert NEGATIVE.match(word)


def test_a_sum_is_no_negative_number():
    assert harmless(pl.Series(["-1+1", "-", "-A1", "-1,5"])).to_list() == ["'-1+1", "'-", "'-A1", "-1,5"]


@pytest.mark.parametrize("form", [PLAIN_WORD, PLAIN_ID])
def test_a_large_file_reads_a_quoted_formula_with_care_too(form: str):
    told = pl.Series(["'=A1", "''+1", "B12", "7", "x'1"]).str.contains(form)
    assert told.to_list() == [False, False, True, True, True]
