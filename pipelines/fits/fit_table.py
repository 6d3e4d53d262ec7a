"""How long parts last: one row of figures a component and group, on one clock.

In: rows of `derived.lives`, or a table of lives from outside; settings; what is known. Out: a frame with the columns of
the answer `fits`. Where a figure cannot be given it is empty and the note says why; the posterior always answers.
The posterior of a group borrows strength from the other groups of its component; the other figures are the group's own.
Elsewhere: each estimate (`kaplan_meier`, `inspection_curve`, `weibull`, `profile_limits`, `posterior`, `group_posteriors`).
"""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import polars as pl

from pipelines.errors import NoFigure
from pipelines.fits.ages import Ages, ages_by_group, ages_from_lives
from pipelines.fits.group_posteriors import group_posteriors
from pipelines.fits.inspection_curve import survival_curve
from pipelines.fits.knowledge import Knowledge
from pipelines.fits.known_figures import KnownFigures
from pipelines.fits.posterior import Posterior, posterior
from pipelines.fits.profile_limits import profile_limits
from pipelines.fits.weibull import fit_weibull
from pipelines.terms.answers import FITS, Kind
from pipelines.terms.settings import Settings

CURVE_COLUMNS = ("age", "at_risk", "events", "surviving", "low", "high")
_QUANTITIES = ("shape", "scale", "b10")
_ENDS = ("", "_low", "_high")
_MOST_LIKELY = [f"{quantity}{end}" for quantity in _QUANTITIES for end in _ENDS]
_ON_CONDITION = "condition"
_FAR = 100.0
_NESTED = {
    "posterior": pl.Struct({name: pl.Float64 for name in (*_MOST_LIKELY, "level")}),
    "curve": pl.List(pl.Struct({name: pl.Float64 for name in CURVE_COLUMNS})),
}
_TYPES = {Kind.WORD: pl.String(), Kind.FIGURE: pl.Float64(), Kind.COUNT: pl.Int64()}

Group = dict[str, str | None]


def fit_table(lives: pl.DataFrame, by: Sequence[str], clock: str, settings: Settings, known: KnownFigures) -> pl.DataFrame:
    """Fit every component, or every component and group.

    Parameters
    ----------
    lives
        Rows of `derived.lives`.
    by
        Columns of `lives` to group by; none: the whole fleet, and `group` is empty.
    clock
        `hours` or `months`.
    settings
        Levels and prior.
    known
        Records `limits` and `plan`.

    Returns
    -------
    polars.DataFrame
        Columns of the answer `fits`, in the order of component and group.
    """
    believed = group_posteriors(lives, by, clock, settings.prior, known)
    rows = []
    for component, group, held in lives_by_group(lives, by):
        found = believed[component, tuple(word or "" for word in (group or {}).values())]
        ages = ages_from_lives(held, clock)
        rows.append(_row(component, group, ages, clock, settings, found, _said_of_lives(held, ages, clock)))
    return _frame(rows, by)


def fit_outside_table(table: pl.DataFrame, clock: str, settings: Settings) -> pl.DataFrame:
    """Fit a table of lives from outside, one row a word of its column `group`; nothing is known but the lives.

    Raises
    ------
    NoFigure
        As `ages_from_table`, or if the table has no lives.
    """
    held = ages_by_group(table)
    if not any(ages.lives for ages in held.values()):
        raise NoFigure("The table has no lives that can be used; each row needs an age `low` or `high` above its `entry`.")
    rows = [
        _row(
            None,
            None if group is None else {"group": group},
            ages,
            clock,
            settings,
            posterior(ages, settings.prior, Knowledge(), clock),
            _left_out(ages, clock),
        )
        for group, ages in held.items()
    ]
    return _frame(rows, ("group",) if "group" in table.columns else ())


def lives_by_group(lives: pl.DataFrame, by: Sequence[str]) -> Iterator[tuple[str, Group | None, pl.DataFrame]]:
    """Lives of each component and group, in the order of component and group; `group` is None without `by`."""
    keys = ["component", *by]
    for values, held in sorted(lives.group_by(keys), key=lambda pair: tuple(str(value or "") for value in pair[0])):
        component, *words = (None if value is None else str(value) for value in values)
        yield component or "", dict(zip(by, words, strict=True)) if by else None, held


