import json

import pytest

from pipelines.command.main import main

CALLS = """call_id,vessel_id,called_at,symptom,cause,component,notes
C1,W1,2025-05-01,stops,gremlins,imp.,"spoke to Mr Quillfeather"
C2,W1,2025-06-01,overheets,,wotsit,
"""
ENGINES = "engine_id,vessel_id,engine_model,commissioned_on\nE1,W1,Tarn 40,2024-01-01\n"
TICKETS = "ticket_id,engine_id,done_on,component,action,meter_h\nT1,E1,2025-03-01,impeller,renew,10\nT2,E1,2025-09-01,impeller,renew,310\n"
MAPPING = '[words.component]\n"wotsit" = "drive belt"\n'


@pytest.fixture(scope="module")
def ledger(tmp_path_factory):
    folder = tmp_path_factory.mktemp("words")
    for name, text in (("calls.csv", CALLS), ("engines.csv", ENGINES), ("tickets.csv", TICKETS), ("mapping.toml", MAPPING)):
        (folder / name).write_text(text, encoding="utf-8")
    path = folder / "fleet.duckdb"
    assert main(["intake", *(str(folder / f"{name}.csv") for name in ("calls", "engines", "tickets")), "--ledger", str(path)]) == 0
    return path


def asked(capsys, ledger, *words: str) -> dict:
    capsys.readouterr()
    assert main([*words, "--ledger", str(ledger), "--format", "json"]) == 0
    return json.loads(capsys.readouterr().out)


@pytest.mark.parametrize("word", ["raw-water pump impeller", "impeller", "IMP.", "Raw-Water Pump Impeller"])
def test_a_component_is_filtered_by_its_name_or_any_trade_word(capsys, ledger, word):
    assert {row["component"] for row in asked(capsys, ledger, "lives", "--component", word)["rows"]} == {"raw-water pump impeller"}


def test_a_component_is_filtered_by_the_fleets_own_mapped_word(capsys, ledger):
    assert asked(capsys, ledger, "rates", "--component", "wotsit")["rows"] == asked(capsys, ledger, "rates", "--component", "belt")["rows"]


def test_a_model_is_filtered_whatever_its_case(capsys, ledger):
    assert (
        asked(capsys, ledger, "lives", "--model", "tarn 40")["rows"] == asked(capsys, ledger, "lives", "--model", "Tarn 40")["rows"] != []
    )


def test_a_slip_in_a_filter_is_refused_with_the_nearest_and_not_guessed(capsys, ledger):
    assert main(["lives", "--component", "drive bellt", "--ledger", str(ledger)]) == 2
    assert "The nearest is" in capsys.readouterr().err


def test_groups_are_named_whatever_their_case(capsys, ledger):
    assert asked(capsys, ledger, "rates", "--by", "Cause")["rows"] == asked(capsys, ledger, "rates", "--by", "cause")["rows"]


def test_the_words_of_a_list_can_be_looked_up(capsys, ledger):
    told = {row["code"]: row["words"] for row in asked(capsys, ledger, "records", "--words", "action")["rows"]}
    assert "replaced" in told["renew"].split("; ")
    every = {row["list"] for row in asked(capsys, ledger, "records", "--words")["rows"]}
    assert {"component", "cause", "symptom", "finding", "action", "reason", "outcome"} <= every


def test_an_unknown_list_is_refused_with_those_that_are(capsys, ledger):
    assert main(["records", "--words", "colour", "--ledger", str(ledger)]) == 2
    assert "component, cause, symptom" in capsys.readouterr().err


def test_the_queue_shows_words_that_wait_and_a_word_and_a_row_are_settled_from_the_command_line(capsys, ledger):
    told = asked(capsys, ledger, "records", "--queue")
    assert told["uncoded"] == [{"list": "cause", "word": "gremlins", "rows": 1}]
    assert told["near_misses"] == [{"list": "symptom", "word": "overheets", "code": "overheats"}]
    assert asked(capsys, ledger, "records", "--settle", "cause", "gremlins", "belt broken", "--by", "A. Tester")["uncoded"] == []
    confirmed = asked(capsys, ledger, "records", "--confirm", "2", "cause", "impeller failed", "--by", "A. Tester")["confirmed"]
    assert [(row["row_id"], row["code"]) for row in confirmed] == [(2, "impeller failed")]
    assert main(["records", "--confirm", "two", "cause", "x", "--by", "A", "--ledger", str(ledger)]) == 2
    assert "--queue" in capsys.readouterr().err


def test_what_was_masked_is_told_by_records(capsys, ledger):
    assert asked(capsys, ledger, "records")["masked"] == [
        {"import_id": 1, "names": 1, "telephone_numbers": 0, "email_addresses": 0, "registration_marks": 0}
    ]


def test_intake_says_how_much_was_masked(capsys, tmp_path):
    (tmp_path / "calls.csv").write_text(CALLS, encoding="utf-8")
    assert main(["intake", str(tmp_path / "calls.csv"), "--ledger", str(tmp_path / "fleet.duckdb")]) == 0
    assert "1 name was masked before storing." in capsys.readouterr().err
