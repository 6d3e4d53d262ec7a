import io
import zipfile
from collections.abc import Sequence
from datetime import date, datetime

import pytest
import xlsxwriter

from pipelines.errors import UnknownKind, UnreadableFile
from pipelines.intake.workbooks import is_workbook

HEADER = ("Engine ID", "Read on", "Meter H", "Note")
Rows = Sequence[Sequence[object]]


def workbook(**sheets: Rows) -> bytes:
    return book({name.replace("_", " "): rows for name, rows in sheets.items()})


def book(sheets: dict[str, Rows], *, top: int = 0, left: int = 0) -> bytes:
    written = io.BytesIO()
    with xlsxwriter.Workbook(written, {"in_memory": True, "default_date_format": "dd/mm/yyyy hh:mm"}) as made:
        for name, rows in sheets.items():
            sheet = made.add_worksheet(name)
            for index, row in enumerate(rows):
                sheet.write_row(top + index, left, row)
    return written.getvalue()


def test_every_sheet_is_a_table(yard):
    tables = yard.tables(workbook(_2023=[HEADER, ("E1", "2023-07-14", 10, "")], _2024=[HEADER, ("E1", "2024-07-14", 20, "")]), "hours.xlsx")
    assert [(table.sheet.strip(), table.rows["meter_h"].to_list()) for table in tables] == [("2023", [10]), ("2024", [20])]


def test_a_sheet_name_keeps_its_stray_space_but_messages_do_not(yard):
    taken = yard.take(book({"Aug, 2019 ": [HEADER, ("E1", "soon", 10, "")]}), "hours.xlsx")
    assert taken.sheet == "Aug, 2019 "
    assert taken.left_out["reason"][0].startswith("hours.xlsx, sheet Aug, 2019, line 2, read_on: 'soon'.")


def test_real_dates_numbers_and_yes_are_read_as_what_they_are(yard):
    rows = [
        ("Vessel ID", "called at", "meter_h", "notes"),
        (14, datetime(2024, 3, 4, 14, 5), 1240.5, True),
        (15, date(2024, 3, 5), 1243, None),
    ]
    taken = yard.take(workbook(calls=rows), "calls.xlsx")
    assert taken.rows["vessel_id"].to_list() == ["14", "15"]
    assert taken.rows["called_at"].to_list() == [datetime(2024, 3, 4, 14, 5), datetime(2024, 3, 5)]
    assert taken.rows["meter_h"].to_list() == [1240.5, 1243]


def test_a_serial_number_without_its_format_is_still_a_date(yard):
    assert yard.take(workbook(a=[HEADER, ("E1", 45487, 10, "")]), "a.xlsx").rows["read_on"].to_list() == [date(2024, 7, 14)]


def test_a_number_of_three_decimals_is_no_thousand(yard):
    taken = yard.take(
        workbook(a=[HEADER, ("E1", "2024-07-14", 1.243, ""), ("E2", "2024-07-14", "1240,5", "")]), "a.xlsx", mapping='decimal = ","'
    )
    assert taken.rows["meter_h"].to_list() == [1.243, 1240.5]


def test_a_clock_in_place_of_hours_is_a_fault(yard):
    taken = yard.take(workbook(a=[HEADER, ("E1", "2024-07-14", datetime(1899, 12, 31, 12, 40), "")]), "a.xlsx")
    assert taken.left_out["column"].to_list() == ["meter_h"]


def test_title_rows_and_empty_rows_keep_the_row_numbers_of_the_sheet(yard):
    rows = [("Hours of the fleet",), (), HEADER, ("E1", "2024-07-14", 10, ""), (), ("E2", "2024-07-14", -1, "")]
    taken = yard.take(book({"a": rows}, top=2, left=3), "a.xlsx")
    assert taken.rows["line"].to_list() == [6]
    assert taken.left_out["line"].to_list() == [8]


def test_the_raw_row_is_an_object_under_the_names_of_the_sheet(yard):
    taken = yard.take(workbook(a=[HEADER, ("E1", "2024-07-14", 10, 'a "b"')]), "a.xlsx")
    assert taken.rows["raw"].to_list() == ['{"Engine ID":"E1","Read on":"2024-07-14","Meter H":"10","Note":"a \\"b\\""}']


def test_made_ids_name_the_sheet(yard):
    taken = yard.take(workbook(May=[("vessel_id", "called_at"), ("B1", "2024-05-04")]), "calls.xlsx")
    assert taken.rows["call_id"].to_list() == ["calls.xlsx/May#2"]


def test_the_dates_of_one_sheet_show_the_order_for_all(yard):
    tables = yard.tables(workbook(a=[HEADER, ("E1", "03/04/2024", 1, "")], b=[HEADER, ("E1", "25/04/2024", 2, "")]), "a.xlsx")
    assert tables[0].rows["read_on"].to_list() == [date(2024, 4, 3)]


def test_headers_may_drift_between_sheets(yard):
    tables = yard.tables(
        workbook(a=[HEADER, ("E1", "2024-07-14", 1, "")], b=[("meter h", "ENGINE-ID", "read on"), (2, "E1", "2024-07-15")]), "a.xlsx"
    )
    assert [table.rows["meter_h"].to_list() for table in tables] == [[1], [2]]


