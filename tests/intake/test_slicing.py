"""A file taken in by parts gives what the same file gives as a whole: rows, rows left out, reasons, remarks and each row as it came."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipelines.errors import TowlessError, UnreadableFile
from pipelines.intake import slicing
from pipelines.intake.mapping import Mapping, mapping_from
from pipelines.intake.masking import mask
from pipelines.intake.masks import Known
from pipelines.intake.parts import Lines
from pipelines.intake.plain_cells import plain_cells
from pipelines.intake.slicing import NeedsWhole, NotUtf8, ShowsOtherwise, Sliced, open_sliced, recoded
from pipelines.intake.taking import Taken, read_file
from tests.intake.conftest import TODAY
from tests.intake.test_nasty_files import EXPECTED, FILES

HEADER = "call_id,vessel_id,called_at,meter_h,symptom,cost,notes,mooring\n"


@contextmanager
def small_parts(first: int, part: int) -> Iterator[None]:
    before = slicing.FIRST, slicing.PART
    slicing.FIRST, slicing.PART = first, part
    try:
        yield
    finally:
        slicing.FIRST, slicing.PART = before


def by_parts(path: Path, mapping: Mapping, as_kind: str = "") -> tuple[Sliced, list[Taken]] | None:
    """Read a file by parts as taking in does; nothing if it is one that must be read whole."""
    try:
        sliced = open_sliced(path, "", mapping, as_kind, TODAY)
        while sliced is not None:
            try:
                return sliced, list(sliced.slices())
            except ShowsOtherwise as otherwise:
                sliced = settled(otherwise.sliced, mapping, as_kind)
            except NotUtf8:
                sliced = open_sliced(path, "", mapping, as_kind, TODAY, recoded(path))
    except NeedsWhole:
        pass
    return None


def settled(sliced: Sliced, mapping: Mapping, as_kind: str) -> Sliced | None:
    try:
        return sliced.settle()
    except NotUtf8:
        return open_sliced(sliced.path, "", mapping, as_kind, TODAY, recoded(sliced.path))


def with_text(parts: list[Taken]) -> pl.DataFrame:
    """Rows of all parts with each row as it came, from the lines of its part if it has no text of its own."""
    frames = []
    for part in parts:
        first, lines = part.text or (0, b"")
        texts = lines.decode().split("\n")
        raw = [
            raw if raw is not None else texts[line - first].removesuffix("\r") for line, raw in part.rows.select("line", "raw").iter_rows()
        ]
        frames.append(part.rows.with_columns(pl.Series("raw", raw, pl.String)))
    return pl.concat(frames)


def assert_the_same(path: Path, first: int, part: int, mapping: str = "", as_kind: str = "") -> bool:
    """Compare both ways; say whether the file could be read by parts."""
    said = mapping_from(mapping) if mapping else Mapping()
    (whole,) = read_file(path, said, as_kind, TODAY)
    with small_parts(first, part):
        found = by_parts(path, said, as_kind)
    if found is None:
        return False
    sliced, parts = found
    rows, out = with_text(parts), pl.concat([each.left_out for each in parts])
    assert rows.sort("line").rows() == whole.rows.select(rows.columns).sort("line").rows()
    assert dict(rows.schema) == {name: whole.rows.schema[name] for name in rows.columns}
    assert out.sort("line").rows() == whole.left_out.sort("line").rows()
    assert (sliced.kind, sliced.header, sliced.remarks) == (whole.kind, whole.header, whole.remarks)
    return True


@pytest.mark.parametrize("expected", [row for row in EXPECTED if row["outcome"] == "taken"], ids=lambda row: row["file"])
def test_nasty_files_give_the_same_by_parts(expected):
    if len(read_file(FILES / expected["file"], today=TODAY)) == 1:
        assert_the_same(FILES / expected["file"], 150, 40)


DATES = [
    "2024-07-14",
    "2024-07-14 09:30",
    "14/07/2024",
    "03/04/2024",
    "07/14/2024",
    "14.7.24",
    "31/02/2024",
    "2031-01-01",
    "n/a",
    "",
    "soon",
]
NUMBERS = [
    "12.5",
    "1240",
    "1.243",
    "1,243",
    "12,5",
    "1.234,5",
    "-4",
    "1e3",
    "1e0005",
    "inf",
    "nan",
    " 7 ",
    "7 h",
    "",
    "full",
    "+5",
    ".5",
    "5.",
]
WORDS = ["hot", " hot ", "N/A", "Hot", "14.0", '3" hose', "a,b", "", "none", "\u00a0stiff\u00a0", "ü", "tba", "unknown", "-"]


@st.composite
def rows_of_calls(draw) -> str:
    """A file of calls: mostly plain rows, so that parts are plain too, and now and then any mess."""
    plain = draw(st.booleans())
    dates, numbers = (DATES[:2], NUMBERS[:2]) if plain else (DATES, NUMBERS)
    ids, boats = st.sampled_from(["C1", "C2", "", "C3.0", "7.0"]), st.sampled_from(["B1", "B2", "007"])
    days, amounts, words = st.sampled_from(dates), st.sampled_from(numbers), st.sampled_from(WORDS)
    cells = st.tuples(ids, boats, days, amounts, words, amounts, words, st.sampled_from(["north", "", "a\nb", 'x"y']))
    end, quoting = draw(st.sampled_from(["\n", "\r\n"])), draw(st.sampled_from(["minimal", "all", "none"]))
    lines = [_line(row, quoting) for row in draw(st.lists(cells, min_size=1, max_size=25))]
    odd = draw(
        st.lists(st.sampled_from(["", ",,,,,,,", '"', HEADER.strip(), 'C9,B1,2024-07-14,"open', "a,b", ",".join("x" * 9)]), max_size=2)
    )
    for text in odd:
        lines.insert(draw(st.integers(0, len(lines))), text)
    return HEADER.replace("\n", end) + end.join(lines) + draw(st.sampled_from(["", end]))


def _line(row: tuple[str, ...], quoting: str) -> str:
    return ",".join(_cell(cell, quoting) for cell in row)


def _cell(cell: str, quoting: str) -> str:
    needs = any(sign in cell for sign in ',"\n')
    doubled = cell.replace('"', '""')
    return f'"{doubled}"' if quoting == "all" or (needs and quoting == "minimal") else cell


@given(rows_of_calls(), st.integers(90, 400), st.integers(20, 300))
def test_any_file_gives_the_same_by_parts(tmp_path_factory, content, first, part):
    path = tmp_path_factory.mktemp("parts") / "calls.csv"
    path.write_bytes(content.encode())
    try:
        read_file(path, None, "rescue_calls", TODAY)
    except TowlessError:
        return
    assert_the_same(path, first, part, as_kind="rescue_calls")


def plain_calls(count: int) -> str:
    return HEADER + "".join(f"C{number},B{number % 7},2024-07-{number % 28 + 1:02},{number}.5,hot,,ok,north\n" for number in range(count))


def test_plain_lines_are_read_by_parts_and_keep_their_text_in_the_part(yard):
    path = yard.write(plain_calls(300), "calls.csv")
    assert assert_the_same(path, 500, 2000)
    with small_parts(500, 2000):
        _, parts = by_parts(path, Mapping()) or (None, [])
    assert len(parts) > 5
    assert all(part.text is not None for part in parts[1:])
    assert all(part.rows["raw"].null_count() == part.rows.height for part in parts[1:])


@pytest.mark.parametrize(
    "late",
    [
        "C,B1,14/07/2024,1,hot,,,\nD,B1,03/04/2024,1,hot,,,\n",
        'C,B1,2024-07-14,"12,5",hot,,,\nD,B1,2024-07-14,"1,243",hot,,,\n',
        'C,B1,2024-07-14,12,hot,"1.234.567",,\n',
        "C,B1,24/05/03,12,hot,,,\n",
        'C,B1,2024-07-14,"74,000.5",hot,,"late, but right",\n',
        'C,B1,2024-07-14,12,hot,,"over\ntwo lines",\nD,B1,2024-07-14,12,hot,,,\n',
        "C,B1,2024-07-14,12,hot,,Anchor \u00a0,\n",
    ],
)
def test_what_only_the_end_of_the_file_shows_holds_for_all_of_it(yard, late):
    assert assert_the_same(yard.write(plain_calls(200) + late, "calls.csv"), 500, 2000)


def test_a_mapping_holds_for_every_part(yard):
    mapping = 'date_order = "month first"\ndecimal = ","\n[words.vessel_id]\n"B1" = "Tern"\n[constants]\noutcome = "towed"'
    content = plain_calls(100) + "C,B1,03/04/2024,1,hot,,,\n"
    assert assert_the_same(yard.write(content, "calls.csv"), 500, 1000, mapping)


TOLD = ["", "ok", "spoke to Mr Quillfeather", 'rung by Oona, "at once"', "ring 07700 900123, or oona@example.org", "plate AB12 CDE", "été"]


@given(st.lists(st.tuples(st.sampled_from(TOLD), st.sampled_from(["2024-07-14", "soon"])), min_size=20, max_size=60))
def test_who_somebody_is_is_masked_alike_by_parts(tmp_path_factory, rows):
    path = tmp_path_factory.mktemp("masks") / "calls.csv"
    lines = [_line((f"C{number}", "B1", day, "1", "hot", "", told, "north"), "minimal") for number, (told, day) in enumerate(rows)]
    path.write_text(HEADER + "\n".join(lines), encoding="utf-8")
    whole = mask(read_file(path, None, "rescue_calls", TODAY)[0], Known.of([]))
    with small_parts(120, 300):
        _, parts = by_parts(path, Mapping(), "rescue_calls") or (None, [])
    masked = [mask(replace(part, sha256=whole.taken.sha256), Known.of([])) for part in parts]
    assert with_text([each.taken for each in masked]).rows() == whole.taken.rows.rows()
    assert pl.concat([each.taken.left_out for each in masked]).rows() == whole.taken.left_out.rows()
    assert {sort: sum(each.counts[sort] for each in masked) for sort in whole.counts} == whole.counts


@pytest.mark.parametrize("cell", ["1_000", "1e3", "1E5", "1e0005", "+5", "5.", ".5", "inf", "nan", "0x1F", "1 000", "1'000", "-0", "12.50"])
def test_a_number_is_read_as_the_careful_reader_reads_it(yard, cell):
    assert assert_the_same(
        yard.write(plain_calls(60) + f"C,B1,2024-07-14,{cell},hot,,,\n" + plain_calls(9)[len(HEADER) :], "c.csv"), 500, 900
    )


@pytest.mark.parametrize(
    "line", ["", "C,B1,2024-07-14", "C,B1,2024-07-14,1,hot,,,,,", 'C,B1,2024-07-14,1,"ho""t",,,', "\ufeffC,B1,2024-07-14,1,hot,,,"]
)
def test_rows_of_another_form_amid_plain_ones_are_read_as_they_are_alone(yard, line):
    assert assert_the_same(yard.write(plain_calls(60) + line + "\n" + plain_calls(9)[len(HEADER) :], "calls.csv"), 500, 900)


def test_a_part_whose_bytes_are_no_utf_8_is_not_plain():
    for few in (True, False):
        assert plain_cells("E1,Möwe\n".encode("cp1252"), ",", (few, few)) is None
    assert plain_cells("E1,Möwe\n".encode(), ",", (True, False)) is not None


def test_tickets_without_line_numbers_are_read_whole(yard):
    tickets = yard.write("ticket_id,engine_id,done_on,component,action\nT1,E1,2024-07-14,anodes,renew\n", "t.csv")
    assert by_parts(tickets, Mapping()) is None


@pytest.mark.parametrize(
    ("encoding", "note"),
    [
        ("cp1252", "Möwe läuft heiß"),
        ("cp1251", "сильная вибрация на холостом ходу"),
        ("mac_roman", "bougies encrassées à revoir à l’été"),
    ],
)
@pytest.mark.parametrize("at", [0, 40, 99])
def test_another_encoding_is_read_by_parts_wherever_it_shows(yard, encoding, note, at):
    lines = plain_calls(100).splitlines()
    lines[1 + at : 2 + at] = [f"X{number},B1,2024-07-14,1,hot,,{note},north" for number in range(9)]
    path = yard.write("\n".join(lines).encode(encoding), "calls.csv")
    assert assert_the_same(path, 500, 900)


def test_a_line_of_windows_1252_amid_utf_8_and_a_late_order_of_dates_are_read_by_parts(yard):
    mixed = plain_calls(100).replace("hot", "été").encode()
    path = yard.write(mixed + "C,B1,14/07/2024,1,Möwe,,,\n".encode("cp1252") + b"D,B1,03/04/2024,1,hot,,,\n", "calls.csv")
    assert assert_the_same(path, 500, 900)


def test_a_file_marked_as_utf_8_that_is_not_is_left_to_be_refused(yard):
    path = yard.write(b"\xef\xbb\xbf" + plain_calls(100).encode() + "C,B1,2024-07-14,1,Möwe,,,\n".encode("cp1252"), "calls.csv")
    with small_parts(500, 900):
        assert by_parts(path, Mapping()) is None
    with pytest.raises(UnreadableFile, match="is damaged at byte"):
        read_file(path)


def test_a_file_that_is_written_to_while_it_is_read_is_refused(yard):
    path = yard.write(plain_calls(300), "calls.csv")
    with small_parts(500, 2000):
        parts = open_sliced(path, "", Mapping(), "", TODAY).slices()  # type: ignore[union-attr]
        next(parts)
        path.write_text(plain_calls(10))
        with pytest.raises(UnreadableFile, match="was changed while it was read"):
            list(parts)


def test_lines_are_given_whole_whatever_the_size_that_is_asked_for(yard):
    path = yard.write("\ufeffone\ntwo\nthree", "a.txt")
    with Lines.of(path) as lines:
        assert lines.part(2) == b"one\n"
        assert lines.ahead(4, 1) == b"two\n"
        lines.take(4)
        assert (lines.line, lines.part(5)) == (2, b"two\n")
        lines.take(4)
        assert (lines.part(100), lines.ahead(5, 3)) == (b"three", b"")
