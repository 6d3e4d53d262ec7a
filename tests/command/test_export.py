"""The data package: described, checked by the reference validator, made again elsewhere, whole or not there."""

import io
import json
import subprocess
import sys
import warnings
import zipfile
from pathlib import Path

import polars as pl
import pytest

from pipelines.command.main import main
from pipelines.exports.package import written
from pipelines.flow import copies, packaging
from pipelines.terms.package_tables import PACKAGE_TABLES
from pipelines.terms.scope import Scope
from pipelines.terms.settings import Settings
from tests.support.r_survival import has_survival
from tests.support.small_fleet import ask, refuse


@pytest.fixture(scope="module")
def package(taken, tmp_path_factory) -> Path:
    """The package of the small fleet in every form, made once."""
    folder = tmp_path_factory.mktemp("package") / "figures"
    assert main(["export", str(folder), "--ledger", str(taken), "--as", "csv", "xlsx", "parquet"]) == 0
    return folder


def table_of(package: Path, name: str) -> pl.DataFrame:
    return pl.read_csv(package / f"{name}.csv", infer_schema_length=None)


def test_the_reference_validator_finds_no_fault(package, monkeypatch):
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # the validator's own libraries warn of themselves
        from frictionless import Package

        monkeypatch.chdir(package)
        report = Package("datapackage.json").validate()
    faults = [f"{task.name}: {error.message}" for task in report.tasks for error in task.errors]
    assert faults + [error.message for error in report.errors] == []
    assert report.valid
    assert {task.name for task in report.tasks} == set(PACKAGE_TABLES)


@pytest.mark.slow
def test_the_validator_sees_a_key_twice_and_a_part_that_no_table_lists(package, tmp_path, monkeypatch):
    """The check above would be worth nothing if it passed all."""
    for file in package.iterdir():
        (tmp_path / file.name).write_bytes(file.read_bytes())
    lines = (tmp_path / "lives.csv").read_text(encoding="utf-8").split("\n")
    (tmp_path / "lives.csv").write_text("\n".join([*lines[:-1], lines[1], lines[2].replace(lines[2].split(",")[3], "no such part"), ""]))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        from frictionless import Package

        monkeypatch.chdir(tmp_path)
        report = Package("datapackage.json").validate()
    found = {error.type for task in report.tasks for error in task.errors}
    assert {"primary-key", "foreign-key"} <= found


def test_every_field_has_type_unit_and_meaning_and_the_package_its_sources_version_and_settings(package):
    told = json.loads((package / "datapackage.json").read_text(encoding="utf-8"))
    assert {"as_of", "ledger_version", "records", "left_out", "query", "sources", "methods", "currency"} <= set(told)
    assert all(source["title"] and len(source["sha256"]) == 64 for source in told["sources"])
    for resource in told["resources"]:
        fields = resource["schema"]["fields"]
        assert [field["name"] for field in fields] == table_of(package, resource["name"]).columns
        assert all(field["type"] and "unit" in field and field["description"] for field in fields)
        assert resource["rows"] == table_of(package, resource["name"]).height
    settings = dict(table_of(package, "settings").select("setting", "value").iter_rows())
    assert settings["level"] == "0.95"
    assert settings["prior.wears_out"] == "0.75"


@pytest.mark.parametrize(("verb", "name"), [("lives", "lives"), ("intervals", "intervals"), ("stock", "stock"), ("due", "due")])
def test_no_figure_changes_on_the_way_out(package, taken, capsys, verb, name):
    rows = ask(capsys, verb, "--ledger", taken)["rows"]
    book = pl.read_excel(package / "figures.xlsx", sheet_name=name, infer_schema_length=None)
    tables = {"csv": table_of(package, name), "parquet": pl.read_parquet(package / f"{name}.parquet"), "xlsx": book}
    figures = [column for column in rows[0] if any(isinstance(row[column], float | int) for row in rows)]
    assert figures
    for form, table in tables.items():
        for column in figures:
            told = [row[column] for row in rows]
            assert [None if cell is None else type(cell)(cell) for cell in table[column].to_list()] == told, (form, column)


def test_rates_and_fits_are_those_of_the_command(package, taken, capsys):
    rates = table_of(package, "rates")
    for of, by in (("calls", "cause"), ("failures", "component"), ("calls", "month")):
        rows = ask(capsys, "rates", "--ledger", taken, "--of", of, "--by", by)["rows"]
        held = rates.filter(pl.col("of") == of, pl.col("by") == by)
        assert held["group"].to_list() == [row["group"] for row in rows]
        assert held["high"].cast(pl.Float64).to_list() == [row["high"] for row in rows]
    fits = table_of(package, "fits")
    for clock in ("hours", "months"):
        rows = ask(capsys, "fits", "--ledger", taken, "--clock", clock)["rows"]
        held = fits.filter(pl.col("clock") == clock)
        assert held["b10"].cast(pl.Float64).to_list() == [row["b10"] for row in rows]
        assert held["posterior_b10_high"].to_list() == [row["posterior"]["b10_high"] for row in rows]
    assert table_of(package, "curves").height == sum(len(row["curve"]) for row in ask(capsys, "fits", "--ledger", taken)["rows"]) + sum(
        len(row["curve"]) for row in ask(capsys, "fits", "--ledger", taken, "--clock", "months")["rows"]
    )


