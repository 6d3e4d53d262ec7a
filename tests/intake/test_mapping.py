import pytest

from pipelines.errors import WrongMapping
from pipelines.intake.mapping import Mapping, mapping_from, read_mapping

WHOLE = """
date_order = "day first"
decimal = ","
[columns]
"Job No." = "ticket_id"
"Old remarks" = ""
[constants]
currency = "EUR"
warranty = true
[words.component]
"imp." = "raw-water pump impeller"
"Wotsit" = "hub kit"
[words.vessel_id]
"No 14" = "B14"
[kind.rescue_calls]
date_order = "month first"
[kind.rescue_calls.columns]
"When" = "called_at"
["file"."calls 2023*"]
as = "rescue_calls"
decimal = "."
"""


def test_names_and_words_are_folded():
    rules = mapping_from(WHOLE).rules("a.csv")
    assert rules.columns == {"jobno": "ticket_id", "oldremarks": ""}
    assert rules.words["component"]["imp"] == "raw-water pump impeller"
    assert rules.words["vessel_id"] == {"no 14": "B14"}


def test_constants_are_text_like_cells():
    assert mapping_from(WHOLE).rules("a.csv").constants == {"currency": "EUR", "warranty": "true"}


def test_the_more_particular_wins():
    mapping = mapping_from(WHOLE)
    assert mapping.rules("a.csv", "service_tickets").date_order == "day first"
    assert mapping.rules("a.csv", "rescue_calls").date_order == "month first"
    assert mapping.rules("Calls 2023 late.csv", "rescue_calls").decimal == "."
    assert mapping.rules("calls 2023.csv").kind == "rescue_calls"
    assert mapping.rules("a.csv", "rescue_calls").columns["when"] == "called_at"


def test_words_of_a_list_are_gathered_from_all_levels():
    text = '[kind.plan.words.component]\n"x" = "anodes"\n[words.component]\n"y" = "thermostat"'
    assert mapping_from(text).words_of("component") == {"x": "anodes", "y": "thermostat"}


def test_the_text_is_kept_to_be_read_again():
    assert mapping_from(mapping_from(WHOLE).text) == mapping_from(WHOLE)


def test_an_empty_mapping_says_nothing():
    assert Mapping().rules("a.csv").columns == mapping_from("").rules("a.csv").columns == {}


def test_a_byte_order_mark_does_not_matter(tmp_path):
    (tmp_path / "m.toml").write_bytes(b"\xef\xbb\xbf" + WHOLE.encode())
    assert read_mapping(tmp_path / "m.toml").rules("a.csv").decimal == ","


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("columns = 3", r"columns: 3\. Here stands a table"),
        ('[columns]\n"a" = "tiket_id"', "'tiket_id'. Not a column here. The nearest is ticket_id"),
        ('[columns]\n"a" = 3', "3. Not a column here"),
        ('[colums]\n"a" = "ticket_id"', "'colums'. Not a part of a mapping here. The nearest is columns"),
        ('date_order = "dmy"', "Known: day first, month first, year first"),
        ("decimal = ';'", r"Known: \., ,"),
        ('as = "rescue_calls"', "'as'. Not a part of a mapping here"),
        ('[kind.tickets]\ndecimal = ","', "'tickets'. Not a record kind here. The nearest is service_tickets"),
        ('[words.action]\n"neu" = "renewing"', "'renewing'. Not an action here. The nearest is renew"),
        ("[words.action]\n'neu' = 3", "A word stands in quotes"),
        ('[words.parts]\n"a" = "b"', "Not a column here"),
        ('[constants]\n"colour" = "red"', "Not a column here"),
        ("[file]\nx = 3", r"x: 3\. Here stands a table"),
        ("a = = b", "is not TOML"),
    ],
)
def test_a_wrong_mapping_is_refused_with_the_place_and_the_nearest(text, why):
    with pytest.raises(WrongMapping, match=why) as fault:
        mapping_from(text, "yard.toml")
    assert str(fault.value).startswith("yard.toml")


@pytest.mark.parametrize("content", [b"\xff\xfe\x00", b"a = [" + b"[" * 100_000])
def test_a_mapping_that_is_no_text_or_no_toml_is_refused(tmp_path, content):
    (tmp_path / "m.toml").write_bytes(content)
    with pytest.raises(WrongMapping):
        read_mapping(tmp_path / "m.toml")


def test_a_mapping_that_is_not_there_is_refused(tmp_path):
    with pytest.raises(WrongMapping, match="cannot be read as a mapping"):
        read_mapping(tmp_path / "none.toml")
