"""Hours of labour come from the fleet's own tickets; where there are too few, what is assumed is said."""

import polars as pl

from pipelines.advice.labour import ASSUMED, LEAST_TICKETS, with_labour

TASKS = pl.DataFrame({"component": ["belt", "belt", "hose", "pump"], "task": ["renew", "inspect", "renew", "test"]})


def told(*lines: tuple[str, str, float | None]) -> list[tuple]:
    tickets = pl.DataFrame(lines, schema={"component": pl.String, "action": pl.String, "labour_h": pl.Float64}, orient="row")
    return with_labour(TASKS, tickets).select("labour_h", "labour_from").rows()


def test_the_median_of_the_parts_own_tickets_counts():
    lines = [("belt", "renew", 1.0), ("belt", "fit", 1.5), ("belt", "renew", 9.0)]
    assert told(*lines)[0] == (1.5, "median of 3 ticket lines")


def test_too_few_tickets_lean_on_those_of_the_same_task_and_say_so():
    lines = [("belt", "renew", 1.0)] * LEAST_TICKETS + [("hose", "renew", 5.0)]
    assert told(*lines)[2] == (1.0, "assumed: median of all 4 lines to renew")


def test_without_any_ticket_an_hour_is_assumed_and_said_so():
    assert told()[3] == (1.0, ASSUMED)


def test_no_hours_and_empty_hours_are_not_counted_as_work():
    assert told(*[("belt", "renew", 0.0)] * 5, *[("belt", "renew", None)] * 5)[0] == (1.0, ASSUMED)


def test_repairs_tell_nothing_of_renewals():
    assert told(*[("belt", "repair", 6.0)] * 9)[0] == (1.0, ASSUMED)
