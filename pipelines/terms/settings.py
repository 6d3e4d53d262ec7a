"""What a fleet may change: priors, fractions, levels, currency and locale, with the values used when it says nothing.

In: a TOML file. Out: `Settings`. Every figure of the prior is printed with the answers that rest on it.
Elsewhere: costs, limits and plans, which are records (`tables`).
"""

import tomllib
from dataclasses import dataclass, field, fields, is_dataclass, replace
from pathlib import Path
from typing import Any

from pipelines.errors import WrongSettings


@dataclass(frozen=True)
class Prior:
    """What is believed of a part before its lives are read.

    Weights add to one within each group. Shapes are lognormal: a median and the standard deviation of its logarithm.
    `floor_share` is the mean share of constant hazard in the family constant hazard + Weibull.
    Of the parts that wear out, `fitted_badly` are also fitted badly at times: a share of fittings around `early_share` (median, spread of
    its logit) dies early, at a mean age around `early_age` times the scale (median, spread of its logarithm).
    The spreads of `ln scale` are standard deviations around an expected life, twice a limit, or twice an interval.
    Models, bases or waters of one part differ in ln shape and ln scale with standard deviations whose half-normal priors have the scales
    `strata_shape_spread` and `strata_scale_spread`; `some_column_matters` is the chance, shared by all columns, that one tells lives apart.
    """

    wears_out: float = 0.75
    random: float = 0.20
    fails_young: float = 0.05
    wear_shape_median: float = 2.3
    wear_shape_sd: float = 0.4
    young_shape_median: float = 0.7
    young_shape_sd: float = 0.25
    family_weibull: float = 0.6
    family_lognormal: float = 0.2
    family_floor_weibull: float = 0.2
    floor_share: float = 0.25
    fitted_badly: float = 0.1
    early_share: float = 0.08
    early_share_sd: float = 0.7
    early_age: float = 0.02
    early_age_sd: float = 0.8
    clock_hours: float = 0.4
    clock_months: float = 0.35
    clock_both: float = 0.25
    scale_sd_expected_life: float = 0.5
    scale_sd_limit: float = 0.7
    scale_sd_plan: float = 1.0
    strata_shape_spread: float = 0.2
    strata_scale_spread: float = 0.3
    some_column_matters: float = 0.5


@dataclass(frozen=True)
class Settings:
    """Everything a settings file may hold.

    Attributes
    ----------
    level
        Confidence level of limits of rates, curves and maximum-likelihood fits.
    posterior_level
        Level of posterior limits.
    condition_fraction
        A part renewed on condition at age x would have failed between x and x over this.
    match_days
        A ticket up to this many days after a call can be of the same breakdown.
    worth_it
        Run to failure only if it costs no more than this times the best interval.
    service_level
        Wanted chance of not running out of a part over its lead time.
    tell_apart
        Groups of a part get rows of their own where a column tells its lives apart with at least this probability.
    availability
        Wanted share of time that a function whose failure is hidden works when it is needed.
    horizon_days
        Season that stock is planned for.
    currency
        ISO 4217 code; empty: as the `costs` records say.
    put_back
        Share of its interval that a planned renewal may be put back to share a visit with other jobs; 0: only brought forward.
    downtime_day_h
        Hours of downtime that make a day: 24 where downtime is written by the clock, the hours of a hire day where only those are.
    season_starts
        Month (1 to 12) in which a season begins: forecasts, marks and alarms go by seasons of twelve months.
    carrying_rate
        What a year of holding stock costs, as a share of its price: money tied up, space, ageing (0.2 is common practice, no source).
    waiting_cost_per_day
        What a boat costs a day that waits for a part; 0: not known, and then the costs of a failure stand in.
    expedited_days
        Days until a missing part comes when it is fetched at any price; 0: it takes the lead time.
    transfer_days
        Days until a part comes from the shelf of another base (our choice).
    yard_hours_a_week
        Hours of labour the yard has in a week; due tasks are laid into weeks of so many. 0: not limited.
    next_visit_days
        Days until the yard next sees a boat, over which the chance of failing is told; 0: as far as the due list looks ahead.
    prior
        See `Prior`.
    """

    level: float = 0.95
    posterior_level: float = 0.90
    condition_fraction: float = 0.85
    match_days: int = 14
    worth_it: float = 1.02
    service_level: float = 0.95
    availability: float = 0.99
    horizon_days: int = 120
    currency: str = ""
    tell_apart: float = 0.7
    season_starts: int = 1
    put_back: float = 0.1
    downtime_day_h: float = 24.0
    carrying_rate: float = 0.2
    waiting_cost_per_day: float = 0.0
    expedited_days: float = 0.0
    transfer_days: float = 1.0
    yard_hours_a_week: float = 0.0
    next_visit_days: int = 0
    prior: Prior = field(default_factory=Prior)


MOST_HOURS_A_DAY = 24
SHARES = {"level", "posterior_level", "condition_fraction", "service_level", "availability", "tell_apart"}


def read_settings(path: Path | None) -> Settings:
    """Read a settings file over the defaults; `None` gives the defaults.

    Raises
    ------
    WrongSettings
        If the file cannot be read, is not TOML, names a setting that does not exist or gives it a value that cannot be.
    """
    if path is None:
        return Settings()
    try:
        given = tomllib.loads(path.read_text(encoding="utf-8"))
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as fault:
        raise WrongSettings(f"{path}: cannot be read as TOML settings: {fault}. Compare it with the settings in the README.") from fault
    return _over(Settings(), given, str(path))


def _over(base: Any, given: dict[str, Any], place: str) -> Any:
    known = {item.name for item in fields(base)}
    changes: dict[str, Any] = {}
    for name, value in given.items():
        if name not in known:
            raise WrongSettings(f"{place}, {name}: not a setting. Known here: {', '.join(sorted(known))}.")
        current = getattr(base, name)
        changes[name] = (
            _over(current, value, f"{place}, {name}")
            if is_dataclass(current) and isinstance(value, dict)
            else _checked(name, value, current, place)
        )
    return replace(base, **changes)


def _checked(name: str, value: Any, current: Any, place: str) -> Any:
    fits = isinstance(value, str) if isinstance(current, str) else isinstance(value, int | float) and not isinstance(value, bool)
    if not fits:
        raise WrongSettings(f"{place}, {name}: {value!r}. Give a {'word' if isinstance(current, str) else 'number'} such as {current!r}.")
    if name in SHARES and not 0 < value < 1:
        raise WrongSettings(f"{place}, {name}: {value!r}. Give a share between 0 and 1 such as {current!r}.")
    if name == "season_starts" and value not in range(1, 13):
        raise WrongSettings(f"{place}, {name}: {value!r}. A month is 1 to 12; the usual value is {current!r}.")
    if name == "downtime_day_h" and not 0 < value <= MOST_HOURS_A_DAY:
        raise WrongSettings(f"{place}, {name}: {value!r}. A day has more than 0 and at most 24 hours; the usual value is {current!r}.")
    if not isinstance(value, str) and value < 0:
        raise WrongSettings(f"{place}, {name}: {value!r}. It cannot be below 0; the usual value is {current!r}.")
    return type(current)(value)
