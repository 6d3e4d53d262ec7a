"""Every screen opened empty and with figures: what it says, what it shows, what can be taken away."""

from pathlib import Path
from typing import Any

import polars as pl
import pytest

from dashboard import drawing, readings
from pipelines.errors import NoFigure
from pipelines.exports.answer import Answer
from pipelines.flow import adopting, answering
from pipelines.terms.cautions import DEFERENCE
from tests.dashboard import invented
from tests.dashboard.conftest import HEAD
from tests.support.screens import DRAWN, SCREENS, downloads, open_screen, pictures, run, words

ADVISING = ("this_week", "when_to_renew", "what_is_due", "what_to_stock", "were_we_right", "one_boat")


@pytest.mark.parametrize("screen", SCREENS)
def test_without_a_ledger_a_screen_says_how_to_make_one(screen: str, tmp_path: Path):
    page = open_screen(screen, tmp_path / "none.duckdb")
    assert not page.exception
    assert "towless demo" in words(page)
    assert not pictures(page)


@pytest.mark.parametrize("night", [False, True], ids=["day", "night"])
@pytest.mark.parametrize("screen", DRAWN)
def test_a_screen_opens_with_figures_pictures_and_a_foot(screen: str, invented_flow: Path, night: bool):
    page = open_screen(screen, invented_flow, night=night)
    assert not page.exception
    assert pictures(page)
    assert all(pictures(page)), "a picture says nothing to a screen reader"
    assert len(downloads(page)) >= len(pictures(page))
    assert "As of 30 Sep 2025 · ledger version 4" in words(page)


@pytest.mark.parametrize("screen", SCREENS)
def test_a_page_that_suggests_work_defers(screen: str, invented_flow: Path):
    told = words(open_screen(screen, invented_flow)).replace("\\", "")
    assert (DEFERENCE in told) == (screen in ADVISING)


@pytest.mark.parametrize("screen", DRAWN)
def test_beside_every_picture_stands_how_to_read_it(screen: str, invented_flow: Path):
    page = open_screen(screen, invented_flow)
    assert sum(popover.proto.popover.label == "How to read this" for popover in page.get("popover")) == len(pictures(page))


MADE = {"rates": invented.rates, "fits": invented.fits, "intervals": invented.intervals, "due": invented.due, "stock": invented.stock}


