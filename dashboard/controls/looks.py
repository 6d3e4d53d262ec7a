"""How the lives of one part are shown, by what was picked: curve, Weibull paper, hazard, what they die of.

In: a row of `fits` and what stands behind it. Out: a picture, a sentence, and how to read it; a reason where there is none.
Elsewhere: what is picked (`pickers`), groups beside each other (`screens.how_long_parts_last`).
"""

from typing import Any

import polars as pl
import streamlit as st

from dashboard.charts.endings import ending_limits_chart, endings_chart
from dashboard.charts.hazard import hazard_chart
from dashboard.charts.part_lives import survival_chart
from dashboard.charts.weibull_paper import paper_chart
from dashboard.controls.showing import beneath, picture
from dashboard.sentences import how_to_read
from dashboard.sentences.lives import how_well_it_fits

Row = dict[str, Any]
NO_CURVE = "Nothing of it has failed yet, so there is no curve; its lives count all the same."
NO_PAPER = "Too few failures for points on Weibull paper; look at the hazard, which rests on the prior too."
NO_HAZARD = "No life with a known age was watched, so there is no hazard to draw."
NO_ENDINGS = "None of it has failed yet, so there is nothing to tell apart."


def show_look(which: str, row: Row, behind: Row, lives: pl.DataFrame) -> None:
    """Show one look at a row of `fits`.

    Parameters
    ----------
    which
        `curve`, `paper`, `hazard` or `endings`.
    row
        Of `fits`.
    behind
        What stands behind it, of the same answer.
    lives
        The lives themselves.
    """
    shown = {"curve": _curve, "paper": _paper, "hazard": _hazard, "endings": _endings}
    shown[which](row, behind, f"{row['component']}-{row['clock']}", lives)


def _curve(row: Row, behind: Row, name: str, lives: pl.DataFrame) -> None:
    curve = pl.DataFrame(row["curve"])
    if curve.is_empty():
        st.info(NO_CURVE)
        return
    shown = picture(survival_chart, curve, behind["line"], row["clock"], alt="Still running at each age, with limits")
    st.markdown(how_well_it_fits(behind["goodness"], row["clock"]))
    beneath(how_to_read.SURVIVAL, curve, "curve", f"curve-{name}", lives, shown=shown)


def _paper(row: Row, behind: Row, name: str, lives: pl.DataFrame) -> None:
    points = behind["paper"]
    if points is None or points.height < 2:
        st.info(NO_PAPER)
        return
    shown = picture(
        paper_chart, points, behind["line"], behind["seen_to"], row["clock"], alt="Failures on Weibull paper, with the fitted line"
    )
    st.markdown(how_well_it_fits(behind["goodness"], row["clock"]))
    beneath(how_to_read.PAPER, points, "paper", f"paper-{name}", lives, shown=shown)


def _hazard(row: Row, behind: Row, name: str, lives: pl.DataFrame) -> None:
    if behind["hazard"] is None:
        st.info(NO_HAZARD)
        return
    shown = picture(hazard_chart, behind["hazard"], row["clock"], alt="Hazard by age, with limits")
    beneath(how_to_read.HAZARD, behind["hazard"], "hazard", f"hazard-{name}", lives, shown=shown)


def _endings(row: Row, behind: Row, name: str, lives: pl.DataFrame) -> None:
    rows = behind["incidence"]
    if rows is None:
        st.info(NO_ENDINGS)
        return
    shown = picture(endings_chart, rows, row["clock"], alt="Share failed from each cause by age, stacked")
    beneath(how_to_read.ENDINGS, rows, "incidence", f"causes-{name}", lives, shown=shown)
    shown = picture(ending_limits_chart, rows, row["clock"], alt="Share failed from each cause by the last age, with limits")
    beneath(how_to_read.ENDINGS, rows, "incidence", f"causes-limits-{name}", lives, shown=shown)
