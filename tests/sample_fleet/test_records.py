"""Clean tickets, calls and lists say what happened, no more and no less."""

from functools import lru_cache

import numpy as np
import polars as pl
import pytest

from pipelines.terms.causes import CAUSES
from pipelines.terms.codes import ACTIONS, CODE_LISTS, FINDINGS, REASONS
from pipelines.terms.tables import RECORD_KINDS
from sample_fleet import charts, registers
from sample_fleet.books import call_book, ticket_book
from sample_fleet.calls import rescue_calls
from sample_fleet.planted import CAUSES as PLANTED_CAUSES
from sample_fleet.planted import PARTS
from sample_fleet.tickets import ticket_lines
from tests.sample_fleet.made import SEED, made


@lru_cache(maxsize=1)
def lines() -> pl.DataFrame:
    fleet = made()
    return ticket_lines(fleet.lives, PARTS, fleet.use, fleet.where, SEED, "bench 4")


@lru_cache(maxsize=1)
def tickets() -> pl.DataFrame:
    return ticket_book(lines(), made().where, SEED)


@lru_cache(maxsize=1)
def calls() -> pl.DataFrame:
    fleet = made()
    return rescue_calls(fleet.fleet, fleet.lives, PARTS, PLANTED_CAUSES, fleet.use, fleet.where, SEED)


def test_every_renewal_since_the_records_began_has_one_line():
    fleet = made()
    renewed = fleet.lives.drop_nulls("next_began")
    on_engine = (renewed["carried_by"] == "engine").to_numpy()
    carrier, day = renewed["carrier"].to_numpy(), renewed["next_began"].to_numpy()
    boat = np.where(on_engine, fleet.where.boat_of(np.where(on_engine, carrier, 0), day), carrier)
    begins = np.array([each.tickets_from for each in fleet.fleet.boats])[boat]
    kept = lines().filter((pl.col("action") == "renew") & (pl.col(".ending") != "back-dated"))
    assert len(kept) == int((np.floor(day) >= begins).sum())


def test_nothing_but_back_dated_lines_is_older_than_the_records():
    begins = pl.Series([boat.tickets_from for boat in made().fleet.boats]).gather(lines()[".boat"])
    early = lines().filter(lines()["done_on"] < begins)
    assert set(early[".ending"]) == {"back-dated"}
    assert set(early["action"]) == {"fit", "renew"}


def test_the_words_of_clean_tickets_are_codes():
    book = tickets()
    assert set(book["action"]) <= set(ACTIONS)
    assert set(book["reason"]) <= {*REASONS, ""}
    assert set(book["finding"]) <= {*FINDINGS, ""}
    assert set(book["cause"]) <= {*CAUSES, ""}
    assert set(book["component"]) <= {*CODE_LISTS["component"], "trim relay"}


def test_ticket_and_line_name_a_row_alone():
    assert tickets().select("ticket_id", "line_no").is_duplicated().sum() == 0


def test_a_ticket_is_about_one_boat_on_one_day():
    jobs = tickets().group_by("ticket_id").agg(pl.col("vessel_id").n_unique(), pl.col("done_on").n_unique())
    assert jobs["vessel_id"].max() == jobs["done_on"].max() == 1


def test_a_part_the_boat_carries_names_no_engine():
    carried = tickets().filter(pl.col("component").is_in(["start battery", "bilge pump"]))
    assert set(carried["engine_id"]) == {""}
    assert "" not in set(tickets().filter(pl.col("component") == "spark plugs")["engine_id"])


def test_what_a_bench_fitted_badly_is_mostly_on_its_tickets():
    bad = lines().filter(".bad_fit")
    assert len(bad) >= 1
    assert (bad["done_by"] == "bench 4").to_numpy().mean() > 0.4


def test_sound_findings_stand_before_the_failure():
    looks = lines().filter(pl.col(".ending") == "look")
    assert set(looks["finding"]) == {"sound", "worn"}
    assert (looks["done_on"] <= looks[".ended"]).all()


