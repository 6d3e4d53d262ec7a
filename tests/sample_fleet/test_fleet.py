"""Boats, engines and their use are such as a hire fleet could have."""

from collections import Counter
from datetime import date, timedelta
from itertools import pairwise

import numpy as np
import pytest

from sample_fleet.fleet import BASES, CLASSES, MODELS, build_fleet
from tests.sample_fleet.made import made

DAY_NOUGHT = date(1970, 1, 1)


def test_every_boat_and_engine_has_its_own_number():
    fleet = build_fleet(300, 6, 9)
    assert len({boat.vessel_id for boat in fleet.boats}) == len({boat.name for boat in fleet.boats}) == 300
    assert len({engine.engine_id for engine in fleet.engines}) == len(fleet.engines)


def test_the_fleet_has_every_base_class_and_model():
    fleet = build_fleet(300, 6, 9)
    assert {boat.base for boat in fleet.boats} == set(BASES)
    assert {boat.vessel_class for boat in fleet.boats} == set(CLASSES)
    assert {engine.model for engine in fleet.engines} == set(MODELS)
    assert any(engine.place == "port" for engine in fleet.engines)


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_no_engine_is_on_two_boats_at_once_and_no_place_holds_two_engines(seed):
    fleet = build_fleet(200, 6, seed)
    for key in (lambda stay: stay.engine, lambda stay: (stay.vessel, stay.place)):
        for owner in {key(stay) for stay in fleet.stays}:
            stays = sorted((stay.began, stay.ended) for stay in fleet.stays if key(stay) == owner)
            assert all(ended <= began for (_, ended), (began, _) in pairwise(stays))


def test_engines_move_between_boats_of_the_same_model():
    fleet = build_fleet(300, 6, 9)
    moved = [engine for engine, count in Counter(stay.engine for stay in fleet.stays).items() if count > 1]
    assert moved
    for engine in moved:
        last = max((stay for stay in fleet.stays if stay.engine == engine), key=lambda stay: stay.began)
        assert fleet.engines[engine].withdrawn is None
        assert {fleet.engines[stay.engine].model for stay in fleet.stays if stay.vessel == last.vessel} == {fleet.engines[engine].model}


def test_some_boats_were_sold_and_most_are_older_than_the_records():
    fleet = build_fleet(300, 6, 9)
    assert 0.05 < np.mean([boat.withdrawn is not None for boat in fleet.boats]) < 0.25
    assert np.mean([boat.in_service < fleet.first for boat in fleet.boats]) > 0.6


def test_the_lake_s_records_begin_a_year_later():
    fleet = build_fleet(300, 6, 9)
    begins = {boat.base: (DAY_NOUGHT + timedelta(days=boat.tickets_from)).year for boat in fleet.boats}
    assert begins == {"Brantholm": 2020, "Wellick Mouth": 2020, "Upper Tarnet": 2021}


def test_nothing_runs_in_winter():
    clock = made().use.boat_hours
    winter = [(DAY_NOUGHT + timedelta(days=int(day))).month in (11, 12, 1, 2, 3) for day in clock.grid[:-1]]
    assert np.all(np.diff(clock.cumulative, axis=1)[:, winter] == 0)


def test_an_engine_runs_only_while_it_is_in_the_fleet():
    fleet, clock = made().fleet, made().use.engine_hours
    for at, engine in enumerate(fleet.engines):
        assert clock.hours_at(np.array([at]), np.array([float(engine.commissioned)])) == 0
        if engine.withdrawn:
            total = clock.cumulative[at, -1]
            assert clock.hours_at(np.array([at]), np.array([float(engine.withdrawn)])) == pytest.approx(total)


def test_a_hire_boat_runs_a_few_hundred_hours_and_a_spare_hardly_any():
    year = np.diff(made(300).use.boat_hours.cumulative, axis=1)[:, -12:].sum(axis=1)
    running = year[year > 0]
    assert 150 < np.median(running) < 350
    assert 0.03 < np.mean(running < 60) < 0.2


def test_twins_run_nearly_alike():
    made_fleet = made(300)
    pairs = {}
    for at, engine in enumerate(made_fleet.fleet.engines):
        pairs.setdefault(engine.vessel, {})[engine.place] = made_fleet.use.engine_hours.cumulative[at, -1]
    ratios = [pair["port"] / pair["starboard"] for pair in pairs.values() if "port" in pair]
    assert min(ratios) > 0.8
    assert max(ratios) < 1.25


def test_every_boat_is_laid_up_each_winter_it_is_here_and_seen_each_spring():
    fleet, use = made().fleet, made().use
    layups = Counter(use.boat_layups.carrier.tolist())
    for at, boat in enumerate(fleet.boats):
        years = ((boat.withdrawn or fleet.last) - boat.in_service) / 365.25
        assert years - 1.5 <= layups[at] <= years + 1


def test_engines_are_seen_when_their_boat_is():
    use, where = made().use, made().where
    boats = set(zip(use.boat_visits.carrier.tolist(), use.boat_visits.day.tolist(), strict=True))
    seen = where.boat_of(use.engine_visits.carrier, use.engine_visits.day)
    assert set(zip(seen.tolist(), use.engine_visits.day.tolist(), strict=True)) <= boats


def test_a_meter_that_was_changed_starts_again_and_one_that_was_not_shows_the_hours():
    where, clock = made(300).where, made(300).use.engine_hours
    changed = np.flatnonzero(where.meters.changed < 1e8)
    day = where.meters.changed[changed] + 1
    assert len(changed) > 10
    assert np.all(where.meter_of(changed, day) < 15)
    plain = np.flatnonzero(where.meters.changed > 1e8)
    at_end = np.full(len(plain), 20000.0)
    assert where.meter_of(plain, at_end) == pytest.approx(clock.hours_at(plain, at_end) + where.meters.start[plain], abs=0.051)
