import pytest

from pipelines.errors import UnreadableFile
from pipelines.intake.mapping import mapping_from
from pipelines.intake.suggesting import suggest_mapping
from pipelines.intake.taking import read_file
from tests.intake.conftest import TODAY
from tests.intake.test_workbooks import workbook

CALLS = """Call log 2023
No;Boat;Date;Time;Problem;What it was;How it ended;Hrs;Remarks;Weather
1;B14;03/04/2023;14:05;overheatig;impeler gone;tow;1.240,5;x;fine
2;B15;25/04/2023;9:30;won't start;dont know;fixed;12,5;y;rain
"""


def suggested(yard, content, name="calls.csv") -> str:
    return suggest_mapping(yard.write(content, name))


def test_a_yards_own_names_are_mapped_and_the_file_can_be_taken_in_at_once(yard):
    text = suggested(yard, CALLS)
    (taken,) = read_file(yard.folder / "calls.csv", mapping_from(text), "", TODAY)
    assert taken.kind == "rescue_calls"
    assert taken.left_out.height == 0
    assert taken.rows.select("call_id", "vessel_id", "meter_h", "symptom", "cause", "outcome").row(0) == (
        "1",
        "B14",
        1240.5,
        "overheatig",
        "impeler gone",
        "tow",
    )
    assert str(taken.rows["called_at"][0]) == "2023-04-03 14:05:00"


def test_near_misses_are_offered_and_unknown_words_listed_for_a_person(yard):
    text = suggested(yard, CALLS)
    assert '"impeler gone" = "impeller failed"  # a near miss, 1 rows' in text
    assert '# "dont know" = ""  # not known, 1 rows' in text


def test_what_the_file_shows_of_dates_and_numbers_is_told(yard):
    text = suggested(yard, CALLS)
    assert "1 with the day first, 0 with the month first" in text
    assert "0 with a decimal point, 2 with a decimal comma" in text


def test_an_open_order_of_dates_is_asked_for(yard):
    assert "nothing in it shows one" in suggested(yard, "Engine;Date;Hours\nE1;03/04/2023;12\n", "hours.csv")


def test_a_column_of_dates_is_not_taken_for_hours_whatever_its_name(yard):
    text = suggested(yard, "Engine;Hours;Date\nE1;2023-04-25;12,5\nE2;2023-04-26;13\n", "hours.csv")
    assert '"Hours" = "meter_h"' not in text
    assert '"Date" = "read_on"' not in text


def test_a_column_of_known_words_is_found_whatever_its_name(yard):
    content = "Boat;Date;Spalte A;Spalte B\nB1;25/04/2023;impeller;renewed\nB2;26/04/2023;belt;checked\n"
    text = suggested(yard, content, "tickets.csv")
    assert '"Spalte A" = "component"' in text
    assert '"Spalte B" = "action"' in text


def test_what_is_needed_and_not_found_is_said(yard):
    text = suggested(yard, "Boat;Problem;What it was\nB1;overheats;weed\n")
    assert "# Not found, and needed: called_at." in text


def test_our_own_names_need_no_mapping(yard):
    assert "columns]" not in suggested(yard, "engine_id,read_on,meter_h\nE1,2024-07-14,1\n", "hours.csv")


def test_sheets_with_like_columns_are_mapped_once(yard):
    rows = [("Boat", "Date", "Problem"), ("B1", "2023-04-25", "overheats")]
    text = suggested(yard, workbook(_2023=rows, _2024=rows), "calls.xlsx")
    assert text.count('"Boat" = "vessel_id"') == 1


def test_names_and_words_with_quotes_and_signs_stay_readable(yard):
    text = suggested(yard, 'Boat;Date;"Problem ""x"" \\ é"\nB1;2023-04-25;"won""t \\ start"\n')
    assert mapping_from(text)


@pytest.mark.parametrize("content", [b"", b"\x00\x01\x02" * 100])
def test_a_file_that_cannot_be_read_is_refused(yard, content):
    with pytest.raises(UnreadableFile):
        suggested(yard, content)


def test_a_kind_that_was_named_is_the_one_suggested(yard):
    file = yard.write("Boat;Date;Hours\nB1;14/07/2024;12,5\n", "odd.csv")
    assert "reading it as rescue_calls" in suggest_mapping(file, "rescue_calls")
    assert "reading it as hour_readings" in suggest_mapping(file, "hour_readings")


def test_numbers_in_columns_that_nobody_knows_show_their_mark_too(yard):
    file = yard.write("Boat;When;Tide\nB1;2024-07-14;1,25\nB2;2024-07-15;0,75\n", "odd.csv")
    assert '# decimal = ","' in suggest_mapping(file)
