"""What strata that borrow strength bring, on models, bases and waters of known truth.

Run as a script it prints three tables: regret of an interval a model with few failures each (models fitted alone by maximum likelihood, all
taken as one, models that borrow strength); coverage of 90 % limits of a model's scale and B10, truths drawn from the prior; and how often a
column that matters, and one that does not, is used to tell lives apart.

    python -m tests.whole.strata_study [--fleets 100] [--seed 7]

In: nothing. Out: figures on standard output. Regret: true cost over the least possible, minus 1, without ceilings.
Elsewhere: regret by failures of one model (`interval_regret`), of whole fleets from raw records (`regret`).
"""

import argparse
from dataclasses import dataclass, replace

import numpy as np
import polars as pl

from pipelines.advice.age_replacement import cost_rates, weibull_running_time
from pipelines.advice.laws import tabulate
from pipelines.advice.prospect import Prospect
from pipelines.advice.use import Use
from pipelines.errors import NoFigure
from pipelines.fits.ages import ages_from_lives
from pipelines.fits.covariates import strata_posteriors, tell_apart
from pipelines.fits.knowledge import Knowledge
from pipelines.fits.posterior import Posterior, posterior
from pipelines.fits.splits import Strata, Whole
from pipelines.fits.weibull import fit_weibull
from pipelines.terms.settings import Prior, Settings

MODELS = 6
SEED = 7
WORDS = (2, 3, 3, 4, 6, 2)
"""Words of each column on offer; only the first ever matters."""
_AGES = {f"{part}_{clock}": pl.Float64 for clock in ("h", "months") for part in ("entry", "low", "high")}
_TYPICAL = 500.0
_USE = Use(np.array([200.0]), np.ones(1))
_TRIED = np.geomspace(30, 4000, 240)


@dataclass(frozen=True)
class Model:
    """A model as it is."""

    shape: float
    scale: float

    @property
    def b10(self) -> float:
        """Age by which a tenth has failed."""
        return self.scale * float(-np.log(0.9)) ** (1 / self.shape)

    def cost(self, age: float, failure_cost: float) -> float:
        """Cost an hour of renewing at an age (infinite: only at failure); a planned renewal costs 1."""
        relative = age / self.scale
        running = self.scale * weibull_running_time(relative, self.shape)
        return float(cost_rates(np.exp(-(relative**self.shape)), running, 1.0, failure_cost))


def draw_models(rng: np.random.Generator, prior: Prior) -> list[Model]:
    """Draw the models of one part from the prior of strata."""
    spreads = np.abs(rng.standard_normal(2)) * (prior.strata_shape_spread, prior.strata_scale_spread)
    middle = np.log([prior.wear_shape_median, _TYPICAL]) + rng.standard_normal(2) * (prior.wear_shape_sd, 0.0)
    return [Model(*np.exp(middle + spreads * rng.standard_normal(2))) for _ in range(MODELS)]


def draw_lives(rng: np.random.Generator, model: Model, failures: int) -> list[tuple[float, ...]]:
    """Draw lives until so many have failed: half renewed as planned, half still running."""
    planned = model.scale * rng.uniform(0.4, 1.2)
    rows = []
    while failures:
        life, stop = model.scale * rng.weibull(model.shape), planned * (1.0 if rng.random() < 0.5 else rng.random())
        failures -= life <= stop
        rows.append((0.0, min(life, stop), life if life <= stop else None, None, None, None))
    return rows


def taken_as_one(lives: pl.DataFrame, rng: np.random.Generator, prior: Prior) -> Whole:
    """The part as a whole, its maker's expected life as far off as the prior says."""
    known = Knowledge(expected_life=float(_TYPICAL * np.exp(prior.scale_sd_expected_life * rng.standard_normal())))
    found = posterior(ages_from_lives(lives, "hours"), prior, known, "hours")
    return Whole(found, lives, {"hours": known, "months": Knowledge()}, prior)


def draw_fleet(rng: np.random.Generator, failures: int, prior: Prior) -> tuple[list[Model], Whole, Strata]:
    """Draw models with so many failures each, and the part as a whole."""
    models = draw_models(rng, prior)
    rows = [(*row, str(number)) for number, model in enumerate(models) for row in draw_lives(rng, model, failures)]
    lives = pl.DataFrame(rows, schema=_AGES | {"engine_model": pl.String}, orient="row")
    strata = {(str(n),): np.flatnonzero((lives["engine_model"] == str(n)).to_numpy()) for n in range(MODELS)}
    return models, taken_as_one(lives, rng, prior), strata


