from datetime import date

import polars as pl
import pytest

from pipelines.intake import cells, dates
from pipelines.intake.cells import Reading, cleaned, read_column
from pipelines.terms.codes import MISSING, NO, YES
from pipelines.terms.columns import Column, moment, number, text, whole, yes_no
from pipelines.terms.columns import date as date_column

CHANGED = yes_no("meter_changed", "")


def value_of(cell: str, column: Column, reading: Reading | None = None) -> object:
    read = read_column(pl.Series([cell]), column, reading or Reading())
    return read["value"][0] if read["fault"][0] is None else read["fault"][0]


@pytest.mark.parametrize("word", [*MISSING, "N/A", "None", " ", "\u00a0", "UNKNOWN", "#Name?"])
def test_each_spelling_of_missing_is_empty(word):
    assert pl.DataFrame({"x": [word]}).select(cleaned(pl.col("x"))).to_series().to_list() == [None]


def test_words_that_begin_like_missing_are_kept():
    kept = ["nan boat", "none of these", "-1", "0", "n"]
    assert pl.DataFrame({"x": kept}).select(cleaned(pl.col("x"))).to_series().to_list() == kept


@pytest.mark.parametrize("word", [*YES, "YES", "Yes.", "TRUE", "1.0", "-1.0", "X"])
def test_each_spelling_of_yes(word):
    assert value_of(word, CHANGED) is True


@pytest.mark.parametrize("word", [*NO, "No", "FALSE", "0.0"])
def test_each_spelling_of_no(word):
    assert value_of(word, CHANGED) is False


@pytest.mark.parametrize("word", ["perhaps", "2", "yes and no"])
def test_another_word_is_neither_yes_nor_no(word):
    assert value_of(word, CHANGED) == cells.NOT_YES_NO


def test_a_whole_number_written_with_decimals_is_whole():
    pieces = whole("on_hand", "pieces", "")
    assert value_of("3.0", pieces) == 3
    assert value_of("3,00", pieces) == 3
    assert value_of("3.5", pieces) == "not whole"
    assert value_of("1e20", pieces) == "not whole"


def test_a_number_below_the_lowest_is_a_fault():
    assert value_of("-1", number("meter_h", "engine hours", "")) == cells.BELOW
    assert value_of("0", number("meter_h", "engine hours", "")) == 0
    assert value_of("0", whole("pack_size", "pieces", "", low=1.0)) == cells.BELOW
    assert value_of("-1", number("drift", "", "", low=None)) == -1


def test_a_date_before_1950_or_after_the_last_day_that_can_be_is_a_fault():
    done_on, reading = date_column("done_on", ""), Reading("day first", latest=date(2025, 7, 1))
    assert value_of("1899-12-30 17:00", done_on, reading) == dates.TOO_EARLY
    assert value_of("1949-12-31", done_on, reading) == dates.TOO_EARLY
    assert value_of("2025-07-01", done_on, reading) == date(2025, 7, 1)
    assert value_of("2025-07-02", done_on, reading) == dates.TOO_LATE
    assert value_of("14/07/2199", done_on, reading) == dates.TOO_LATE


def test_a_moment_late_on_the_last_day_can_be():
    called_at, reading = moment("called_at", ""), Reading("", latest=date(2025, 7, 1))
    assert str(value_of("2025-07-01 23:59", called_at, reading)) == "2025-07-01 23:59:00"


def test_a_date_column_drops_the_time_of_day():
    assert value_of("2024-07-14 09:30", date_column("done_on", "")) == date(2024, 7, 14)


def test_decimals_of_an_id_are_an_accident_of_a_spreadsheet():
    assert value_of("14.0", text("vessel_id", "")) == "14"
    assert value_of("14.0", text("notes", "")) == "14.0"
    assert value_of("B14.0", text("vessel_id", "")) == "B14.0"


def test_words_of_the_mapping_stand_in_for_cells_but_not_for_coded_words():
    reading = Reading(words=(("no 14", "B14"),))
    assert value_of("No. 14", text("vessel_id", ""), reading) == "B14"
    assert value_of("No. 14", text("component", "", coded_as="component"), reading) == "No. 14"


def test_a_column_comes_back_in_its_own_order_with_its_empty_cells():
    read = read_column(pl.Series(["5", None, "x", "5", "1"]), number("meter_h", "engine hours", ""), Reading())
    assert read["value"].to_list() == [5, None, None, 5, 1]
    assert read["fault"].is_not_null().to_list() == [False, False, True, False, False]
