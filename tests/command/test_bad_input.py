"""Bad input: a clear error with the way out, the exit code of the contract, nothing changed, never a traceback."""

import pytest

from pipelines.command.main import main
from tests.support.small_fleet import refuse

VESSELS = "vessel_id,name\nB1,Reed\n"


def write(path, text):
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return path


def test_a_folder_with_nothing_in_it(tmp_path, capsys):
    (tmp_path / "empty").mkdir()
    assert "a folder with no records in it" in refuse(capsys, 2, "intake", tmp_path / "empty", "--ledger", tmp_path / "f.duckdb")


def test_a_path_that_is_not_there(tmp_path, capsys):
    assert "no such file or folder" in refuse(capsys, 2, "intake", tmp_path / "nowhere.csv", "--ledger", tmp_path / "f.duckdb")


@pytest.mark.parametrize(
    ("name", "content"),
    [("empty.csv", b""), ("noise.csv", bytes(range(256)) * 40), ("cut.xlsx", b"PK\x03\x04 cut short"), ("noise.parquet", b"PAR1nothing")],
)
def test_a_file_that_cannot_be_read_is_refused_whole(name, content, tmp_path, capsys):
    said = refuse(capsys, 2, "intake", write(tmp_path / name, content), "--ledger", tmp_path / "f.duckdb")
    assert name in said
    assert not (tmp_path / "f.duckdb").exists()


def test_columns_that_fit_no_kind_name_the_nearest_and_what_is_missing(tmp_path, capsys):
    said = refuse(
        capsys,
        2,
        "intake",
        write(tmp_path / "odd.csv", "engine_id,done_on,component\nE1,2024-05-01,belt\n"),
        "--ledger",
        tmp_path / "f.duckdb",
    )
    assert "service_tickets" in said
    assert "action" in said


def test_one_bad_file_among_good_ones_takes_nothing_in(tmp_path, capsys):
    write(tmp_path / "boats.csv", VESSELS)
    write(tmp_path / "odd.csv", "this,that\n1,2\n")
    refuse(capsys, 2, "intake", tmp_path, "--ledger", tmp_path / "f.duckdb")
    assert not (tmp_path / "f.duckdb").exists()


@pytest.mark.parametrize("content", [b"not a ledger at all\n" * 900, b"\x00" * 9000])
def test_a_ledger_that_is_not_one(content, tmp_path, capsys):
    ledger = write(tmp_path / "f.duckdb", content)
    refuse(capsys, 3, "intake", write(tmp_path / "boats.csv", VESSELS), "--ledger", ledger)
    refuse(capsys, 3, "records", "--ledger", ledger)
    assert ledger.read_bytes() == content


def test_no_ledger_yet_says_how_to_make_one(tmp_path, capsys):
    said = refuse(capsys, 3, "rates", "--ledger", tmp_path / "f.duckdb")
    assert "towless intake" in said
    assert "towless demo" in said


def test_a_ledger_in_a_folder_that_is_not_there(tmp_path, capsys):
    said = refuse(capsys, 2, "intake", write(tmp_path / "boats.csv", VESSELS), "--ledger", tmp_path / "nowhere" / "f.duckdb")
    assert "there is no folder" in said


def test_settings_that_are_wrong(tmp_path, taken, capsys):
    for text, said in [
        ("level = 1.5", "level: 1.5"),
        ("colour = 3", "colour: not a setting"),
        ("[prior]\nwears_out = 'much'", "'much'"),
        ("level =", "cannot be read as TOML"),
    ]:
        assert said in refuse(capsys, 2, "fits", "--ledger", taken, "--settings", write(tmp_path / "s.toml", text))


@pytest.mark.parametrize(
    "words",
    [
        ["rates", "--by", "colour"],
        ["rates", "--since", "yesterday"],
        ["due", "--within", "soon"],
        ["stock", "--service-level", "95"],
        ["fits", "--clock", "moons"],
        ["intake", "x.csv", "--as", "logbook"],
    ],
)
def test_a_word_of_the_command_that_cannot_be(words, capsys):
    with pytest.raises(SystemExit) as ended:
        main(words)
    assert ended.value.code == 2
    assert "Traceback" not in capsys.readouterr().err


def test_a_group_that_no_boat_has(taken, capsys):
    assert "'moon_phase'" in refuse(capsys, 2, "fits", "--ledger", taken, "--by", "moon_phase")


def test_records_without_a_single_date_give_no_figure(tmp_path, capsys):
    assert main(["intake", str(write(tmp_path / "boats.csv", VESSELS)), "--ledger", str(tmp_path / "f.duckdb")]) == 0
    capsys.readouterr()
    for verb in ("rates", "lives", "fits", "intervals", "due", "stock"):
        assert "No record has a date yet" in refuse(capsys, 1, verb, "--ledger", tmp_path / "f.duckdb")


def test_tickets_and_calls_with_no_list_of_boats_count_but_give_no_rate(tmp_path, capsys):
    write(tmp_path / "calls.csv", "call_id,vessel_id,called_at,cause\nC1,B1,2024-07-14,fuel exhausted\n")
    assert main(["intake", str(tmp_path), "--ledger", str(tmp_path / "f.duckdb")]) == 0
    capsys.readouterr()
    assert main(["rates", "--ledger", str(tmp_path / "f.duckdb")]) == 0
    assert "fuel exhausted" in capsys.readouterr().out


def test_nothing_to_take_in_says_what_to_name(tmp_path, capsys):
    assert "towless intake records/" in refuse(capsys, 2, "intake", "--ledger", tmp_path / "f.duckdb")


@pytest.mark.parametrize("verb", ["rates", "lives", "fits", "intervals", "due", "stock"])
def test_a_filter_with_a_slip_names_the_nearest_word(verb, taken, capsys):
    said = refuse(capsys, 2, verb, "--ledger", taken, "--component", "raw-water pump impellr")
    assert "'raw-water pump impellr': no component of that name in the records. The nearest is 'raw-water pump impeller'." in said


def test_an_answer_without_rows_says_so(taken, capsys):
    assert main(["lives", "--ledger", str(taken), "--until", "1999-01-01"]) == 0
    assert "Nothing in the records answers this" in capsys.readouterr().out


def test_a_file_to_write_that_is_there_already_is_not_overwritten(tmp_path, taken, capsys):
    boats = write(tmp_path / "boats.csv", VESSELS)
    assert "not overwritten" in refuse(capsys, 2, "intake", boats, "--ledger", tmp_path / "f.duckdb", "--left-out", boats)
    assert "not overwritten" in refuse(capsys, 2, "due", "--ledger", taken, "--calendar", boats)
    assert boats.read_text() == VESSELS
    assert not (tmp_path / "f.duckdb").exists()


def test_a_file_to_write_without_a_folder_is_refused_before_anything_is_taken_in(tmp_path, capsys):
    boats = write(tmp_path / "boats.csv", VESSELS)
    refuse(capsys, 2, "intake", boats, "--ledger", tmp_path / "f.duckdb", "--left-out", tmp_path / "nowhere" / "l.csv")
    assert not (tmp_path / "f.duckdb").exists()


def test_a_file_of_records_in_place_of_a_ledger_or_a_backup(tmp_path, capsys):
    boats = write(tmp_path / "boats.csv", VESSELS)
    refuse(capsys, 3, "records", "--ledger", boats)
    refuse(capsys, 3, "restore", boats, "--ledger", tmp_path / "f.duckdb")
    assert boats.read_text() == VESSELS
