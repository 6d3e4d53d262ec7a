"""`towless print`: every paper from a real ledger, and what is refused."""

import polars as pl
import pytest

from pipelines.command.main import main
from pipelines.terms.papers import PAPERS
from tests.support.small_fleet import refuse


@pytest.mark.parametrize("paper", list(PAPERS))
def test_every_paper_prints(paper, taken, tmp_path, capsys):
    file = tmp_path / f"{paper}.pdf"
    assert main(["print", paper, str(file), "--ledger", str(taken), "--size", "letter"]) == 0
    told = capsys.readouterr()
    assert told.out == ""
    assert "does not certify a boat" in told.err
    assert file.read_bytes().startswith(b"%PDF-")


def test_one_boat_alone_has_one_card(taken, tmp_path, capsys):
    assert main(["print", "boat-cards", str(tmp_path / "card.pdf"), "--ledger", str(taken), "--boat", "V02"]) == 0
    assert "1 sheet." in capsys.readouterr().err


def test_a_boat_that_is_not_there_is_refused_with_the_nearest(taken, tmp_path, capsys):
    said = refuse(capsys, 2, "print", "boat-cards", tmp_path / "card.pdf", "--ledger", taken, "--boat", "V0Z")
    assert "'V0Z'" in said
    assert "nearest" in said
    assert not (tmp_path / "card.pdf").exists()


def test_a_file_that_is_there_is_not_overwritten(taken, tmp_path, capsys):
    file = tmp_path / "plan.pdf"
    file.write_text("mine")
    assert "is there already" in refuse(capsys, 2, "print", "plan", file, "--ledger", taken)
    assert file.read_text() == "mine"


@pytest.mark.parametrize("paper", [name for name, paper in PAPERS.items() if paper.as_table])
def test_a_list_is_a_table_too_by_the_ending_of_its_file(paper, taken, tmp_path, capsys):
    for form, begins in (("csv", b""), ("XLSX", b"PK")):
        file = tmp_path / f"{paper}.{form}"
        assert main(["print", paper, str(file), "--ledger", str(taken)]) == 0
        assert "row" in capsys.readouterr().err
        assert file.read_bytes().startswith(begins)
    assert (tmp_path / f"{paper}.csv").read_text(encoding="utf-8").count("\n") > 1


def test_the_order_list_of_a_budget_costs_no_more(taken, tmp_path):
    file = tmp_path / "order.csv"
    assert main(["print", "order-list", str(file), "--ledger", str(taken), "--budget", "150"]) == 0
    told = pl.read_csv(file)
    assert 0 < told.filter(pl.col("line") == "total")["cost"].item() <= 150


@pytest.mark.parametrize(
    ("paper", "ending", "said"), [("order-list", "ods", ".pdf, .xlsx, .csv"), ("plan", "xlsx", "can be had of order-list")]
)
def test_another_ending_is_refused_with_the_way_out(paper, ending, said, taken, tmp_path, capsys):
    file = tmp_path / f"list.{ending}"
    assert said in refuse(capsys, 2, "print", paper, file, "--ledger", taken)
    assert not file.exists()


def test_an_unknown_paper_is_refused(taken, tmp_path, capsys):
    with pytest.raises(SystemExit):
        main(["print", "certificate", str(tmp_path / "x.pdf"), "--ledger", str(taken)])
    assert "job-cards" in capsys.readouterr().err
