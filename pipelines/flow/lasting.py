"""What stands behind a row of `fits`: its lines, points, hazard, endings, how well the line fits, and whether groups differ.

In: lives of a scope, groups, settings. Out: one `dict` a row, in the order of the rows, and one comparison a part.
Elsewhere: each method (`fits`), the rows themselves (`fits.fit_table`), their pictures (`dashboard.charts`).
"""

from collections.abc import Mapping, Sequence
from typing import Any

import polars as pl

from pipelines.errors import NoFigure
from pipelines.fits.ages import Ages, ages_from_lives
from pipelines.fits.competing_causes import ages_by_cause, cumulative_incidence
from pipelines.fits.fit_table import lives_by_group
from pipelines.fits.fitted_line import fitted_line
from pipelines.fits.goodness import goodness_of
from pipelines.fits.group_tests import log_rank
from pipelines.fits.hazard_line import hazard_line
from pipelines.fits.inspection_curve import survival_curve
from pipelines.fits.kaplan_meier import Curve
from pipelines.fits.known_figures import hours_per_month
from pipelines.fits.posterior import posterior
from pipelines.fits.read_otherwise import read_otherwise
from pipelines.fits.weibull import WeibullFit, fit_weibull
from pipelines.fits.weibull_paper import paper_points
from pipelines.flow.estimating import Matter
from pipelines.terms.settings import Settings

LINE_AGES = 80
BEYOND = 1.2
"""The fitted line is given to this times the last age seen."""
Group = Mapping[str, str | None] | None


def details_of(matter: Matter, by: Sequence[str], clock: str, settings: Settings) -> list[dict[str, Any]]:
    """Return what stands behind each row of `fits`, in their order.

    Returns
    -------
    list of dict
        `component`, `group`, `from_age` and `seen_to` (ages between which the curve stands; `None`: no curve), `line` (the
        fitted Weibull: age, surviving, low, high), `paper` (points: age, failed, low, high), `hazard` (age, hazard, low,
        high), `incidence` (cause, age, at_risk, events, incidence, low, high), `goodness` (p_value, bands, note),
        `read_otherwise` (reading, lives, b10, scale: the fit if renewals on condition or without a sure reason were read otherwise).
    """
    grouped, columns = matter.grouped(by)
    return [
        {"component": component, "group": group} | _behind(held, component, group, clock, grouped, settings)
        for component, group, held in lives_by_group(grouped.lives, columns)
    ]


def comparisons_of(matter: Matter, by: Sequence[str], clock: str) -> list[dict[str, Any]]:
    """Compare the groups of each part by the log-rank test: component, chi_square, degrees, p_value, groups, note."""
    grouped, columns = matter.grouped(by)
    parts: dict[str, dict[str, Ages]] = {}
    for component, group, held in lives_by_group(grouped.lives, columns):
        name = " · ".join(word or "unknown" for word in (group or {}).values())
        parts.setdefault(component, {})[name] = ages_from_lives(held, clock)
    return [{"component": component} | _compared(ages) for component, ages in parts.items()]


def _compared(ages: Mapping[str, Ages]) -> dict[str, Any]:
    try:
        found = log_rank(ages)
    except NoFigure as reason:
        return {"chi_square": None, "degrees": None, "p_value": None, "groups": [], "note": str(reason)}
    groups = [{"group": name, "failed": found.observed[name], "expected": found.expected[name]} for name in found.observed]
    return {"chi_square": found.chi_square, "degrees": found.degrees, "p_value": found.p_value, "groups": groups, "note": None}


def _behind(lives: pl.DataFrame, component: str, group: Group, clock: str, matter: Matter, settings: Settings) -> dict[str, Any]:
    ages = ages_from_lives(lives, clock)
    fit, curve = _fit(ages), _curve(ages, settings.level)
    knowledge = matter.known.about(component, group, clock, hours_per_month(lives))
    until = float(ages.finish.max()) if ages.lives else None
    believed = posterior(ages, settings.prior, knowledge, clock)
    return {
        "from_age": curve.from_age if curve else None,
        "seen_to": float(curve.steps["age"][-1]) if curve else None,
        "line": _line(ages, fit, curve, settings.level),
        "paper": _paper(fit, curve),
        "hazard": hazard_line(believed, clock, until, settings.posterior_level) if until else None,
        "incidence": _incidence(lives, clock, settings.level),
        "goodness": _goodness(ages, fit),
        "read_otherwise": read_otherwise(lives, clock, settings.condition_fraction).to_dicts(),
    }


def _fit(ages: Ages) -> WeibullFit | None:
    try:
        return fit_weibull(ages)
    except NoFigure:
        return None


def _curve(ages: Ages, level: float) -> Curve | None:
    try:
        return survival_curve(ages, level)
    except NoFigure:
        return None


def _line(ages: Ages, fit: WeibullFit | None, curve: Curve | None, level: float) -> pl.DataFrame | None:
    if fit is None or curve is None:
        return None
    begins, last = curve.from_age, float(curve.steps["age"][-1])
    end = BEYOND * last
    at = {begins + (end - begins) * place / LINE_AGES for place in range(LINE_AGES + 1)} | {last}
    return fitted_line(ages, fit, sorted(at), level, begins)


def _paper(fit: WeibullFit | None, curve: Curve | None) -> pl.DataFrame | None:
    """Points of the curve; one that begins late is carried down to the share that reaches its beginning by the fitted line."""
    if curve is None or (curve.from_age and fit is None):
        return None
    reach = fit.surviving(curve.from_age) if fit and curve.from_age else 1.0
    return paper_points(curve.steps, reach)


def _incidence(lives: pl.DataFrame, clock: str, level: float) -> pl.DataFrame | None:
    try:
        found = cumulative_incidence(ages_by_cause(lives, clock), level)
    except NoFigure:
        return None
    return found.select("cause", "age", "at_risk", "events", "incidence", "low", "high")


def _goodness(ages: Ages, fit: WeibullFit | None) -> dict[str, Any]:
    if fit is None:
        return {"p_value": None, "bands": [], "note": "There is no fitted line to judge."}
    try:
        found = goodness_of(ages, fit)
    except NoFigure as reason:
        return {"p_value": None, "bands": [], "note": str(reason)}
    return {"p_value": found.p_value, "bands": found.bands.to_dicts(), "note": None}
