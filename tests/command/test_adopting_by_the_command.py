"""What was adopted is kept with who, when, why and the figures of that day, and can be taken back."""

from pipelines.command.main import main
from tests.support.small_fleet import ask

IMPELLER = "raw-water pump impeller"
SIGNED = ("--adopted-by", "Yard office", "--because", "Winter review")


def test_an_adoption_keeps_its_figures_and_is_undone_by_its_import(own_ledger, capsys):
    ask_of = ("intervals", "--ledger", own_ledger, "--component", IMPELLER)
    before = ask(capsys, *ask_of)
    ask(capsys, *ask_of, "--adopt", "impeller", *SIGNED)
    kept = ask(capsys, *ask_of, "--adopted")["rows"]
    told = before["rows"][0]
    assert [row["state"] for row in kept[:1]] == ["in force"]
    assert (kept[0]["adopted_by"], kept[0]["evidence_version"]) == ("Yard office", before["ledger_version"])
    assert (kept[0]["every_h"], kept[0]["then_verdict"], kept[0]["then_reason"]) == (told["renew_h"], told["verdict"], told["reason"])
    assert kept[0]["then_saving_per_year"] == told["saving_per_year"]
    assert '"evidence"' in kept[0]["figures"]
    assert main(["intake", "--undo", str(kept[0]["import_id"]), "--ledger", str(own_ledger)]) == 0
    capsys.readouterr()
    undone = ask(capsys, *ask_of, "--adopted")["rows"]
    assert [row["state"] for row in undone if row["row_id"] == kept[0]["row_id"]] == ["undone"]
    assert ask(capsys, *ask_of)["rows"][0]["current_h"] == told["current_h"]


def test_a_later_adoption_replaces_the_one_before(own_ledger, capsys):
    ask_of = ("intervals", "--ledger", own_ledger, "--component", IMPELLER)
    for hours in (150, 160):
        ask(capsys, *ask_of, "--adopt", IMPELLER, "--every-h", hours, "--every-months", 12, *SIGNED)
    kept = [row for row in ask(capsys, *ask_of, "--adopted")["rows"] if row["evidence_version"]]
    assert [(row["every_h"], row["state"]) for row in kept] == [(160, "in force"), (150, "replaced")]
