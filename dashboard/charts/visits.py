"""Visits week by week: how many there are, and how many there would be with each job on its own day.

In: weeks with their visits. Out: a chart. Elsewhere: which jobs share a visit (`advice`), the words of a week (`sentences.visits`).
"""

import altair as alt
import polars as pl

from dashboard.charts.labelled_rows import height_of, lines_down, words_above
from dashboard.charts.theme import HELD, NOW, laid

VISITS = "visits"


def visits_chart(weeks: pl.DataFrame) -> alt.LayerChart:
    """Draw the visits of each week as a bar, and those it would take with each job on its own day as a ring.

    Parameters
    ----------
    weeks
        Columns line (the week), told (a few words), visits, own_days, jobs, saving (money; empty: not known).
    """
    most = float(weeks.select(pl.max_horizontal("visits", "own_days").max()).item() or 1)
    base = alt.Chart(weeks).encode(y=lines_down("line"), tooltip=_told())
    across = alt.X("visits:Q").title(VISITS).scale(domain=[0, most], nice=True).axis(tickCount=5, tickMinStep=1)
    bars = base.mark_bar(style=HELD, height=11).encode(x=across)
    alone = base.mark_point(style=NOW, shape="circle", size=110, filled=False).encode(x=alt.X("own_days:Q").title(VISITS))
    return laid([*words_above(weeks, "line", "line", "told"), bars, alone], height_of(weeks))


def _told() -> list[alt.Tooltip]:
    return [
        alt.Tooltip("line:N").title("Week"),
        alt.Tooltip("visits:Q").title("Visits"),
        alt.Tooltip("own_days:Q").title("With each job on its own day"),
        alt.Tooltip("jobs:Q").title("Jobs"),
        alt.Tooltip("saving:Q").title("Saved").format(",.0f"),
    ]
