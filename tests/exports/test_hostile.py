"""Words that mean harm leave as the words they are: as tables, as a package with its dictionary, from records to files."""

import csv
import io
import json
import subprocess
import sys
import warnings
from html.parser import HTMLParser
from pathlib import Path

import polars as pl
import pytest

from pipelines.command.main import main
from pipelines.exports.answer import Answer, as_json
from pipelines.exports.frames import CUT, LONGEST_CELL, as_file
from pipelines.exports.package.contents import Package
from pipelines.exports.package.dictionary import dictionary
from tests.support.hostile import EVERY, LONG

FRAME = pl.DataFrame({"note": list(EVERY), "events": range(len(EVERY))})
HEAD = {"as_of": None, "ledger_version": 1, "records": 2, "left_out": 0}
# The carriage return and line feed of a line end are one to a reader of sheets.
IN_SHEETS = [word for word in EVERY if word != LONG]


def test_csv_json_and_parquet_keep_every_letter():
    told = [row["note"] for row in csv.DictReader(io.StringIO(as_file(FRAME, "csv").decode(), newline=""))]
    assert [word.removeprefix("'") if word[1:2] in "=+-@" else word for word in told] == list(EVERY)
    assert [row["note"] for row in json.loads(as_json(Answer(HEAD, FRAME)))["rows"]] == list(EVERY)
    assert pl.read_parquet(io.BytesIO(as_file(FRAME, "parquet")))["note"].to_list() == list(EVERY)


def test_a_sheet_keeps_every_letter_that_a_sheet_can_hold_and_says_where_it_is_cut():
    told = pl.read_excel(io.BytesIO(as_file(FRAME, "xlsx")))["note"].to_list()
    assert told[:-1] == IN_SHEETS
    assert len(told[-1]) == LONGEST_CELL
    assert told[-1].endswith(CUT)


class Tags(HTMLParser):
    """Every tag of a page and the words between them."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: set[str] = set()
        self.words = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:  # noqa: ARG002
        self.tags.add(tag)

    def handle_data(self, data: str) -> None:
        self.words += data


@pytest.mark.parametrize("word", EVERY, ids=range(len(EVERY)))
def test_the_dictionary_shows_markup_as_words(word: str):
    page = Tags()
    page.feed(dictionary(Package(HEAD, {}, {"base": word}, word, (word,))))
    assert page.tags == {"html", "head", "meta", "title", "style", "body", "h1", "p", "h2", "ul"}
    assert word.split()[0] in page.words


@pytest.fixture(scope="module")
def harmful_fleet(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A ledger whose boats, bases, models, parts and notes are words that mean harm."""
    folder = tmp_path_factory.mktemp("harmful")
    words = [" ".join(word.split())[:60] for word in EVERY if word != LONG]
    ids = [f"B{place}" for place in range(len(words))]
    boats = pl.DataFrame({"vessel_id": ids, "name": words, "base": words, "vessel_class": words[::-1]})
    engines = boats.select(
        pl.format("E{}", "vessel_id").alias("engine_id"),
        "vessel_id",
        pl.col("base").alias("engine_model"),
        pl.lit("outboard").alias("drive"),
        pl.lit("petrol").alias("fuel"),
        pl.lit("2020-01-01").alias("commissioned_on"),
    )
    readings = pl.concat(
        [
            engines.select("engine_id", pl.lit(f"{2020 + year}-12-01").alias("read_on"), pl.lit(200.0 * (year + 1)).alias("meter_h"))
            for year in range(4)
        ]
    )
    tickets = pl.concat(
        [
            engines.select(
                pl.format("T{}-{}", "engine_id", pl.lit(year)).alias("ticket_id"),
                pl.lit("1").alias("line_no"),
                "engine_id",
                pl.lit(f"{2020 + year}-0{6 + year}-15").alias("done_on"),
                pl.lit(110.0 + 205.0 * year).alias("meter_h"),
                pl.lit("drive belt").alias("component"),
                pl.lit("renew").alias("action"),
                pl.lit("failed").alias("reason"),
                pl.col("engine_model").alias("notes"),
            )
            for year in range(3)
        ]
    )
    calls = engines.select(
        pl.format("C{}", "engine_id").alias("call_id"),
        "vessel_id",
        pl.lit("2022-08-01").alias("called_at"),
        pl.lit("overheats").alias("symptom"),
        pl.col("engine_model").alias("cause"),
        pl.lit(LONG).alias("notes"),
    )
    records = folder / "records"
    records.mkdir()
    told = {"vessels": boats, "engines": engines, "hour_readings": readings, "service_tickets": tickets, "rescue_calls": calls}
    for kind, rows in told.items():
        (records / f"{kind}.csv").write_bytes(as_file(rows, "csv"))
    assert main(["intake", str(records), "--ledger", str(folder / "fleet.duckdb")]) == 0
    return folder / "fleet.duckdb"


@pytest.mark.slow
def test_a_fleet_of_harmful_words_leaves_as_a_valid_package_that_recomputes(harmful_fleet: Path, tmp_path: Path, capsys, monkeypatch):
    folder = tmp_path / "figures"
    assert main(["export", str(folder), "--ledger", str(harmful_fleet), "--as", "xlsx", "parquet"]) == 0
    capsys.readouterr()
    monkeypatch.chdir(folder)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        from frictionless import Package as Checked

        report = Checked("datapackage.json").validate()
    assert [error.message for task in report.tasks for error in task.errors] == []
    assert "<script" not in (folder / "dictionary.html").read_text(encoding="utf-8").lower()
    bases = pl.read_parquet(folder / "boats.parquet")["base"].to_list()
    assert any(base and base.startswith("=HYPERLINK") for base in bases)
    done = subprocess.run([sys.executable, "recompute.py"], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr


@pytest.mark.slow
def test_papers_of_a_fleet_of_harmful_words_are_set(harmful_fleet: Path, tmp_path: Path, capsys):
    for paper in ("job-cards", "season-report", "briefing"):
        assert main(["print", paper, str(tmp_path / f"{paper}.pdf"), "--ledger", str(harmful_fleet)]) in (0, 1), paper
    capsys.readouterr()
    assert all(file.read_bytes().startswith(b"%PDF-") for file in tmp_path.glob("*.pdf"))
    assert list(tmp_path.glob("*.pdf"))
