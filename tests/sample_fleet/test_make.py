"""The committed sample is what the generator makes, and the generator makes fleets of any size."""

import json
from functools import lru_cache
from pathlib import Path

import polars as pl
import pytest

import sample_fleet
from pipelines.intake.finding import find_files, mapping_beside
from pipelines.intake.mapping import read_mapping
from pipelines.intake.taking import Taken, read_file
from pipelines.terms.tables import RECORD_KINDS
from sample_fleet.make import SAMPLE_BOATS, SAMPLE_SEASONS, SAMPLE_SEED, main, make_fleet
from sample_fleet.planted import PARTS

ROOM = Path(sample_fleet.__file__).parent
COMMITTED = ROOM / "records"
MOST_BYTES = 3_000_000


def contents(folder: Path) -> dict[str, bytes]:
    return {str(path.relative_to(folder)): path.read_bytes() for path in sorted(folder.rglob("*")) if path.is_file()}


@lru_cache(maxsize=1)
def taken(folder: Path) -> list[Taken]:
    """Read every file of a folder as the intake does; the last folder is remembered."""
    beside = mapping_beside([folder])
    mapping = read_mapping(beside) if beside else None
    return [table for path in find_files([folder]) for table in read_file(path, mapping)]


def test_the_committed_records_are_rebuilt_byte_for_byte(tmp_path):
    assert main([str(tmp_path / "records"), "--truths", str(tmp_path / "truths.json")]) == 0
    made, held = contents(tmp_path / "records"), contents(COMMITTED)
    assert list(made) == list(held)
    assert [name for name in held if made[name] != held[name]] == []
    assert (tmp_path / "truths.json").read_bytes() == (ROOM / "truths.json").read_bytes()


def test_the_committed_records_are_small():
    assert sum(map(len, contents(COMMITTED).values())) < MOST_BYTES


def test_the_committed_records_hold_every_kind_and_nearly_all_rows_are_sound():
    tables = taken(COMMITTED)
    assert {table.kind for table in tables} == set(RECORD_KINDS)
    left_out = sum(table.left_out.height for table in tables)
    assert 5 <= left_out <= 0.005 * sum(table.rows_in for table in tables)


def test_the_committed_records_have_the_mess_of_real_ones():
    files = contents(COMMITTED)
    assert b";" in files["upper_tarnet_tickets.csv"].splitlines()[0]
    assert files["wellick_mouth_tickets.csv"].startswith(b"\xef\xbb\xbf")
    assert b"engine" not in files["wellick_mouth_call_log.csv"].splitlines()[0].lower()
    sheets = [table.sheet for table in taken(COMMITTED) if table.file == "brantholm_service.xlsx"]
    assert sheets == ["2020", "2021", "2022", "2023", "2024", "2025"]


def test_the_mapping_finds_the_boat_of_every_call_in_the_odd_log():
    boats = set(pl.read_csv(COMMITTED / "vessels.csv")["vessel_id"])
    log = next(table for table in taken(COMMITTED) if table.file == "wellick_mouth_call_log.csv")
    assert set(log.rows["vessel_id"]) <= boats


def test_the_truths_file_says_what_the_readme_promises():
    truths = json.loads((ROOM / "truths.json").read_text(encoding="utf-8"))
    assert (truths["boats"], truths["seasons"], truths["seed"]) == (SAMPLE_BOATS, SAMPLE_SEASONS, SAMPLE_SEED)
    assert [part["component"] for part in truths["parts"]] == [part.component for part in PARTS]
    readme = (ROOM / "README.md").read_text(encoding="utf-8")
    assert f"seed {SAMPLE_SEED}" in readme
    for part in PARTS:
        assert f"| {part.component} |" in readme


@pytest.mark.parametrize("boats", [4, 12])
def test_a_small_fleet_of_another_seed_can_be_made_and_taken_in(tmp_path, boats):
    truth = make_fleet(tmp_path, boats, 2, 77)
    assert truth.positions["vessel_id"].n_unique() <= boats
    assert {"vessels", "engines", "service_tickets", "rescue_calls"} <= {table.kind for table in taken(tmp_path)}


def test_clean_records_leave_nothing_out_and_are_one_file_a_kind(tmp_path):
    make_fleet(tmp_path, 30, 4, 8, mess=False)
    assert {path.stem for path in tmp_path.iterdir()} == set(RECORD_KINDS)
    assert all(table.left_out.is_empty() for table in taken(tmp_path))


def test_the_mess_changes_the_records_but_not_the_truth(tmp_path):
    messy, clean = (make_fleet(tmp_path / str(mess), 20, 4, 8, mess) for mess in (True, False))
    assert messy.parts == clean.parts
    assert messy.positions.equals(clean.positions)


def test_two_seeds_make_two_fleets_and_one_seed_one(tmp_path):
    first, again, other = (make_fleet(tmp_path / name, 10, 3, seed) for name, seed in (("a", 5), ("b", 5), ("c", 6)))
    assert contents(tmp_path / "a") == contents(tmp_path / "b") != contents(tmp_path / "c")
    assert first.parts == again.parts != other.parts


def test_positions_carry_what_scoring_needs(tmp_path):
    positions = make_fleet(tmp_path, 30, 4, 8).positions
    assert {"component", "factor", "hours_per_year", "engine_model", "base", "water", "fuel_source"} <= set(positions.columns)
    assert positions["hours_per_year"].to_numpy().min() > 1
    assert positions["factor"].to_numpy().min() > 0.2


@pytest.mark.parametrize("wrong", [["--boats", "2"], ["--seasons", "1"], ["--seed", "-1"]])
def test_a_size_that_cannot_be_is_refused_before_anything_is_made(tmp_path, wrong, capsys):
    with pytest.raises(SystemExit) as refused:
        main([str(tmp_path / "none"), *wrong])
    assert refused.value.code == 2
    assert "4 or more" in capsys.readouterr().err
    assert not (tmp_path / "none").exists()
