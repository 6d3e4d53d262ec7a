"""A boat stays tied up until a person has looked when a part has failed, or what must be kept is passed; nothing else ties it up."""

from datetime import timedelta

import polars as pl

from pipelines.advice.due import due_tasks
from pipelines.advice.put_off import NOTHING_PUT_OFF
from pipelines.advice.tied_up import DECIDES, tied_up
from tests.advice.made import TODAY, catalogue, derived, even_use, fleet, positions, records
from tests.advice.test_due import NO_LOOKS, every, running
from tests.advice.test_put_off import put_off

BINDING = {"component": "part", "task": "renew", "max_h": 220.0}


def boats(*lives, plan=None, limits=(), safety=False, hidden=False, put_offs=(), count=1, looks=NO_LOOKS) -> pl.DataFrame:
    tables = {"plan": records("plan", *([every(200)] if plan is None else plan)), "limits": records("limits", *limits)}
    sort = catalogue({"component": "part", "safety": safety, "hidden": hidden})
    made = fleet(positions("part", count), engine_use=even_use(count), catalogue=sort, **tables)
    said = pl.DataFrame(list(put_offs), schema=NOTHING_PUT_OFF.schema)
    return tied_up(due_tasks(made, derived("lives", *lives), looks, (), TODAY, said), TODAY)


def reasons(*lives, **other) -> list[str]:
    told = boats(*lives, **other)
    return told["reasons"][0].to_list() if told.height else []


def test_an_overdue_part_that_is_no_safety_part_and_has_no_limit_ties_up_no_boat():
    assert reasons(running(230.0)) == []


def test_an_overdue_safety_part_ties_up_its_boat():
    told = reasons(running(230.0), safety=True)
    assert len(told) == 1
    assert told[0].startswith("safety part overdue: part of engine e0, since 17 Apr 2026")
    assert reasons(running(190.0), safety=True) == []


def test_a_limit_that_must_be_kept_ties_up_its_boat_once_it_is_passed():
    assert reasons(running(221.0), limits=[BINDING])[0].startswith("limit that must be kept is passed: part of engine e0")
    assert reasons(running(219.0), limits=[BINDING]) == []
    approved = BINDING | {"binding": False, "approval_note": "letter of 3 May"}
    assert reasons(running(221.0), limits=[approved]) == []


def test_a_part_that_failed_and_was_not_renewed_ties_up_its_boat():
    life = {**running(100.0, ending="found failed"), "ended_on": TODAY - timedelta(days=12)}
    assert reasons(life) == ["failed and not renewed: part of engine e0, since 20 May 2026"]


def test_a_hidden_function_that_was_not_tested_in_time_ties_up_its_boat():
    plan = [every(None, 2, task="test")]
    assert reasons(running(100.0, 5.0), plan=plan, hidden=True)[0].startswith("hidden function not tested in time: part of engine e0")
    tested = [("e0", "v0", "part", None, "test", TODAY - timedelta(days=30), None)]
    looks = NO_LOOKS.vstack(pl.DataFrame(tested, schema=NO_LOOKS.schema, orient="row"))
    assert reasons(running(100.0, 5.0), plan=plan, hidden=True, looks=looks) == []


def test_a_put_off_within_the_ceiling_unties_a_safety_part_and_nothing_else():
    limit = [BINDING | {"max_h": 260.0}]
    assert reasons(running(230.0), safety=True, limits=limit) != []
    assert reasons(running(230.0), safety=True, limits=limit, put_offs=[put_off()]) == []
    failed = running(100.0, ending="found failed")
    assert reasons(failed, put_offs=[put_off(put_off_on=TODAY)]) != []


def test_what_should_save_a_life_and_was_not_tested_comes_before_a_limit_that_is_passed():
    plan = [every(200), every(None, 2, task="test")]
    told = reasons(running(221.0, 5.0), plan=plan, hidden=True, limits=[BINDING])
    assert [reason.partition(":")[0] for reason in told] == ["hidden function not tested in time", "limit that must be kept is passed"]


def test_a_part_of_unknown_age_ties_up_no_boat():
    assert reasons(safety=True) == []


def test_a_boat_has_one_line_with_its_reasons_in_order_the_gravest_boats_first():
    lives = [running(221.0, engine="e0"), {**running(100.0, ending="found failed", engine="e1"), "vessel_id": "v1"}]
    told = boats(*lives, limits=[BINDING], count=2)
    assert told["vessel_id"].to_list() == ["v1", "v0"]
    assert told["jobs"].to_list() == [1, 1]
    both = boats(running(221.0), limits=[BINDING], safety=True, plan=[every(200), every(50, task="inspect")])
    assert both.height == 1
    assert both["reasons"][0].len() >= 1


def test_it_is_said_that_a_technician_decides():
    assert "certifies nothing" in DECIDES
    assert "licensed technician decides" in DECIDES
