import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipelines.errors import UnreadableFile
from pipelines.intake.delimited import read_delimited
from pipelines.intake.grids import Grid
from pipelines.intake.mending import LONGEST_ROW

NAMES = {"ticket_id", "engine_id", "meter_h", "notes"}


def score(row):
    return sum(cell in NAMES for cell in row)


def grid_of(text: str) -> Grid:
    return read_delimited("a.csv", text, score)


def cells(grid: Grid) -> list[tuple]:
    return grid.rows.drop("line", "raw").rows()


@pytest.mark.parametrize("mark", [",", ";", "\t", "|"])
def test_the_usual_delimiters_are_told_from_the_file(mark):
    grid = grid_of(f"ticket_id{mark}notes\nT1{mark}fine\n")
    assert grid.header == ("ticket_id", "notes")
    assert cells(grid) == [("T1", "fine")]


def test_decimal_commas_do_not_make_the_comma_a_delimiter():
    assert cells(grid_of("ticket_id;meter_h\nT1;1,5\nT2;2,5\n")) == [("T1", "1,5"), ("T2", "2,5")]


def test_a_line_that_names_the_delimiter_is_believed_and_is_no_row():
    grid = grid_of("sep=|\nticket_id|notes\nT1|a,b;c\n")
    assert cells(grid) == [("T1", "a,b;c")]
    assert grid.rows["line"].to_list() == [3]


def test_title_rows_above_the_header_are_passed_over():
    grid = grid_of("Season 2024;;\n;;\nprinted by hand;;\nticket_id;engine_id;notes\nT1;E1;x\n")
    assert grid.header == ("ticket_id", "engine_id", "notes")
    assert grid.rows["line"].to_list() == [5]


def test_rows_with_nothing_in_them_are_no_rows():
    assert cells(grid_of('ticket_id;notes\n\nT1;x\n;\n"";" "\n   \nT2;y\n\n')) == [("T1", "x"), ("T2", "y")]


def test_a_quoted_cell_may_hold_delimiters_line_ends_and_quotes():
    grid = grid_of('ticket_id,notes\nT1,"a,b\nc ""d"""\nT2,y\n')
    assert cells(grid) == [("T1", 'a,b\nc "d"'), ("T2", "y")]


def test_the_line_is_the_physical_line_where_the_row_begins():
    grid = grid_of('ticket_id,notes\n"T1","a\nb\nc"\n\nT2,y\n')
    assert grid.rows["line"].to_list() == [2, 6]


def test_the_raw_text_is_the_row_as_it_stands_in_the_file():
    text = 'ticket_id;notes\r\nT1; "a;b" \r\n"T2";"x\r\ny"\r\n'
    assert grid_of(text).rows["raw"].to_list() == ['T1; "a;b" ', '"T2";"x\r\ny"']


def test_a_quote_inside_an_unquoted_cell_is_itself():
    assert cells(grid_of('ticket_id;notes\nT1;3" hose\nT2;"ok"\n')) == [("T1", '3" hose'), ("T2", "ok")]


def test_spaces_around_a_quoted_cell_do_not_matter():
    assert cells(grid_of('ticket_id, notes\nT1, "a, b" \n')) == [("T1", "a, b")]


def test_a_quoted_comma_that_first_appears_on_row_74_000_is_read():
    text = "ticket_id,notes\n" + "T,plain\n" * 74_000 + 'T,"late, comma"\nT,after\n'
    grid = grid_of(text)
    assert grid.rows.height == 74_002
    assert cells(grid)[74_000:] == [("T", "late, comma"), ("T", "after")]
    assert grid.rows["line"][74_000] == 74_002


def test_a_quote_that_is_never_closed_costs_one_row_only():
    grid = grid_of('ticket_id,engine_id,notes\nT1,E1,"open\nT2,E1,y\nT3,E1,"z"\n')
    assert cells(grid) == [("T2", "E1", "y"), ("T3", "E1", "z")]
    assert grid.torn.select("line", "raw").rows() == [(2, 'T1,E1,"open')]
    assert "not closed" in grid.torn["reason"][0]