@pytest.mark.parametrize(
    ("screen", "verb", "way_out"),
    [
        ("what_strands_us", "rates", "Widen the filters"),
        ("how_long_parts_last", "fits", "No life of any part is known here"),
        ("when_to_renew", "intervals", "take in boats, engines, tickets and costs"),
        ("what_is_due", "due", "adopt it under When to renew"),
        ("what_to_stock", "stock", "Take in `parts`"),
    ],
)
def test_an_empty_answer_says_what_is_needed(screen: str, verb: str, way_out: str, invented_flow: Path, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(answering, verb, lambda *_, **__: Answer(HEAD, MADE[verb]().head(0)))
    page = open_screen(screen, invented_flow)
    assert not page.exception
    assert way_out in words(page)


def test_a_refusal_is_shown_in_its_own_words(invented_flow: Path, monkeypatch: pytest.MonkeyPatch):
    def refuse(*_: Any, **__: Any) -> Answer:
        raise NoFigure("No hours were watched *here*.")

    monkeypatch.setattr(answering, "due", refuse)
    page = open_screen("what_is_due", invented_flow)
    assert not page.exception
    assert page.warning[0].value == r"No hours were watched \*here\*\."


def test_a_link_opens_the_same_view(invented_flow: Path):
    page = open_screen("what_strands_us", invented_flow, {"base": "Saltern Basin", "by": "by engine model", "season": "2024"})
    assert page.selectbox("base").value == "Saltern Basin"
    assert page.selectbox("season").value == "2024"
    assert "By engine model" in words(page)


def test_a_link_to_what_is_not_there_opens_the_whole_fleet(invented_flow: Path):
    page = open_screen("what_strands_us", invented_flow, {"base": "Atlantis", "season": "1066", "of": "wishes"})
    assert not page.exception
    assert page.selectbox("base").value is None


def test_what_is_picked_is_shown(invented_flow: Path):
    page = open_screen("when_to_renew", invented_flow)
    page.selectbox("component").set_value("drive belt")
    run(page, invented_flow)
    assert "Drive belt" in words(page)
    assert "looking every 100 h costs less" in words(page)


def test_filters_reach_the_question(invented_flow: Path, monkeypatch: pytest.MonkeyPatch):
    asked = []
    before = answering.rates

    def noted(copy: Any, scope: Any, *rest: Any, **more: Any) -> Answer:
        asked.append(scope)
        return before(copy, scope, *rest, **more)

    monkeypatch.setattr(answering, "rates", noted)
    open_screen("what_strands_us", invented_flow, {"base": "Eelgrass Quay", "class": "day boat", "model": "TP-20", "season": "2024"})
    narrow = asked[-1]
    assert (narrow.base, narrow.vessel_class, narrow.model) == ("Eelgrass Quay", "day boat", "TP-20")
    assert (f"{narrow.since}", f"{narrow.until}") == ("2024-01-01", "2024-12-31")


def test_failures_of_parts_are_not_cut_into_seasons(invented_flow: Path):
    page = open_screen("what_strands_us", invented_flow, {"of": "failures of parts"})
    assert not page.exception
    assert "season" not in [box.key for box in page.selectbox]


def test_an_answer_is_made_once_for_all_who_ask(invented_flow: Path, monkeypatch: pytest.MonkeyPatch):
    asked = []
    before = answering.due
    monkeypatch.setattr(answering, "due", lambda *rest, **more: asked.append(1) or before(*rest, **more))
    for _ in range(3):
        open_screen("what_is_due", invented_flow)
    assert len(asked) == 1


def test_lives_are_split_and_one_curve_is_picked(invented_flow: Path):
    page = open_screen("how_long_parts_last", invented_flow, {"split": "by engine model", "row": "MD-35"})
    assert not page.exception
    assert page.selectbox("row").value == "MD-35"
    assert "Beside the other parts" in words(page)


@pytest.mark.parametrize(
    ("look", "told"),
    [
        ("still running", "The fitted line describes the failures"),
        ("Weibull paper", "The fitted line describes the failures"),
        ("hazard", "Hazard"),
        ("what they die of", "What they die of"),
        ("groups", "The groups differ** by more than chance"),
    ],
)
def test_the_lives_of_a_part_are_looked_at_in_every_way_by_a_link(invented_flow: Path, look: str, told: str):
    page = open_screen("how_long_parts_last", invented_flow, {"look": look})
    assert not page.exception
    assert told in words(page)
    assert len(pictures(page)) >= 2


@pytest.mark.parametrize("look", ["still running", "Weibull paper", "hazard", "what they die of", "groups"])
def test_a_part_with_one_failure_is_looked_at_or_said_to_have_too_few(invented_flow: Path, look: str):
    page = open_screen("how_long_parts_last", invented_flow, {"look": look, "component": "gearbox"})
    assert not page.exception
    assert len(pictures(page)) + len(page.info) >= 2


@pytest.mark.parametrize(
    ("pattern", "told"),
    [
        ("month by month", "No steady rise or fall"),
        ("time of year", "The months of the year differ"),
        ("boats", "V1 stands out"),
        ("adding up", "3 calls a boat"),
        ("costs", "750 EUR a boat"),
    ],
)
def test_what_lies_behind_the_rate_is_looked_at_in_every_way_by_a_link(invented_flow: Path, pattern: str, told: str):
    page = open_screen("what_strands_us", invented_flow, {"pattern": pattern})
    assert not page.exception
    assert told in words(page)


def test_two_rows_are_compared_and_each_remedy_has_its_share(invented_flow: Path):
    told = words(open_screen("what_strands_us", invented_flow, {"one": "seized"}))
    assert "seized: 1.30 times the rate of unknown" in told
    assert "crew briefing: **40" in told


def test_a_pattern_that_cannot_be_told_says_why(invented_flow: Path, monkeypatch: pytest.MonkeyPatch):
    def without_hours(*rest: Any, **more: Any) -> Answer:
        bare = {name: {"note": "No boat has hours."} for name in ("seasons", "boats", "recurrence", "cost_recurrence")}
        trend = {"note": "Too few months.", "breaks": [], "causes": []}
        answer = conftest_rates(*rest, **more)
        return Answer(answer.head, answer.rows, answer.extra | bare | {"trend": trend})

    conftest_rates = answering.rates
    monkeypatch.setattr(answering, "rates", without_hours)
    for pattern, told in (("boats", "No boat has hours"), ("month by month", "Too few months"), ("costs", "Costs cannot be added up")):
        page = open_screen("what_strands_us", invented_flow, {"pattern": pattern})
        assert not page.exception
        assert told in words(page)


def test_a_part_that_never_failed_has_no_curve_and_says_so(invented_flow: Path, monkeypatch: pytest.MonkeyPatch):
    before = answering.fits

    def without_curve(*rest: Any, **more: Any) -> Answer:
        answer = before(*rest, **more)
        return Answer(answer.head, answer.rows.with_columns(pl.col("curve").list.head(0)), answer.extra)

    monkeypatch.setattr(answering, "fits", without_curve)
    page = open_screen("how_long_parts_last", invented_flow)
    assert not page.exception
    assert "Nothing of it has failed yet" in words(page)


def test_a_part_that_cannot_be_weighed_has_no_cost_curve_and_says_so(invented_flow: Path):
    page = open_screen("when_to_renew", invented_flow, {"component": "gearbox"})
    assert not page.exception
    assert "No cost curve in engine hours for this part" in words(page)


def test_every_job_on_the_list_has_its_caution(invented_flow: Path):
    page = open_screen("what_is_due", invented_flow)
    assert "Engine stopped and cool" in words(page)
    (table,) = [frame for frame in page.dataframe if frame.value.shape[1] > 10][-1:]
    assert table.value["caution"].notna().to_list() == [True] * invented.due().height


def press(page: Any, label: str) -> None:
    """Press the button of that label."""
    next(button for button in page.button if button.label == label).click()


def test_an_interval_is_adopted_with_name_and_reason(invented_flow: Path, monkeypatch: pytest.MonkeyPatch):
    adopted = []

    def adopt(ledger: Path, adoption: Any, scope: Any, settings: Any) -> str:  # noqa: ARG001
        adopted.append(adoption)
        return "Adopted: raw-water pump impeller, every 150 h."

    monkeypatch.setattr(adopting, "adopt", adopt)
    page = open_screen("when_to_renew", invented_flow)
    next(field for field in page.number_input if field.label == "Every, engine hours").set_value(150.0)
    for label, told in (("Adopted by", "the manager"), ("Why", "two tows in June")):
        next(field for field in page.text_input if field.label == label).set_value(told)
    press(page, "Adopt")
    run(page, invented_flow)
    assert adopted == [adopting.Adoption(("raw-water pump impeller",), 150.0, 18.0, "the manager", "two tows in June")]
    assert "every 150 h" in page.success[0].value


def test_without_name_and_reason_nothing_is_adopted(invented_flow: Path, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(adopting, "adopt", lambda *_: pytest.fail("adopted"))
    page = open_screen("when_to_renew", invented_flow)
    press(page, "Adopt")
    run(page, invented_flow)
    assert "say who adopts it and why" in page.warning[0].value


def test_without_a_file_nothing_can_be_taken_in(invented_flow: Path):
    page = open_screen("records", invented_flow, {"view": "take-in"})
    assert not page.exception
    assert "Take in" not in [button.label for button in page.button]
    assert "before you have seen what it would come to" in words(page)


def test_hostile_words_from_the_records_stay_words(invented_flow: Path, monkeypatch: pytest.MonkeyPatch):
    hostile = '<img src=x onerror=alert(1)> ![a](http://far.example/a.png) $x$ :material/bolt: **bold** "\u202eevil'
    before = answering.intervals

    def named(*rest: Any, **more: Any) -> Answer:
        answer = before(*rest, **more)
        first = pl.int_range(pl.len()) == 0
        return Answer(
            answer.head, answer.rows.with_columns(pl.when(first).then(pl.lit(hostile)).otherwise("reason").alias("reason")), answer.extra
        )

    monkeypatch.setattr(answering, "intervals", named)
    page = open_screen("when_to_renew", invented_flow)
    assert not page.exception
    told = words(page)
    assert "![a]" not in told
    assert r"\!\[a\]" in told


def test_two_frames_that_differ_in_the_middle_only_are_drawn_apart():
    one = pl.DataFrame({"row": list(range(200))})
    other = one.with_columns(pl.when(pl.col("row") == 100).then(-1).otherwise("row").alias("row"))
    assert drawing.fingerprint(one) != drawing.fingerprint(other)
    assert drawing.fingerprint(one) == drawing.fingerprint(one.clone())


def test_what_each_column_means_is_told_with_its_unit():
    assert readings.meanings("rates")["exposure_h"].endswith("(engine hours)")
    assert readings.meanings("curve") == {}
