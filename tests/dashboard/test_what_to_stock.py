"""What to stock: every view by a link, whole pieces everywhere, the form said back, and the same figures in the lists."""

from pathlib import Path
from typing import Any

import pytest

from dashboard import changes, shelves
from pipelines.errors import NoFigure
from pipelines.flow.shelf import ShelfChange, ShelfWritten
from tests.support.screens import downloads, open_screen, pictures, run, words

VIEWS = ("order", "shelf", "part", "budget", "kit", "form")


def opened(ledger: Path, show: str, **more: str) -> Any:
    page = open_screen("what_to_stock", ledger, {"show": show, **more})
    assert not page.exception
    return page


@pytest.mark.parametrize("show", VIEWS)
def test_every_view_opens_by_a_link(show: str, invented_flow: Path):
    page = opened(invented_flow, show)
    assert all(pictures(page))
    assert "As of 30 Sep 2025" in words(page)


def test_what_to_order_stands_by_supplier_with_its_sum(invented_flow: Path):
    told = words(opened(invented_flow, "order"))
    assert "Order 13 pieces of 2 parts" in told
    assert "2 pieces of 1 part on order already" in told
    assert "Engine agent: 1 line, 171\u00a0EUR" in told
    assert "No supplier named: 1 line, 92\u00a0EUR" in told


@pytest.mark.parametrize("show", ["order", "kit"])
def test_lists_can_be_had_as_paper_and_as_tables(show: str, invented_flow: Path):
    offered = " ".join(downloads(opened(invented_flow, show)))
    for kind in ("PDF", "XLSX", "CSV"):
        assert f"({kind})" in offered.replace("\\", "")


def test_one_part_tells_its_use_when_to_order_and_when_it_runs_out(invented_flow: Path):
    page = opened(invented_flow, "part")
    told = words(page)
    assert "**2 on the shelf**, 2 on order" in told
    assert "order 9 now" in told
    assert "passes 5\u00a0% on **5 Nov 2025**" in told
    assert "The same days of last year took 7." in told
    assert len(pictures(page)) == 3
    linked = opened(invented_flow, "part", part="PUMP-4 · bilge pump")
    assert "no lives yet" in words(linked)


def test_a_budget_lists_whole_packs_against_plain_rules(invented_flow: Path):
    page = opened(invented_flow, "budget", money="40")
    told = words(page)
    assert "**40\u00a0EUR** buys 2 pieces of 1 part for 38\u00a0EUR" in told
    assert "**Two of everything**: 80\u00a0EUR brings 70\u00a0%; the best buys bring 80\u00a0%" in told


def test_a_kit_tells_what_it_spares_what_is_not_known_and_what_to_mind(invented_flow: Path):
    told = words(opened(invented_flow, "kit")).replace("\\", "")
    assert "1 item could spare 0.25 of them (25\u00a0%)" in told
    assert "weight not recorded of 1 item: spark plugs" in told
    assert "50\u00a0% never came to light" in told
    assert "Petrol vapour" in told
    assert "Lifejackets" in told


def test_without_calls_the_kit_says_what_it_needs(invented_flow: Path, monkeypatch: pytest.MonkeyPatch):
    def refuse(*_: Any) -> None:
        raise NoFigure("none")

    monkeypatch.setattr(shelves, "kits_of", refuse)
    assert "Take in `rescue_calls`" in words(opened(invented_flow, "kit"))


@pytest.fixture
def written(monkeypatch: pytest.MonkeyPatch) -> list[Any]:
    """What the form wrote down."""
    kept: list[Any] = []

    def write(done: list[ShelfChange], by: str, because: str, form: str) -> ShelfWritten:
        kept.append((done, by, because, form))
        return ShelfWritten(7, 5, ("IMP-1 at Eelgrass Quay: 4 counted. 3 pieces more than that explains.",))

    monkeypatch.setattr(changes, "write_shelf", write)
    monkeypatch.setattr(changes, "take_back", lambda what, by: kept.append(("back", what.import_id, by)))
    return kept


def test_a_count_that_differs_is_told_before_it_is_written_and_said_back_after(invented_flow: Path, written: list[Any]):
    page = opened(invented_flow, "form", do="counted")
    assert page.button[-1].disabled
    page.number_input[0].set_value(4)
    run(page, invented_flow)
    assert "3 pieces more than that explains" in page.warning[0].value
    page.text_input(key="who writes").set_value("foreman")
    next(button for button in page.button if "Write down 1 part" in button.label).click()
    run(page, invented_flow)
    done, by, _, form = written[0]
    assert (done, by) == ([ShelfChange("IMP-1", "counted", 4, "Eelgrass Quay")], "foreman")
    assert len(form) == 12
    assert "4 counted" in page.success[0].value
    next(button for button in page.button if button.label == "Take it back").click()
    run(page, invented_flow)
    assert written[1] == ("back", 7, "foreman")
    assert "Taken back" in page.info[0].value


def test_an_order_placed_can_be_filled_in_as_the_order_list_says(invented_flow: Path, written: list[Any]):
    page = opened(invented_flow, "form", do="ordered")
    next(button for button in page.button if button.label == "As the order list says").click()
    page.text_input(key="who writes").set_value("foreman")
    run(page, invented_flow)
    next(button for button in page.button if "Write down 1 part ordered" in button.label).click()
    run(page, invented_flow)
    assert written[0][0] == [ShelfChange("IMP-1", "ordered", 9, "Eelgrass Quay")]


def test_receiving_shows_what_is_coming_and_whatever_else_came(invented_flow: Path, written: list[Any]):
    page = opened(invented_flow, "form", do="received")
    assert len(page.number_input) == 1
    page.multiselect[0].set_value([2])
    run(page, invented_flow)
    for field in page.number_input:
        field.set_value(3)
    page.text_input(key="who writes").set_value("foreman")
    run(page, invented_flow)
    next(button for button in page.button if "Write down 2 parts" in button.label).click()
    run(page, invented_flow)
    assert [(one.part_id, one.done, one.pieces) for one in written[0][0]] == [("IMP-1", "received", 3), ("COIL-2", "received", 3)]
