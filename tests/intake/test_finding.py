from pathlib import Path

import pytest

from pipelines.errors import UnreadableFile
from pipelines.intake.finding import find_files, mapping_beside, passed_over


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    for name in ("b.csv", "a.XLSX", "deeper/c.parquet", "README.md", "mapping.toml", "~$a.xlsx", ".hidden.csv", ".git/d.csv"):
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_text("x")
    return tmp_path


def names(files: list[Path]) -> list[str]:
    return [file.name for file in files]


def test_a_folder_is_all_record_files_in_and_below_it(folder):
    assert sorted(names(find_files([folder]))) == ["a.XLSX", "b.csv", "c.parquet"]


def test_lock_files_and_hidden_files_are_no_records(folder):
    assert not {"~$a.xlsx", ".hidden.csv", "d.csv"} & set(names(find_files([folder])))


def test_what_a_folder_holds_besides_records_can_be_named(folder):
    assert names(passed_over([folder])) == ["README.md", "~$a.xlsx"]


def test_a_file_that_is_named_is_taken_whatever_its_ending(folder):
    assert names(find_files([folder / "README.md"])) == ["README.md"]


def test_a_pattern_is_the_files_it_fits(folder):
    assert names(find_files([str(folder / "*.csv")])) == ["b.csv"]


def test_a_file_that_is_named_twice_is_taken_once(folder):
    assert names(find_files([folder / "b.csv", folder, folder / "." / "b.csv"])).count("b.csv") == 1


def test_a_name_with_brackets_is_a_name_before_it_is_a_pattern(folder):
    (folder / "calls [2023].csv").write_text("x")
    assert names(find_files([folder / "calls [2023].csv"])) == ["calls [2023].csv"]


def test_a_mapping_in_the_folder_is_its_own(folder):
    assert mapping_beside([folder]) == folder / "mapping.toml"
    assert mapping_beside([folder / "b.csv"]) == folder / "mapping.toml"
    assert mapping_beside([folder / "deeper"]) is None


def test_a_folder_with_nothing_in_it_says_so(tmp_path):
    with pytest.raises(UnreadableFile, match="a folder with no records in it"):
        find_files([tmp_path])


def test_a_folder_with_only_notes_in_it_says_so(tmp_path):
    (tmp_path / "notes.md").write_text("x")
    with pytest.raises(UnreadableFile, match=r"Records end in \.csv"):
        find_files([tmp_path])


def test_a_file_that_is_not_there_is_named(tmp_path):
    with pytest.raises(UnreadableFile, match=r"nowhere\.csv: there is no such file or folder"):
        find_files([tmp_path / "nowhere.csv"])


def test_a_pattern_that_fits_nothing_says_so(tmp_path):
    with pytest.raises(UnreadableFile, match="no file fits this pattern"):
        find_files([str(tmp_path / "*.csv")])


def test_a_folder_in_a_hidden_place_has_its_files_all_the_same(tmp_path):
    folder = tmp_path / ".venv" / "records"
    folder.mkdir(parents=True)
    (folder / "boats.csv").write_text("vessel_id\nB1\n")
    assert [file.name for file in find_files([folder])] == ["boats.csv"]
