import polars as pl

from pipelines.intake.evidence import Evidence, gather


def in_time(**columns: list[str]) -> Evidence:
    return gather([(name, pl.Series(texts)) for name, texts in columns.items()], [])


def in_numbers(point: str = "", **columns: list[str]) -> Evidence:
    return gather([], [(name, "", pl.Series(texts), False) for name, texts in columns.items()], point)


def test_one_day_above_12_shows_the_order_of_its_column():
    assert in_time(done_on=["03/04/2024", "25/04/2024"]).order("done_on") == "day first"
    assert in_time(done_on=["03/04/2024", "04/25/2024"]).order("done_on") == "month first"


def test_a_column_that_shows_nothing_follows_its_file():
    shown = in_time(done_on=["25/04/2024"], adopted_on=["03/04/2024"])
    assert shown.order("adopted_on") == "day first"


def test_a_columns_own_dates_outrank_those_of_the_file():
    shown = in_time(done_on=["25/04/2024", "26/04/2024"], called_at=["04/25/2024"])
    assert shown.order("called_at") == "month first"


def test_no_day_above_12_anywhere_shows_no_order():
    assert in_time(done_on=["03/04/2024", "05/06/2024"]).order("done_on") == ""


def test_a_few_slips_do_not_turn_a_clear_majority():
    shown = in_time(done_on=[*(f"{day}/{month:02}/2024" for month in range(1, 13) for day in range(13, 29)), "04/25/2024"])
    assert shown.order("done_on") == "day first"


def test_a_column_that_contradicts_itself_shows_no_order():
    assert in_time(done_on=["25/04/2024", "04/25/2024"]).order("done_on") == "mixed"


def test_one_date_of_the_other_order_in_twenty_is_no_slip():
    shown = in_time(done_on=[*(f"{day}/04/2024" for day in range(13, 31)), "04/25/2024"])
    assert shown.order("done_on") == "mixed"
    assert shown.remarks("a.csv") == [
        "a.csv: done_on holds dates of both orders: 18 show the day first, 1 the month first. Those that can be read either way are left "
        'out; set date_order = "day first" or "month first" in a mapping.'
    ]


def test_columns_that_disagree_are_told_one_by_one():
    shown = in_time(done_on=["25/04/2024", "26/04/2024"], called_at=["04/25/2024"])
    assert shown.remarks("a.csv") == [
        "a.csv: dates of done_on are read with the day first, as 2 of them show.",
        "a.csv: dates of called_at are read with the month first, as 1 of them show.",
    ]


def test_two_digit_dates_that_all_begin_above_12_begin_with_the_year():
    shown = in_time(done_on=[f"24/{month:02}/{day:02}" for month in range(3, 7) for day in (2, 11, 25)])
    assert shown.order("done_on") == "year first"


def test_two_digit_dates_that_begin_with_days_are_not_taken_for_years():
    shown = in_time(done_on=[f"{day:02}/{month:02}/24" for month in range(3, 7) for day in (2, 11, 25)])
    assert shown.order("done_on") == "day first"


def test_the_decimal_mark_is_shown_by_numbers_that_can_be_read_in_one_way():
    assert in_numbers(meter_h=["1.243", "12,5"]).mark("meter_h") == ","
    assert in_numbers(meter_h=["1.243", "12.5"]).mark("meter_h") == "."


def test_a_column_of_open_numbers_follows_its_file_then_the_form_of_the_file():
    assert in_numbers(meter_h=["1.243"], parts_cost=["9,50"]).mark("meter_h") == ","
    assert in_numbers(".", meter_h=["1,243"]).mark("meter_h") == "."
    assert in_numbers(meter_h=["1.243"]).mark("meter_h") == ""


def test_a_column_with_both_marks_leaves_open_numbers_open():
    assert in_numbers(".", meter_h=["1.5", "2,5", "1.243"]).mark("meter_h") == ""


def test_what_was_settled_is_told_unless_a_mapping_said_it():
    shown = gather([("done_on", pl.Series(["25/04/2024"]))], [("meter_h", "", pl.Series(["1,5"]), False)])
    assert shown.remarks("a.csv") == [
        "a.csv: dates are read with the day first, as 1 of its dates show.",
        "a.csv: numbers are read with a decimal comma, as 1 of its numbers show.",
    ]
    assert shown.remarks("a.csv", order_said=True, mark_said=True) == []
