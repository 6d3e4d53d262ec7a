"""What to stock on a real ledger: page, list and command show the same figures, at any horizon, level, budget and filter."""

import io
from pathlib import Path

import polars as pl
import pytest

from dashboard import shelves
from dashboard.readings import Scope
from dashboard.shelves import Wish
from pipelines.command.main import main
from tests.support.screens import open_screen, showing, words

pytestmark = pytest.mark.slow


@pytest.mark.parametrize(
    ("wish", "options"),
    [
        (Wish(120, 0.95), []),
        (Wish(240, 0.9), ["--horizon", "240d", "--service-level", "0.9"]),
        (Wish(120, 0.95, 200.0), ["--budget", "200"]),
    ],
    ids=["usual", "longer and less sure", "budget"],
)
def test_the_list_that_is_taken_is_the_one_that_the_command_writes(wish: Wish, options: list[str], small_ledger: Path, tmp_path: Path):
    file = tmp_path / "order.csv"
    assert main(["print", "order-list", str(file), "--ledger", str(small_ledger), *options]) == 0
    with showing(small_ledger):
        taken = shelves.listing("order-list", "csv", Scope(), wish, "a4")
        answer = shelves.stock(Scope(), wish)
    assert taken == file.read_bytes()
    table = pl.read_csv(io.BytesIO(taken))
    assert table.filter(pl.col("line") == "total")["cost"].sum() == pytest.approx(float(answer.rows["order_cost"].sum()))
    assert table.filter(pl.col("line") == "part").height == answer.rows.filter(pl.col("order_quantity") > 0).height


@pytest.mark.parametrize("show", ["order", "shelf", "part", "budget", "kit", "form"])
def test_every_view_opens_on_a_ledger(show: str, small_ledger: Path):
    page = open_screen("what_to_stock", small_ledger, {"show": show})
    assert not page.exception
    assert "ledger version 1" in words(page)


def test_the_kit_of_the_page_is_the_kit_of_the_command(small_ledger: Path, tmp_path: Path):
    file = tmp_path / "kit.csv"
    assert main(["print", "kit-list", str(file), "--ledger", str(small_ledger), "--kit-budget", "80"]) == 0
    with showing(small_ledger):
        answer = shelves.kits(Scope(), 80.0)
    assert answer is not None
    assert pl.read_csv(file)["tows_stopped"].to_list() == pytest.approx(answer.rows["tows_stopped"].to_list())