def regrets(failures: int, fleets: int, seed: int = SEED) -> dict[str, float]:
    """Mean regret over fleets and models of the three ways."""
    rng = np.random.default_rng([seed, failures, 1])
    prior = replace(Prior(), wears_out=1.0, random=0.0, fails_young=0.0)
    told: dict[str, list[float]] = {"each alone, maximum likelihood": [], "all as one": [], "borrowing strength": []}
    for _ in range(fleets):
        models, whole, strata = draw_fleet(rng, failures, prior)
        failure_cost = float(np.exp(rng.uniform(np.log(3), np.log(10))))
        believed = strata_posteriors(whole, strata)
        one_age = _best_age(whole.posterior, failure_cost)
        for number, model in enumerate(models):
            least = min(model.cost(age, failure_cost) for age in (*_TRIED, np.inf))
            lives = whole.lives[strata[str(number),]]
            ages = (_likeliest_age(lives, failure_cost), one_age, _best_age(believed[str(number),], failure_cost))
            for way, age in zip(told, ages, strict=True):
                told[way].append(model.cost(age, failure_cost) / least - 1)
    return {way: float(np.mean(values)) for way, values in told.items()}


def _best_age(believed: Posterior, failure_cost: float) -> float:
    prospect = Prospect(tabulate(believed), _USE, 1.0, failure_cost)
    ages = np.append(_TRIED, np.inf)
    return float(ages[np.argmin(prospect.expected(ages, np.inf))])


def _likeliest_age(lives: pl.DataFrame, failure_cost: float) -> float:
    try:
        fit = fit_weibull(ages_from_lives(lives, "hours"))
    except NoFigure:
        return np.inf
    model = Model(fit.shape, fit.scale)
    return min((*_TRIED, np.inf), key=lambda age: model.cost(age, failure_cost))


def coverage(failures: int, fleets: int, seed: int = SEED) -> dict[str, float]:
    """Share of 90 % limits of a model's scale and B10 that hold the truth."""
    rng = np.random.default_rng([seed, failures, 2])
    prior = replace(Prior(), wears_out=1.0, random=0.0, fails_young=0.0, family_weibull=1.0, family_lognormal=0.0, family_floor_weibull=0.0)
    held: dict[str, list[bool]] = {"scale": [], "b10": []}
    for _ in range(fleets):
        models, whole, strata = draw_fleet(rng, failures, prior)
        for model, found in zip(models, strata_posteriors(whole, strata, 1.0).values(), strict=True):
            for quantity, inside in held.items():
                _, low, high = found.limits(quantity, 0.9)
                inside.append(bool(low <= getattr(model, quantity) <= high))
    return {quantity: float(np.mean(inside)) for quantity, inside in held.items()}


def uses(effect: float, failures: int, fleets: int, seed: int = SEED) -> tuple[float, float]:
    """Share of fleets in which the column that multiplies the scale is used, and in which one that does not is."""
    rng = np.random.default_rng([seed, failures, round(100 * effect)])
    names = [f"column {number}" for number in range(len(WORDS))]
    right = wrong = 0
    for _ in range(fleets):
        lives = _with_columns(rng, effect, failures, names)
        chosen = tell_apart(taken_as_one(lives, rng, Prior()), lives, names, Settings().tell_apart).columns
        right += names[0] in chosen and effect != 1
        wrong += any(name != names[0] or effect == 1 for name in chosen)
    return right / fleets, wrong / fleets


def _with_columns(rng: np.random.Generator, effect: float, failures: int, names: list[str]) -> pl.DataFrame:
    shape, planned = rng.uniform(1.5, 3.5), _TYPICAL * rng.uniform(0.5, 1.5)
    rows = []
    while failures:
        words = [int(rng.integers(count)) for count in WORDS]
        life = _TYPICAL * (effect if words[0] == 0 else 1.0) * rng.weibull(shape)
        stop = planned * (1.0 if rng.random() < 0.5 else rng.random())
        failures -= life <= stop
        rows.append((0.0, min(life, stop), life if life <= stop else None, None, None, None, *map(str, words)))
    return pl.DataFrame(rows, schema=_AGES | dict.fromkeys(names, pl.String), orient="row")


def main() -> None:
    """Print the tables."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--fleets", type=int, default=100)
    parser.add_argument("--seed", type=int, default=SEED)
    asked = parser.parse_args()
    print(f"seed {asked.seed}, {asked.fleets} fleets of {MODELS} models a cell")
    for failures in (5, 10, 20):
        told = ", ".join(f"{way} {value:.3f}" for way, value in regrets(failures, asked.fleets, asked.seed).items())
        print(f"regret, {failures} failures a model: {told}", flush=True)
    for failures in (2, 5, 20):
        told = ", ".join(f"{quantity} {value:.3f}" for quantity, value in coverage(failures, asked.fleets, asked.seed).items())
        print(f"coverage of 90 % limits, {failures} failures a model: {told}", flush=True)
    print(f"columns used, one of {len(WORDS)} on offer matters: by its factor on the scale and failures of all, right and wrong")
    for effect in (1.0, 0.8, 0.65, 0.5):
        cells = [(failures, *uses(effect, failures, asked.fleets, asked.seed)) for failures in (10, 20, 50, 100, 300)]
        print(f"factor {effect}: " + "  ".join(f"{n}: {right:.2f} {wrong:.2f}" for n, right, wrong in cells), flush=True)


if __name__ == "__main__":
    main()
