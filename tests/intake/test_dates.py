from datetime import date, datetime, timedelta

import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipelines.intake import dates

ORDERS = ["day first", "month first", "year first", "mixed", ""]


def read(text: str, order: str = "") -> datetime | str:
    (_, value, fault) = dates.parse(pl.Series([text]), order).row(0)
    return value or fault


@pytest.mark.parametrize("order", ORDERS)
@pytest.mark.parametrize(
    "text",
    [
        "2024-07-14",
        "2024/7/14",
        "2024.07.14",
        "20240714",
        "14 July 2024",
        "14-Jul-24",
        "14th of July 2024".replace("of ", ""),
        "Sun 14 Jul 2024",
        "July 14, 2024",
        "Jul. 14 2024",
        "14. Juli 2024",
        "14 juillet 2024",
        "45487",
        "2024-07-14 00:00:00",
        "２０２４-０７-１４",
    ],
)
def test_a_date_that_can_be_read_in_one_way_needs_no_order(text, order):
    assert read(text, order) == datetime(2024, 7, 14)


@pytest.mark.parametrize(
    ("text", "clock"),
    [
        ("2024-07-14T09:30", (9, 30, 0)),
        ("2024-07-14 09:30:15", (9, 30, 15)),
        ("2024-07-14T09:30:15.250Z", (9, 30, 15)),
        ("2024-07-14T09:30:00+02:00", (9, 30, 0)),
        ("14 Jul 2024 9:30", (9, 30, 0)),
        ("14 Jul 2024 9.30", (9, 30, 0)),
        ("14 Jul 2024 17h30", (17, 30, 0)),
        ("14 Jul 2024 2:05 pm", (14, 5, 0)),
        ("14 Jul 2024 12:05 am", (0, 5, 0)),
        ("14 Jul 2024 12:05 PM", (12, 5, 0)),
        ("45487.5", (12, 0, 0)),
        ("45487.395833", (9, 30, 0)),
    ],
)
def test_a_time_of_day_may_follow_and_a_zone_is_left_off(text, clock):
    assert read(text) == datetime(2024, 7, 14, *clock)


def test_three_numbers_are_read_by_the_order():
    assert read("03/04/2024", "day first") == datetime(2024, 4, 3)
    assert read("03/04/2024", "month first") == datetime(2024, 3, 4)
    assert read("24/03/04", "year first") == datetime(2024, 3, 4)


@pytest.mark.parametrize("text", ["03/04/2024", "03-04-24", "3 4 2024", "03/04/2024 12:00"])
def test_three_numbers_without_an_order_are_ambiguous(text):
    assert read(text) == dates.AMBIGUOUS


def test_a_day_above_12_and_twice_the_same_number_are_not_ambiguous():
    assert read("14/07/2024") == read("07/14/2024") == datetime(2024, 7, 14)
    assert read("07/07/2024") == datetime(2024, 7, 7)


def test_points_stand_for_day_first_unless_the_file_contradicts_itself():
    assert read("3.4.2024") == datetime(2024, 4, 3)
    assert read("3.4.2024", "mixed") == dates.BOTH_ORDERS


def test_two_digits_of_a_year_are_within_half_a_century():
    assert read("14/07/49") == datetime(2049, 7, 14)
    assert read("14/07/50") == datetime(1950, 7, 14)


@pytest.mark.parametrize(
    "text", ["31/02/2024", "0/1/00", "30/02/24", "2024-13-01", "2023-02-29", "31 June 2024", "2024-07-14 25:00", "14/14/2024"]
)
def test_a_day_that_is_in_no_calendar_is_a_fault(text):
    assert read(text, "day first") == dates.NO_SUCH_DAY


def test_29_february_is_a_day_in_leap_years_only():
    assert read("29/02/2024", "day first") == datetime(2024, 2, 29)
    assert read("29/02/2023", "day first") == dates.NO_SUCH_DAY


@pytest.mark.parametrize("text", ["July 2024", "03/2024", "12:40", "soon", "14 Smarch 2024", "2024", "14/07", "123456", "1.5", "last week"])
def test_what_is_no_whole_date_is_unread(text):
    assert read(text, "day first") == dates.UNREAD


def test_the_empty_date_of_spreadsheets_is_read_as_what_it_says():
    """It is then too early (`cells`): a message can show the day that the sheet stands for."""
    assert read("1899-12-30 17:00") == datetime(1899, 12, 30, 17)


DAYS = st.dates(date(1950, 1, 1), date(2049, 12, 31))


@given(
    st.lists(DAYS, min_size=1, max_size=20, unique=True), st.sampled_from(["%d/%m/%Y", "%d-%m-%y", "%-d.%-m.%Y", "%m/%d/%Y", "%-m/%-d/%y"])
)
def test_a_written_date_is_read_back_under_its_own_order(days, form):
    texts = [day.strftime(form) for day in days]
    order = "month first" if form.startswith(("%m", "%-m")) else "day first"
    back = dict(dates.parse(pl.Series(texts), order).select("text", "value").iter_rows())
    assert [back[text].date() for text in texts] == days


@given(DAYS, st.sampled_from(ORDERS))
def test_iso_dates_and_serial_numbers_are_the_same_whatever_the_order(day, order):
    serial = str((day - date(1899, 12, 30)).days)
    assert read(day.isoformat(), order) == read(serial, order) == datetime.combine(day, datetime.min.time())


@given(st.lists(st.text(max_size=14), max_size=20, unique=True), st.sampled_from(ORDERS))
def test_every_text_is_either_read_or_at_fault_and_comes_back_once(texts, order):
    back = dates.parse(pl.Series(texts, dtype=pl.String), order)
    assert sorted(back["text"]) == sorted(texts)
    assert (back["value"].is_null() == back["fault"].is_not_null()).all()


@given(st.datetimes(datetime(1950, 1, 1), datetime(2049, 12, 31)))
def test_a_moment_is_read_back_to_the_second(moment):
    whole = moment.replace(microsecond=0)
    serial = (whole - datetime(1899, 12, 30)) / timedelta(days=1)
    assert read(whole.isoformat(sep=" ")) == whole
    assert abs(read(f"{serial:.9f}") - whole) <= timedelta(seconds=1)