def test_a_quote_left_open_before_another_quoted_cell_does_not_swallow_the_rows_between():
    grid = grid_of('ticket_id,engine_id,notes\nT1,E1,"open\nT2,E1,y\nT3,"E1",z\nT4,E1,"",\n')
    assert [row[0] for row in cells(grid)] == ["T2", "T3", "T4"]


def test_a_quoted_cell_of_too_many_lines_is_taken_for_a_quote_left_open():
    grid = grid_of('ticket_id,notes\nT1,"' + "word\n" * (LONGEST_ROW + 5) + '"\nT2,y\n')
    assert grid.torn["line"][0] == 2
    assert cells(grid)[-1] == ("T2", "y")


def test_a_row_with_more_cells_than_names_is_torn():
    grid = grid_of("ticket_id,notes\nT1,a,b\nT2,y,,\n")
    assert cells(grid) == [("T2", "y")]
    assert grid.torn["reason"][0].startswith("3 cells under 2 column names")


def test_a_row_with_fewer_cells_than_names_has_empty_ones():
    assert cells(grid_of("ticket_id,engine_id,notes\nT1\n")) == [("T1", None, None)]


def test_zero_bytes_tear_their_row_and_are_made_visible():
    grid = grid_of("ticket_id,notes\nT1,a\x00b\nT2,y\n")
    assert cells(grid) == [("T2", "y")]
    assert grid.torn["raw"].to_list() == ["T1,a\u2400b"]


def test_a_header_alone_gives_no_rows():
    assert grid_of("ticket_id,notes").rows.height == 0


def test_a_header_cell_may_hold_a_line_end():
    assert grid_of('"ticket_id","meter_h","Engine\nhours"\nT1,1,2\n').header == ("ticket_id", "meter_h", "Engine\nhours")


def test_one_column_alone_is_read():
    assert cells(grid_of("ticket_id\nT1\nT2\n")) == [("T1",), ("T2",)]


def test_a_table_too_wide_to_be_one_is_refused():
    with pytest.raises(UnreadableFile, match="columns or more"):
        grid_of("ticket_id" + ",x" * 5000 + "\n")


CELL = st.text(st.sampled_from("ab ,;\"'\n\t|é0.-"), max_size=8)


@given(st.lists(st.tuples(CELL, CELL, CELL), max_size=12), st.sampled_from([",", ";", "\t", "|"]), st.booleans())
def test_whatever_a_careful_writer_writes_is_read_back(rows, delimiter, quote_all):
    """Against the writer of the standard library: every row with anything in it comes back, cell by cell."""
    written = io.StringIO()
    writer = csv.writer(written, delimiter=delimiter, lineterminator="\n", quoting=csv.QUOTE_ALL if quote_all else csv.QUOTE_MINIMAL)
    writer.writerow(["ticket_id", "engine_id", "notes"])
    # A lone row whose first line alone fills all columns could also be three rows; rows here end in a mark that no line break follows.
    marked = [(one, two.replace("\n", " "), "end" + three.replace("\n", " ")) for one, two, three in rows]
    writer.writerows(marked)
    grid = grid_of(written.getvalue())
    assert grid.torn.height == 0
    assert [tuple(cell or "" for cell in row) for row in cells(grid)] == marked


@given(st.text(st.sampled_from('ab,;"\n\r\t x\x00'), max_size=200))
def test_no_line_is_lost_whatever_the_quotes(body):
    """Lines of rows and of torn rows, with the lines that quoted cells run over, are all the lines that hold anything."""
    grid = grid_of("ticket_id,engine_id,notes\n" + body)
    taken = [*grid.rows.select("line", "raw").rows(), *grid.torn.select("line", "raw").rows()]
    covered = {line + extra for line, raw in taken for extra in range(raw.count("\n") + 1)}
    held = {number for number, line in enumerate(("header\n" + body).split("\n"), 1) if number > 1 and line.strip(' \t\r",')}
    assert held <= covered
