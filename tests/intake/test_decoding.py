import contextlib
import hashlib
from typing import BinaryIO

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipelines.errors import UnreadableFile
from pipelines.intake import decoding
from pipelines.intake.decoding import Source, decode, read_source

LINE = "vessel_id;name\nB1;Möwe – 5 °C £\n"


def text_of(data: bytes) -> str:
    return decode(Source("a.csv", data))


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "utf-32", "cp1252"])
def test_the_usual_encodings_are_read(encoding):
    assert text_of(LINE.encode(encoding)) == LINE


def test_windows_1252_is_taken_for_itself_even_when_short():
    assert text_of("name\nChloé\n".encode("cp1252")) == "name\nChloé\n"


def test_another_one_byte_encoding_is_told_by_its_letters():
    russian = "имя;заметки\nЧайка;замена крыльчатки насоса, ремень в порядке\n" * 20
    assert text_of(russian.encode("cp1251")) == russian


def test_a_line_of_windows_1252_amid_utf_8_is_read_as_such():
    lines = ["Möwe", "Café", "Größe", "naïve"]
    mixed = b"\n".join([*(line.encode() for line in lines), "Möwe alt".encode("cp1252")])
    assert text_of(mixed).split("\n") == [*lines, "Möwe alt"]


def test_carriage_returns_alone_end_lines():
    assert text_of(b"a\r1\r2\r") == "a\n1\n2\n"


def test_a_damaged_utf_16_file_is_refused_with_the_place():
    with pytest.raises(UnreadableFile, match="begins as utf-16 but is damaged at byte"):
        text_of(LINE.encode("utf-16") + b"\x00\xd8")


@pytest.mark.parametrize(
    ("data", "why"),
    [
        (b"\x89PNG\r\n\x1a\n" + bytes(range(256)) * 20, "is not text"),
        (b"%PDF-1.7 and so on", "is a PDF"),
        (b"\x1f\x8b\x08 packed", "is a packed file"),
        (b"PK\x03\x04 not a workbook", "is a packed archive"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" * 8, "an old workbook or one locked with a password"),
    ],
)
def test_what_is_not_text_is_refused_with_the_way_out(data, why):
    with pytest.raises(UnreadableFile, match=why) as fault:
        text_of(data)
    assert "CSV, XLSX, Parquet or JSON lines" in str(fault.value)


@pytest.mark.parametrize("data", [b"", b" \r\n\n", b"\xef\xbb\xbf", b"\xff\xfe", b"\x00" * 40])
def test_an_empty_file_is_refused_as_empty(tmp_path, data):
    (tmp_path / "a.csv").write_bytes(data)
    with pytest.raises(UnreadableFile, match="the file is empty"):
        read_source(tmp_path / "a.csv")


def test_a_folder_in_place_of_a_file_is_refused(tmp_path):
    with pytest.raises(UnreadableFile, match="cannot be opened"):
        read_source(tmp_path)


def test_a_file_that_grows_while_it_is_read_is_refused(tmp_path, monkeypatch):
    file = tmp_path / "a.csv"
    file.write_text(LINE)

    def slowly(read: BinaryIO, at_most: int) -> bytes:
        first = read.read(at_most)
        file.write_text(LINE * 2)
        return first

    monkeypatch.setattr(decoding, "_first_lines", slowly)
    with pytest.raises(UnreadableFile, match="was changed while it was read, so nothing of it was taken"):
        read_source(file, at_most=10)


def test_the_hash_is_the_sha_256_of_the_bytes(tmp_path):
    (tmp_path / "a.csv").write_bytes(LINE.encode())
    assert read_source(tmp_path / "a.csv").sha256 == hashlib.sha256(LINE.encode()).hexdigest()


@given(st.binary(max_size=400))
def test_any_bytes_are_text_or_are_refused(data):
    text = ""
    with contextlib.suppress(UnreadableFile):
        text = text_of(data)
    assert text.encode("utf-8").decode("utf-8") == text


@given(st.text(st.characters(exclude_categories=["Cs", "Cc"]), min_size=1, max_size=200))
def test_any_text_in_utf_8_is_read_as_it_is(text):
    assert text_of(("é" + text).encode("utf-8")) == "é" + text