def test_calls_begin_with_the_call_log_and_each_failure_under_way_is_one():
    fleet = made()
    begins = pl.Series([boat.calls_from for boat in fleet.fleet.boats]).gather(calls()["boat"])
    assert (calls()["day"] >= begins).all()
    of_parts = calls().filter(pl.col("life") >= 0)
    assert of_parts["life"].is_duplicated().sum() == 0
    assert set(fleet.lives[of_parts["life"].to_list()]["ending"]) == {"called", "outside damage"}


def month_of(days: np.ndarray) -> np.ndarray:
    return days.astype("datetime64[D]").astype("datetime64[M]").astype(int) % 12 + 1


def test_operation_calls_come_at_their_planted_rate():
    fleet = made(300)
    many = rescue_calls(fleet.fleet, fleet.lives, PARTS, PLANTED_CAUSES, fleet.use, fleet.where, SEED)
    truth = next(cause for cause in PLANTED_CAUSES if cause.cause == "battery left flat")
    of_cause = many.filter(pl.col("cause") == truth.cause)
    summer = of_cause.filter(np.isin(month_of(of_cause["day"].to_numpy()), (6, 7, 8)))
    hours, months = np.diff(fleet.use.boat_hours.cumulative, axis=1), fleet.use.boat_hours.grid[:-1]
    begins = np.array([boat.calls_from for boat in fleet.fleet.boats])[:, None]
    watched = (hours * ((months >= begins) & np.isin(month_of(months), (6, 7, 8)))).sum()
    assert 1000 * len(summer) / watched == pytest.approx(truth.rate, rel=0.15)


def test_the_drifting_cause_drifts():
    fleet = made(300)
    many = rescue_calls(fleet.fleet, fleet.lives, PARTS, PLANTED_CAUSES, fleet.use, fleet.where, SEED)
    ropes = many.filter(pl.col("cause") == "rope or weed round propeller")
    day = ropes["day"].to_numpy()
    first, last = (day < 18993).sum(), (day > 20089).sum()
    assert last > 1.5 * first


def test_the_symptom_is_one_of_its_cause():
    for cause, symptom in calls().select("cause", "symptom").iter_rows():
        assert symptom in (CAUSES[cause].symptoms if cause else ("stops under way", "loses power"))


def test_the_call_book_has_the_columns_of_the_contract():
    book = call_book(calls(), made().where)
    assert tuple(name for name in book.columns if name[0] != ".") == RECORD_KINDS["rescue_calls"].column_names
    assert tuple(name for name in tickets().columns if name[0] != ".") == RECORD_KINDS["service_tickets"].column_names


@pytest.mark.parametrize(
    ("kind", "frame"),
    [
        ("vessels", registers.vessels(made().fleet)),
        ("engines", registers.engines(made().fleet, made().use, SEED)),
        ("engine_moves", registers.engine_moves(made().fleet)),
        ("components", charts.components(PARTS)),
        ("fitted", charts.fitted(PARTS)),
        ("trips", registers.trips(made().fleet, made().use, SEED)),
        ("parts", charts.shelf(PARTS, made().fleet, SEED)),
        ("costs", charts.costs(PARTS)),
        ("limits", charts.limits(PARTS)),
        ("plan", charts.plan(PARTS, made().fleet)),
    ],
)
def test_a_list_has_rows_and_every_column_that_its_kind_requires(kind, frame):
    required = {column.name for column in RECORD_KINDS[kind].columns if column.required}
    assert len(frame)
    assert required <= set(frame.columns)
    for name in required:
        assert "" not in set(frame[name])


def test_the_fleet_s_own_columns_are_one_that_matters_and_one_that_does_not():
    own = set(registers.vessels(made().fleet).columns) - set(RECORD_KINDS["vessels"].column_names)
    assert own == {"fuel_source", "hull_colour"}


def test_trips_add_up_to_the_hours_of_the_boat():
    fleet, trips = made(), registers.trips(made().fleet, made().use, SEED)
    boat = [each.vessel_id for each in fleet.fleet.boats].index(trips["vessel_id"][0])
    season = np.diff(fleet.use.boat_hours.cumulative[boat])[-9:-2].sum()
    told = trips.filter(pl.col("vessel_id") == trips["vessel_id"][0])["engine_h"].cast(pl.Float64).sum()
    assert told == pytest.approx(season, rel=0.03)