def test_a_sheet_that_lost_a_needed_column_is_left_out_row_by_row(yard):
    tables = yard.tables(
        workbook(a=[HEADER, ("E1", "2024-07-14", 1, "")], b=[("Engine ID", "Day", "Meter H"), ("E1", "x", 2), ("E2", "y", 3)]), "a.xlsx"
    )
    assert tables[1].rows.height == 0
    assert tables[1].left_out["reason"].to_list() == [
        "a.xlsx, sheet b, line 2, read_on: empty. There is no column read_on here; say in a mapping which column it is.",
        "a.xlsx, sheet b, line 3, read_on: empty. There is no column read_on here; say in a mapping which column it is.",
    ]


def test_a_sheet_that_is_no_records_is_passed_over_and_named(yard):
    (taken,) = yard.tables(workbook(a=[HEADER, ("E1", "2024-07-14", 1, "")], Prices=[("Oil", 12), ("Grease", 7)], empty=[]), "a.xlsx")
    assert taken.remarks == ("a.xlsx, sheet Prices: passed over, 1 rows. None of its columns is known.",)


def test_a_workbook_without_any_records_is_refused(yard):
    with pytest.raises(UnknownKind, match=r"a\.xlsx, sheet Prices: none of its columns is known"):
        yard.tables(workbook(Prices=[("Oil", 12), ("Grease", 7)]), "a.xlsx")


def test_a_workbook_with_nothing_in_it_says_so(yard):
    with pytest.raises(UnreadableFile, match="no sheet of the workbook holds anything"):
        yard.tables(workbook(a=[], b=[]), "a.xlsx")


def test_a_workbook_is_told_by_what_it_holds_and_not_by_its_name(yard):
    taken = yard.take(workbook(a=[HEADER, ("E1", "2024-07-14", 1, "")]), "hours.csv")
    assert taken.rows.height == 1


SOUND = workbook(a=[HEADER, ("E1", "2024-07-14", 1, "")])


@pytest.mark.parametrize("kept", [0.1, 0.5, 0.9, 0.99])
def test_a_truncated_workbook_is_refused(yard, kept):
    with pytest.raises(UnreadableFile):
        yard.tables(SOUND[: int(len(SOUND) * kept)], "a.xlsx")


def test_a_workbook_with_a_damaged_part_is_refused(yard):
    data = bytearray(SOUND)
    place = SOUND.index(b"xl/worksheets/sheet1.xml") + 60
    data[place : place + 40] = bytes(40)
    with pytest.raises(UnreadableFile, match="broken"):
        yard.tables(bytes(data), "a.xlsx")


def repacked(change: dict[str, bytes]) -> bytes:
    """The sound workbook with some parts in place of its own."""
    written = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(SOUND)) as source, zipfile.ZipFile(written, "w", zipfile.ZIP_DEFLATED) as target:
        for part in source.namelist():
            target.writestr(part, change.get(part, source.read(part)))
    return written.getvalue()


def test_a_workbook_that_unpacks_to_too_much_is_refused_before_it_is_opened(yard):
    bomb = repacked({"xl/worksheets/sheet1.xml": b"<worksheet>" + b" " * 80_000_000})
    assert len(bomb) < 200_000
    with pytest.raises(UnreadableFile, match=r"unpacks to 80,0\d\d,\d\d\d bytes, more than a workbook of its size can hold"):
        yard.tables(bomb, "a.xlsx")


def test_a_stray_cell_at_the_far_corner_is_refused_before_it_fills_the_memory(yard):
    with zipfile.ZipFile(io.BytesIO(SOUND)) as source:
        sheet = source.read("xl/worksheets/sheet1.xml")
    far = sheet.replace(b"</sheetData>", b'<row r="1048576"><c r="XFD1048576"><v>1</v></c></row></sheetData>')
    with pytest.raises(UnreadableFile, match="spread over 1,048,576 rows and 16,384 columns"):
        yard.tables(repacked({"xl/worksheets/sheet1.xml": far}), "a.xlsx")


@pytest.mark.parametrize("part", ["xl/workbook.xml", "xl/worksheets/sheet1.xml", "xl/sharedStrings.xml", "xl/_rels/workbook.xml.rels"])
@pytest.mark.parametrize(
    "content", [b"", b"<a", b"\x00\xff" * 50, b"<?xml version='1.0'?><worksheet><sheetData><row><c r='A1' t='s'><v>999</v></c>"]
)
def test_a_workbook_with_a_part_that_is_nonsense_gives_a_clear_error_or_no_rows(yard, part, content):
    with pytest.raises((UnreadableFile, UnknownKind)):
        yard.tables(repacked({part: content}), "a.xlsx")


def test_another_packed_file_is_no_workbook():
    written = io.BytesIO()
    with zipfile.ZipFile(written, "w") as archive:
        archive.writestr("notes.txt", "x")
    assert not is_workbook(written.getvalue())
    assert is_workbook(SOUND)