def test_rows_in_are_the_sum_of_what_became_of_them_in_the_package_too(package):
    rows = table_of(package, "reconciliation")
    assert (rows["rows_in"] == rows["accepted"] + rows["repeated"] + rows["superseded"] + rows["left_out"]).all()
    left = table_of(package, "left_out").filter(pl.col("left_out_of") == "records")
    assert left["rows"].sum() == rows["left_out"].sum()


def test_plain_python_makes_the_main_figures_again(package):
    """Rates and curves to 12 digits, Weibull fits to 5: their likelihood is flat at its top."""
    done = subprocess.run([sys.executable, "recompute.py"], cwd=package, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    found = differences(done.stdout)
    assert found["rates of failures by part"] < 1e-12
    assert found["rates of calls by cause"] < 1e-12
    assert found["curves"] < 1e-12
    assert found["Weibull fits"] < 1e-5


@pytest.mark.r
def test_r_and_its_survival_package_make_the_main_figures_again(package):
    if not has_survival():
        pytest.skip("Rscript with the survival package is not installed (Debian: r-base-core, r-cran-survival)")
    done = subprocess.run(["Rscript", "recompute.R"], cwd=package, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    found = differences(done.stdout)
    assert found["curves (survfit)"] < 1e-12
    assert found["Weibull fits (survreg, no delayed entry)"] < 1e-6
    assert found["Weibull fits (optim)"] < 1e-5


@pytest.mark.slow
def test_a_figure_that_was_changed_is_told(package, tmp_path):
    for file in package.iterdir():
        (tmp_path / file.name).write_bytes(file.read_bytes())
    rates = table_of(package, "rates").with_columns(pl.col("high").cast(pl.Float64) * 1.001)
    rates.write_csv(tmp_path / "rates.csv")
    done = subprocess.run([sys.executable, str(package / "recompute.py"), str(tmp_path)], capture_output=True, text=True, check=False)
    assert done.returncode == 1
    assert differences(done.stdout)["rates of failures by part"] == pytest.approx(1e-3, rel=0.01)


def differences(told: str) -> dict[str, float]:
    """{what was made again: largest relative difference}; each of some figures."""
    found = {}
    for line in told.splitlines()[:-1]:
        name, said = line.split(": ")
        assert int(said.split(" ")[0]) > 0, line
        found[name] = float(said.rsplit(" ", 1)[1])
    return found


def test_the_dictionary_names_every_table_and_column_and_asks_nothing_of_the_internet(package):
    page = (package / "dictionary.html").read_text(encoding="utf-8")
    for table in PACKAGE_TABLES.values():
        assert f'<h2 id="{table.name}">' in page
        assert all(f"<td>{told.name}</td>" in page for told in table.columns), table.name
    assert "http" not in page.split("</style>")[1]
    assert not any(word in page for word in ("src=", "@import", "url(", "<script", "<link"))


@pytest.mark.slow
def test_csv_and_parquet_are_written_unless_other_forms_are_named(taken, tmp_path, capsys):
    assert main(["export", str(tmp_path / "usual"), "--ledger", str(taken)]) == 0
    assert "dictionary.html says what each column means" in capsys.readouterr().err
    assert main(["export", str(tmp_path / "sheets"), "--ledger", str(taken), "--as", "xlsx"]) == 0
    usual, sheets = ({file.suffix for file in (tmp_path / name).iterdir()} for name in ("usual", "sheets"))
    assert usual == {".csv", ".parquet", ".json", ".html", ".py", ".R"}
    assert sheets == {".csv", ".xlsx", ".json", ".html", ".py", ".R"}


@pytest.mark.slow
def test_filters_stand_in_the_descriptor_and_what_they_leave_out_is_said(taken, tmp_path, capsys):
    asked = ["--base", "Brantholm", "--since", "2020-01-01"]
    base = ask(capsys, "rates", "--ledger", taken, "--by", "base")["rows"][0]["group"]
    asked[1] = base
    assert main(["export", str(tmp_path / "some"), "--ledger", str(taken), *asked]) == 0
    assert "Rates of failures are not in it" in capsys.readouterr().err
    told = json.loads((tmp_path / "some" / "datapackage.json").read_text(encoding="utf-8"))
    assert told["query"] == {"base": base, "since": "2020-01-01"}
    assert set(table_of(tmp_path / "some", "rates")["of"]) == {"calls"}
    assert set(table_of(tmp_path / "some", "lives")["base"]) == {base}


def test_a_folder_that_holds_something_is_refused_and_stays_as_it_was(taken, tmp_path, capsys):
    (tmp_path / "mine.txt").write_text("keep me")
    told = refuse(capsys, 2, "export", tmp_path, "--ledger", taken)
    assert "holds something already" in told
    assert [file.name for file in tmp_path.iterdir()] == ["mine.txt"]


@pytest.mark.slow
def test_a_package_that_cannot_be_finished_leaves_nothing_behind(taken, tmp_path, capsys, monkeypatch):
    def full_disk(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(written, "dictionary", full_disk)
    told = refuse(capsys, 2, "export", tmp_path / "figures", "--ledger", taken)
    assert "No space left on device" in told
    assert list(tmp_path.iterdir()) == []


@pytest.mark.slow
def test_the_same_package_as_a_zip_is_the_same_to_the_byte(taken):
    with copies.current_copy(taken, Settings()) as copy:
        made = [written.zipped(packaging.package_of(copy, Scope(), Settings())) for _ in range(2)]
    assert made[0] == made[1]
    assert "datapackage.json" in zipfile.ZipFile(io.BytesIO(made[0])).namelist()
