"""Invented fleets with one stocked part whose law is known: years of history, then a season that goes as it goes.

In: a seed. Out: `Year`s of use, the lives a yard would have written, and what the season truly asks for. Nothing here is taken from the
code that predicts: lives are drawn one by one from the law, day by day of use.
Elsewhere: what is foretold and how it is marked (`season_stock`).
"""

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

TODAY = date(2026, 3, 31)
YEARS = 4
MONTH_H_A_DAY = np.array([0.1, 0.1, 0.4, 0.9, 1.4, 2.0, 2.6, 2.6, 1.6, 0.8, 0.2, 0.1])
"""Engine hours a day of an even boat, January to December."""
EXPECTED_LIFE = 450.0
"""What the maker says; the truth lies around it as the prior has it."""
USE_SD = 0.12
BASES = ("north", "south")
LATE, LATE_SD = 1.03, 0.07
DAMAGE_A_HOUR = 1 / 6000
SEEN_FROM = 0.85
DAYS_A_MONTH = 365.25 / 12


@dataclass(frozen=True)
class Law:
    """The true law of a part on engine hours, its interval (infinite: none), and how many of those that wear out are caught in time."""

    shape: float
    scale: float
    every_h: float
    caught: float

    def life(self, rng: np.random.Generator) -> tuple[float, str]:
        """Draw how long a new part stays and how it ends."""
        fails = self.scale * rng.weibull(self.shape)
        seen = fails * rng.uniform(SEEN_FROM, 1.0) if rng.random() < self.caught else np.inf
        planned = self.every_h * max(0.5, rng.normal(LATE, LATE_SD)) if np.isfinite(self.every_h) else np.inf
        hit = rng.exponential(1 / DAMAGE_A_HOUR)
        ends = {"failed": fails, "condition": seen, "planned": planned, "outside damage": hit}
        ending = min(ends, key=lambda word: ends[word])
        return ends[ending], ending


@dataclass(frozen=True)
class Life:
    """One life as it went: engine, day it began and ended, age in hours and hours of the engine when it began, how it ended."""

    engine: int
    began: float
    ended: float
    began_h: float
    age_h: float
    ending: str


@dataclass(frozen=True, eq=False)
class World:
    """A fleet, its history, and the season that comes.

    Attributes
    ----------
    law
        The truth.
    base
        Base of each boat.
    a_day
        Shape (boats, days): hours run each day, from the beginning of the records to the end of the season.
    history
        Lives up to today, the last of each boat running.
    unseen
        Boats whose fitting nobody wrote down.
    ahead
        {base: days from today on which a part is asked for, in order}.
    """

    law: Law
    base: list[str]
    a_day: np.ndarray
    history: list[Life]
    unseen: set[int]
    ahead: dict[str, list[float]]

    @property
    def today(self) -> int:
        """Day of the records that is today."""
        return (TODAY - self.begins).days

    @property
    def begins(self) -> date:
        """First day of the records."""
        return TODAY - timedelta(days=round(YEARS * 365.25))


def draw_law(rng: np.random.Generator) -> Law:
    """Draw a truth as the prior has it: a fifth random, the others wearing out; half of them renewed by plan."""
    shape = 1.0 if rng.random() < 0.2 else float(np.exp(rng.normal(np.log(2.3), 0.4)))
    scale = float(EXPECTED_LIFE * np.exp(rng.normal(0, 0.5)))
    every = float(np.round(EXPECTED_LIFE * rng.uniform(0.4, 0.7), -1)) if rng.random() < 0.5 else np.inf
    return Law(shape, scale, every, float(rng.choice([0.0, 0.3])))


def draw_world(seed: int, days_ahead: int) -> World:
    """Draw a fleet, let it run through its history, and through the season."""
    rng = np.random.default_rng(seed)
    law, boats = draw_law(rng), int(rng.integers(10, 50))
    base = [BASES[int(rng.random() < 0.4)] for _ in range(boats)]
    a_day = _use(boats, days_ahead, rng)
    today = round(YEARS * 365.25)
    runs = [_run(number, a_day[number], law, rng) for number in range(boats)]
    history = [_cut(life, a_day[life.engine], today) for run in runs for life in run if life.began < today]
    ahead = {
        word: sorted(
            life.ended - today for run in runs for life in run if base[life.engine] == word and life.ended >= today and life.ending
        )
        for word in BASES
    }
    return World(law, base, a_day, history, set(np.flatnonzero(rng.random(boats) < 0.1).tolist()), ahead)


def _use(boats: int, days_ahead: int, rng: np.random.Generator) -> np.ndarray:
    """Hours run each day: the month, the boat, how good each season is, and chance."""
    days = [TODAY - timedelta(days=round(YEARS * 365.25)) + timedelta(days=n) for n in range(round(YEARS * 365.25) + days_ahead + 1)]
    seasons = np.exp(rng.normal(0, USE_SD, YEARS + 2))
    month = np.array([MONTH_H_A_DAY[day.month - 1] * seasons[(day - days[0]).days // 365] for day in days])
    boat = np.exp(rng.normal(0, 0.3, boats))
    return boat[:, None] * month * rng.gamma(2.0, 0.5, (boats, len(days)))


def _run(engine: int, a_day: np.ndarray, law: Law, rng: np.random.Generator) -> list[Life]:
    """Run one boat from new to the end of the season; the last life has no ending. At the start its part is of any age."""
    hours = np.concatenate([[0.0], np.cumsum(a_day)])
    lives, at_h = [], -float(rng.uniform(0, 150))
    while at_h < hours[-1]:
        lasts, ending = law.life(rng)
        end_h = at_h + lasts
        if end_h > 0:
            day = float(np.interp(end_h, hours, np.arange(hours.size)))
            over = end_h >= hours[-1]
            lives.append(Life(engine, _day(at_h, hours), hours.size - 1.0 if over else day, at_h, lasts, "" if over else ending))
        at_h = end_h
    return lives


def _day(at_h: float, hours: np.ndarray) -> float:
    return float(np.interp(at_h, hours, np.arange(hours.size))) if at_h > 0 else 0.0


def _cut(life: Life, a_day: np.ndarray, today: int) -> Life:
    """Give a life as it is known today."""
    if life.ending and life.ended < today:
        return life
    return Life(life.engine, life.began, float(today), life.began_h, float(a_day[:today].sum() - life.began_h), "running")
