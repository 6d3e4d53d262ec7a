import polars as pl

from pipelines.exports.answer import Answer, as_json
from pipelines.exports.figures import write_figures
from pipelines.exports.listings import as_table
from pipelines.exports.withholding import without_craft_numbers

NUMBER = "GB-ABC12345D626"
ROWS = pl.DataFrame({"vessel_id": ["W1", NUMBER], "group": [{"hin": NUMBER}, {"hin": "none"}], "events": [1, 2]})
HEAD = {"as_of": None, "ledger_version": 1, "records": 2, "left_out": 0}


def test_no_craft_identification_number_leaves_as_json_table_csv_or_parquet(tmp_path):
    answer = Answer(HEAD, ROWS, {"boats": pl.DataFrame({"extra": [f'{{"hin":"{NUMBER}"}}']})})
    written = write_figures({"rates": answer}, tmp_path / "figures")
    texts = [as_json(answer), as_table(answer, "other"), *(file.read_text("utf-8") for file in written if file.suffix in (".csv", ".json"))]
    texts.append(str(pl.read_parquet(tmp_path / "figures" / "rates.parquet").to_dicts()))
    assert [text for text in texts if NUMBER in text or "ABC12345" in text] == []
    assert all("[craft number]" in text for text in (texts[0], texts[-1]))


def test_a_frame_without_any_stays_as_it_is():
    plain = ROWS.filter(pl.col("events") > 5)
    assert without_craft_numbers(plain).equals(plain)
    assert without_craft_numbers(ROWS)["events"].equals(ROWS["events"])
