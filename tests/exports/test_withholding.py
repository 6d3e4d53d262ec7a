import io
from datetime import date

import polars as pl
import pytest

from pipelines.command.main import main
from pipelines.exports.answer import Answer, as_csv, as_json
from pipelines.exports.calendar import calendar
from pipelines.exports.frames import FORMS, as_file
from pipelines.exports.text_table import as_table
from pipelines.exports.withholding import without_craft_numbers

NUMBER = "GB-ABC12345D626"
ROWS = pl.DataFrame({"vessel_id": ["W1", NUMBER], "group": [{"hin": NUMBER}, {"hin": "none"}], "events": [1, 2]})
HEAD = {"as_of": None, "ledger_version": 1, "records": 2, "left_out": 0}


def test_no_craft_identification_number_leaves_as_json_table_csv_sheet_or_parquet():
    answer = Answer(HEAD, ROWS, {"boats": pl.DataFrame({"extra": [f'{{"hin":"{NUMBER}"}}']})})
    told = [as_json(answer), as_table(answer, "other"), as_csv(ROWS), as_file(ROWS, "csv").decode()]
    told += [
        str(pl.read_parquet(io.BytesIO(as_file(ROWS, "parquet"))).to_dicts()),
        str(pl.read_excel(io.BytesIO(as_file(ROWS, "xlsx"))).to_dicts()),
    ]
    assert [text for text in told if NUMBER in text or "ABC12345" in text] == []
    assert all("[craft number]" in text for text in told)


def test_a_number_inside_a_list_or_a_group_of_a_list_is_withheld_too():
    frame = pl.DataFrame({"words": [["W1", NUMBER], None], "groups": [[{"hin": NUMBER}], []]})
    assert without_craft_numbers(frame).to_dicts() == [
        {"words": ["W1", "[craft number]"], "groups": [{"hin": "[craft number]"}]},
        {"words": None, "groups": []},
    ]


@pytest.mark.parametrize("form", FORMS)
def test_an_empty_group_stays_empty(form: str):
    frame = pl.DataFrame({"group": [{"water": "salt"}, None], "events": [1, 2]})
    told = {"csv": pl.read_csv, "parquet": pl.read_parquet, "xlsx": pl.read_excel}[form](io.BytesIO(as_file(frame, form)))
    assert told["group"].null_count() == 1


def test_a_frame_without_any_stays_as_it_is():
    plain = ROWS.filter(pl.col("events") > 5)
    assert without_craft_numbers(plain).equals(plain)
    assert without_craft_numbers(ROWS)["events"].equals(ROWS["events"])


def test_a_calendar_withholds_a_craft_identification_number():
    row = {"vessel_id": NUMBER, "engine_id": "E1", "component": "belt", "position": "", "task": "renew", "caution": "", "because": None}
    answer = Answer(
        HEAD | {"as_of": date(2026, 1, 2)}, pl.DataFrame([row | {"due_on": date(2026, 2, 3), "overdue": False, "deferred_until": None}])
    )
    told = calendar(answer)
    assert "ABC12345" not in told
    assert "[craft number]" in told


def test_the_file_of_rows_left_out_withholds_them_too(tmp_path, capsys):
    (tmp_path / "boats.csv").write_text(f"vessel_id,name,tank_l,hin\nB1,Reed,full,{NUMBER}\nB2,Rush,40,{NUMBER}\n", encoding="utf-8")
    left_out = tmp_path / "left.csv"
    words = [
        "intake",
        str(tmp_path / "boats.csv"),
        "--as",
        "vessels",
        "--ledger",
        str(tmp_path / "fleet.duckdb"),
        "--left-out",
        str(left_out),
    ]
    assert main(words) == 0
    capsys.readouterr()
    told = left_out.read_text(encoding="utf-8")
    assert "full" in told
    assert "ABC12345" not in told
