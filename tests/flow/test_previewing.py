"""A preview with what stands beside the file and what the ledger knows."""

from pipelines.flow.taking import Wish, preview, take_in
from pipelines.terms.settings import Settings

CALLS = "Boat,called_at,symptom\nB1,2024-07-14,hot\n"
MAPPING = '[columns]\nBoat = "vessel_id"\n'


def test_the_mapping_beside_a_file_is_used_unless_another_is_given(tmp_path):
    (tmp_path / "calls.csv").write_text(CALLS)
    (tmp_path / "mapping.toml").write_text(MAPPING)
    assert preview(tmp_path / "calls.csv")[0].kind == "rescue_calls"
    assert preview(tmp_path / "calls.csv", '[columns]\nBoat = ""')[0].refusal


def test_the_mapping_and_words_of_the_ledger_are_used_and_nothing_is_written(tmp_path):
    (tmp_path / "old").mkdir()
    (tmp_path / "old" / "calls.csv").write_text(CALLS)
    (tmp_path / "map.toml").write_text(f'{MAPPING}[words.symptom]\n"xyzzy" = "overheats"\n')
    (tmp_path / "new.csv").write_text("Boat,called_at,symptom\nB1,2024-07-14,plugh\n")
    ledger = tmp_path / "fleet.duckdb"
    assert preview(tmp_path / "new.csv", ledger_path=ledger)[0].refusal
    take_in(ledger, Wish((tmp_path / "old",), mapping=tmp_path / "map.toml"), Settings())
    before = ledger.read_bytes()
    (shown,) = preview(tmp_path / "new.csv", ledger_path=ledger)
    assert shown.kind == "rescue_calls"
    assert shown.words["word"].to_list() == ["plugh"]
    assert ledger.read_bytes() == before
