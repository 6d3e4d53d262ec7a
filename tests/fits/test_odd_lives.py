"""Every curve and comparison gives odd lives an answer or a reason: never a traceback, a warning or a figure that is not a number."""

import numpy as np
import polars as pl
import pytest

from pipelines.errors import NoFigure
from pipelines.fits.ages import Ages, compress
from pipelines.fits.competing_causes import cumulative_incidence
from pipelines.fits.few_failures import scale_with_assumed_shape
from pipelines.fits.group_tests import log_rank
from pipelines.fits.inspection_curve import survival_curve
from pipelines.fits.kaplan_meier import kaplan_meier

INF = np.inf
ODD = {
    "no lives": compress([], [], []),
    "no failures": compress(0, [3, 4, 5], INF),
    "one failure": compress(0, 4, 4),
    "one failure among many": compress(0, [4, 9], [4, INF], [1, 400]),
    "all at one age": compress(0, [4, 4], [4, INF], [5, 5]),
    "all failed at one age": compress(0, 4, 4, 7),
    "ages of zero": compress(0, [0, 0, 5], [0, INF, 5]),
    "a million ties": compress([0, 2, 0], [4, 4, 9], [4, INF, 12], 1e6),
    "all before a first look": compress(0, 0, [5, 6, 7]),
    "all delayed": compress(50, [60, 70, 80], [60, INF, 85]),
    "one at a time": compress(np.arange(0, 50, 10.0), np.arange(10, 60, 10.0), np.arange(10, 60, 10.0)),
    "tiny and huge ages": compress(0, [1e-9, 1e9], [1e-9, 1e9]),
    "two ages a hair apart": compress(0, [5, np.nextafter(5, 6)], [5, np.nextafter(5, 6)]),
}
ASKED = {
    "curve": survival_curve,
    "product-limit curve": kaplan_meier,
    "curve from an age": lambda ages: kaplan_meier(ages, from_age=4.0),
    "causes": lambda ages: cumulative_incidence({"worn": ages}),
    "against itself": lambda ages: log_rank({"a": ages, "b": ages}),
    "against one life": lambda ages: log_rank({"a": ages, "b": compress(0, 6, 6)}),
    "scale": lambda ages: scale_with_assumed_shape(ages, 2.0),
}


def figures(answer: object) -> list[float]:
    frame = answer if isinstance(answer, pl.DataFrame) else getattr(answer, "steps", None)
    if frame is not None:
        return [value for row in frame.iter_rows() for value in row if isinstance(value, float)]
    return [value for value in vars(answer).values() if isinstance(value, float)]


@pytest.mark.parametrize("ages", ODD.values(), ids=ODD.keys())
@pytest.mark.parametrize("ask", ASKED.values(), ids=ASKED.keys())
def test_an_answer_or_a_reason(ask, ages: Ages):
    try:
        answer = ask(ages)
    except NoFigure:
        return
    assert np.isfinite(figures(answer)).all()
