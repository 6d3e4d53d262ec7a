import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipelines.intake import numbers
from pipelines.intake.numbers import Mark


def read(text: str, sign: str = "", unit: str = "", *, typed: bool = False) -> float | str:
    (_, value, fault) = numbers.parse(pl.Series([text]), unit, Mark(sign, typed)).row(0)
    return fault if value is None else value


@pytest.mark.parametrize("sign", ["", ".", ","])
@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("1240", 1240),
        ("1240.5", 1240.5),
        ("1240,5", 1240.5),
        ("1,240.5", 1240.5),
        ("1.240,5", 1240.5),
        ("1 240,5", 1240.5),
        ("1\u202f240.5", 1240.5),
        ("1'240.5", 1240.5),
        ("1,234,567", 1234567),
        ("1.234.567", 1234567),
        ("0.125", 0.125),
        ("0,125", 0.125),
        ("12.3456", 12.3456),
        ("1240,", 1240),
        ("-3,5", -3.5),
        ("−3", -3),
        ("+4", 4),
        ("1e3", 1000),
    ],
)
def test_a_number_that_can_be_read_in_one_way_needs_no_mark(text, value, sign):
    assert read(text, sign) == value


@pytest.mark.parametrize(("text", "by_point", "by_comma"), [("1,243", 1243, 1.243), ("1.243", 1.243, 1243), ("12.500", 12.5, 12500)])
def test_one_mark_before_three_digits_is_read_by_the_mark_of_its_column(text, by_point, by_comma):
    assert read(text, ".") == by_point
    assert read(text, ",") == by_comma
    assert read(text, "") == numbers.OPEN


def test_from_a_typed_file_a_point_is_a_point():
    assert read("1.243", "", typed=True) == read("1.243", ",", typed=True) == 1.243
    assert read("1,243", ",", typed=True) == 1.243
    assert read("1,243", "", typed=True) == numbers.OPEN


@pytest.mark.parametrize("text", ["12:40", "abc", "1,2,3", "1.2.3", "1 2", "inf", "nan", "1e999", "--3", "12 h", "0x10", "1_000", ".", ","])
def test_what_is_no_number_is_unread(text):
    assert read(text) == numbers.UNREAD


@pytest.mark.parametrize(
    ("text", "unit"),
    [
        ("12.5 h", "engine hours"),
        ("12.5hrs", "hours"),
        ("€ 12.50", "money"),
        ("12,5 l", "litres"),
        ("12.5 kW", "kW"),
        ("12,5 nm", "nautical miles"),
    ],
)
def test_the_unit_of_the_column_may_stand_beside_the_number(text, unit):
    assert read(text, unit=unit) == 12.5


@pytest.mark.parametrize(("text", "unit"), [("750 min", "hours"), ("12.5 hp", "kW"), ("3 gal", "litres"), ("12 km", "nautical miles")])
def test_another_unit_is_no_number_of_this_column(text, unit):
    assert read(text, unit=unit) == numbers.UNREAD


def test_marks_are_counted_only_where_they_are_shown():
    texts = pl.Series(["12.5", "1,243", "1.243", "1240", "7,25", "1.240,75"])
    assert numbers.marks_shown(texts) == (1, 2)
    assert numbers.marks_shown(texts, typed=True) == (0, 2)


WRITTEN = st.decimals(-99_999_999, 99_999_999, places=2, allow_nan=False)


@given(WRITTEN, st.sampled_from([("", "."), (",", "."), (" ", "."), ("", ","), (".", ","), (" ", ","), ("'", ".")]))
def test_a_written_number_is_the_same_number_with_point_or_comma(number, marks):
    thousands, decimal = marks
    text = f"{number:,.2f}".replace(",", "T").replace(".", decimal).replace("T", thousands)
    assert read(text) == read(text, decimal) == float(number)


@given(st.lists(st.text(max_size=12), max_size=20, unique=True), st.sampled_from(["", ".", ","]), st.booleans())
def test_every_text_is_either_read_or_at_fault(texts, sign, typed):
    back = numbers.parse(pl.Series(texts, dtype=pl.String), "engine hours", Mark(sign, typed))
    assert back["text"].to_list() == texts
    assert (back["value"].is_null() == back["fault"].is_not_null()).all()
    assert back["value"].drop_nulls().is_finite().all()
