"""What stands on a visit card: the jobs of one visit, why that day, its parts and cautions, and nothing of another visit."""

from datetime import date

import polars as pl

from pipelines.exports.papers.blocks import Cautions, Words
from pipelines.exports.papers.work import NONE_DUE, visit_cards
from tests.exports.papers.test_contents import BOAT, DUE, PICKED

FIRST, NEXT = date(2026, 3, 2), date(2026, 5, 4)


def job(on: date, why: str, **said) -> dict:
    return DUE | {"visit_on": on, "why": why, "vessel_id": BOAT.vessel_id} | said


def cards(*jobs: dict):
    frame = pl.DataFrame(list(jobs))
    parts = pl.DataFrame([PICKED | {"visit_on": one["visit_on"], "vessel_id": one["vessel_id"]} for one in jobs])
    return visit_cards([BOAT], frame, parts, {DUE["component"]: "Fuel filter"}, 30)


def words(sheet) -> str:
    return repr(sheet.blocks)


def test_each_visit_has_a_sheet_in_the_order_of_their_days():
    later, sooner = job(NEXT, "Due that day: fuel filter."), job(FIRST, "Overdue: fuel filter.")
    first, second = cards(later, sooner)
    assert "Visit on 2026-03-02. Overdue: fuel filter." in words(first)
    assert "Visit on 2026-05-04. Due that day: fuel filter." in words(second)
    assert "2026-05-04" not in words(first)


def test_a_visit_card_has_the_cautions_of_its_work():
    (card,) = cards(job(FIRST, "Overdue: fuel filter."))
    assert any(isinstance(block, Cautions) for block in card.blocks)


def test_a_boat_that_is_not_asked_for_has_no_card():
    (card,) = cards(job(FIRST, "Overdue: fuel filter.", vessel_id="another boat"))
    assert [block for block in card.blocks if isinstance(block, Words) and NONE_DUE in repr(block)]


def test_without_visits_the_paper_says_so():
    nothing = pl.DataFrame([job(FIRST, "")]).clear()
    (card,) = visit_cards([BOAT], nothing, nothing, {}, 30)
    assert NONE_DUE in words(card)
    assert "30 days" in words(card)