def _row(
    component: str | None,
    group: Mapping[str, str | None] | None,
    ages: Ages,
    clock: str,
    settings: Settings,
    found: Posterior,
    said: list[str],
) -> dict[str, Any]:
    counts = {name: getattr(ages, name) for name in ("lives", "failures", "suspended", "interval_censored", "delayed")}
    likely, no_fit = _most_likely(ages, settings.level)
    curve, said_of_curve = _curve(ages, settings.level)
    believed = {
        "posterior": _believed(found, settings.posterior_level),
        # A sum of weights may come to 1 and a last digit more.
        "wears_out_probability": min(found.wears_out_probability, 1.0),
        "best_family": found.best_family,
        "curve": curve,
    }
    notes = [*said, no_fit, said_of_curve, f"The prior of the scale rests on: {found.basis}."]
    head = {"component": component, "group": group, "clock": clock}
    return head | counts | likely | believed | {"note": " ".join(dict.fromkeys(filter(None, notes)))}


def _most_likely(ages: Ages, level: float) -> tuple[dict[str, float | None], str]:
    """Maximum-likelihood figures with limits, or empty ones and the reason."""
    try:
        fit = fit_weibull(ages)
    except NoFigure as reason:
        return dict.fromkeys([*_MOST_LIKELY, "median", "log_likelihood"]), str(reason)
    figures: dict[str, float | None] = {"median": fit.median, "log_likelihood": fit.log_likelihood}
    limits = profile_limits(ages, fit, level)
    for quantity in _QUANTITIES:
        low, high = limits[quantity]
        figures |= {quantity: getattr(fit, quantity), f"{quantity}_low": low, f"{quantity}_high": high}
    open_ended = [name for name in figures if figures[name] is None]
    beyond = _beyond(figures, float(ages.finish.max()))
    said = [f"The records set no limit to {', '.join(open_ended)}."] if open_ended else []
    said += [f"Not given, since more than {_FAR:g} times the greatest age seen: {', '.join(beyond)}."] if beyond else []
    return figures | dict.fromkeys(beyond), " ".join(said)


def _beyond(figures: Mapping[str, float | None], greatest: float) -> list[str]:
    """Ages that the curve of a few failures is drawn out to, far beyond all that was ever watched."""
    ages = ((name, value) for name, value in figures.items() if name.startswith(("scale", "b10", "median")))
    return [name for name, value in ages if value is not None and value > _FAR * greatest]


def _believed(found: Posterior, level: float) -> dict[str, float]:
    figures = {"level": level}
    for quantity in _QUANTITIES:
        figures |= dict(zip((f"{quantity}{end}" for end in _ENDS), found.limits(quantity, level), strict=True))
    return figures


def _curve(ages: Ages, level: float) -> tuple[list[dict[str, float]], str]:
    try:
        curve = survival_curve(ages, level)
    except NoFigure as reason:
        return [], str(reason)
    return curve.steps.select(CURVE_COLUMNS).to_dicts(), curve.note


def _said_of_lives(lives: pl.DataFrame, ages: Ages, clock: str) -> list[str]:
    on_condition = lives.filter(pl.col("ending") == _ON_CONDITION, pl.col(f"high_{'h' if clock == 'hours' else 'months'}").is_not_null())
    said = [f"Renewed on condition, counted as failing between two ages: {on_condition.height}."] if on_condition.height else []
    return said + _left_out(ages, clock)


def _left_out(ages: Ages, clock: str) -> list[str]:
    said = [f"Lives left out because their {clock} are not known: {ages.unknown_age}."] if ages.unknown_age else []
    return said + ([f"Lives left out because they ended as soon as they were watched: {ages.zero_length}."] if ages.zero_length else [])


def _frame(rows: list[dict[str, Any]], by: Sequence[str]) -> pl.DataFrame:
    group = pl.Struct({column: pl.String for column in by}) if by else pl.String()
    schema = {told.name: _TYPES[told.kind] if told.kind in _TYPES else _NESTED.get(told.name, group) for told in FITS}
    return pl.DataFrame([{name: row[name] for name in schema} for row in rows], schema=schema, orient="row")
