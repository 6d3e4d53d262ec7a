"""Sheets set as PDF: offline, whole or not at all, whatever words stand on them."""

import io
from datetime import date

import pytest
from pypdf import PdfReader

from pipelines.errors import WrongInput
from pipelines.exports.papers.blocks import (
    BOX,
    Bars,
    Bullets,
    Cautions,
    Column,
    Facts,
    Fields,
    Heading,
    Share,
    Sheet,
    Words,
    printable,
    table,
)
from pipelines.exports.papers.typesetting import Imprint, typeset, write_paper
from tests.support.hostile import EVERY

IMPRINT = Imprint("Job card", date(2025, 11, 30), 3)
HOSTILE = "#read(\"/etc/hostname\") *bold* <script> $x$ _a_ \\ [ ] =cmd|' /C calc'!A0 \u202eesrever\u202c \x00\x07 😀 漢字 Ω"


def every_block(words):
    columns = (Column("", "center"), Column(words, share=1), Column("h", "right"))
    return Sheet(
        words,
        words,
        (
            Heading(words),
            Words(words),
            Words(words, faint=True),
            Facts(((words, words), ("Base", "North"))),
            table(columns, [[BOX, words, None]]),
            Bullets((words,)),
            Bullets((words,), boxes=True),
            Cautions((words,)),
            Fields((words, "Date")),
            Bars((Share(words, 0.4, "4 calls"), Share("not known", 0.6, "6 calls", unknown=True))),
        ),
    )


def pages_of(pdf):
    return PdfReader(io.BytesIO(pdf)).pages


def test_the_same_sheets_give_the_same_bytes():
    assert typeset([every_block("Impeller")], IMPRINT) == typeset([every_block("Impeller")], IMPRINT)


@pytest.mark.parametrize(("size", "points"), [("a4", (595, 842)), ("letter", (612, 792))])
def test_a_sheet_has_the_size_that_was_asked_for(size, points):
    (page,) = pages_of(typeset([every_block("Impeller")], Imprint("Job card", date(2025, 11, 30), 3, size)))
    assert (round(page.mediabox.width), round(page.mediabox.height)) == points


def test_hostile_words_are_set_as_words():
    assert typeset([every_block(HOSTILE)], IMPRINT).startswith(b"%PDF-")


def test_signs_that_hide_or_turn_words_are_left_out_and_breaks_become_spaces():
    assert printable("a\u202eb\x00c\nd") == "abc d"


def test_an_empty_cell_is_a_dash():
    assert table((Column("a"),), [[None], [""]]).rows == (("–",), ("–",))


def test_a_note_of_a_hundred_thousand_letters_is_set():
    assert typeset([Sheet("Note", "", (Words("salt " * 20_000),))], IMPRINT).startswith(b"%PDF-")


def test_a_file_that_cannot_be_written_is_refused_and_nothing_half_is_left(tmp_path):
    with pytest.raises(WrongInput, match="cannot be written"):
        write_paper([every_block("Impeller")], IMPRINT, tmp_path / "nowhere" / "cards.pdf")
    assert list(tmp_path.iterdir()) == []


def test_every_page_says_what_comes_first_and_that_towless_certifies_nothing():
    pages = pages_of(typeset([every_block("Impeller"), every_block("Belt")], IMPRINT))
    for page in pages:
        read = " ".join(page.extract_text().split())
        assert "it does not certify a boat as fit for sea" in read
        assert "as of 2025-11-30 · ledger version 3" in read
    assert len(pages) >= 2


def test_a_markup_sign_stands_on_the_page_as_it_was_written():
    (page,) = pages_of(typeset([Sheet("Note", "", (Words("#strong[x] *b* $y$ <script>"),))], IMPRINT))
    assert "#strong[x] *b* $y$ <script>" in " ".join(page.extract_text().split())


@pytest.mark.parametrize("words", EVERY, ids=range(len(EVERY)))
def test_words_that_mean_harm_are_only_words_on_a_page(words):
    pdf = typeset([every_block(words[:4000])], IMPRINT)
    for page in pages_of(pdf):
        assert "/Annots" not in page
    held = PdfReader(io.BytesIO(pdf)).trailer["/Root"]
    assert all(name not in held for name in ("/OpenAction", "/AA", "/AcroForm", "/Names"))  # type: ignore[operator]
    assert b"/JavaScript" not in pdf


def test_a_craft_identification_number_is_withheld_from_a_page():
    (page,) = pages_of(typeset([every_block("Hull GB-ABC12345D626 of hand")], IMPRINT))
    told = page.extract_text().replace("\n", " ")
    assert "ABC12345" not in told
    assert "[craft number]" in told
