"""The account of every row that came in, drawn as a sum: rows in = accepted + repeated + superseded + left out.

In: the counts by record kind. Out: a chart with a figure in every place and a bar for its share; no count is only a length.
Elsewhere: the counts (`ledger`).
"""

import altair as alt
import polars as pl

from dashboard.charts.labelled_rows import lines_down
from dashboard.charts.theme import ALARM, FIGURE, LABEL, MEASURED, NOTE, UNKNOWN, laid

PLACES = pl.DataFrame(
    {
        "fate": ["rows_in", "accepted", "repeated", "superseded", "left_out"],
        "head": ["rows in", "accepted", "repeated", "superseded", "left out"],
        "sign": ["", "=", "+", "+", "+"],
        "place": [0, 1, 2, 3, 4],
        "role": [MEASURED, MEASURED, UNKNOWN, UNKNOWN, ALARM],
    }
)
BAR = 0.86
LINE_HEIGHT = 50


def reconciliation_chart(rows: pl.DataFrame) -> alt.LayerChart:
    """Draw one line a record kind with its five counts.

    Parameters
    ----------
    rows
        Columns kind (in plain words), rows_in, accepted, repeated, superseded, left_out (counts of rows).
    """
    told = _cells(rows)
    place = alt.X("place:Q").axis(None).scale(domain=[0, PLACES.height], nice=False)
    line = lines_down("kind")
    base = alt.Chart(told).encode(y=line, x=place, tooltip=_told())
    names = alt.Chart(rows).mark_text(style=LABEL, align="left", baseline="bottom", dy=-10).encode(x=alt.value(0), y=line, text="kind:N")
    figures = base.mark_text(style=FIGURE, align="left", baseline="bottom", dy=7).encode(text=alt.Text("rows:Q").format(","))
    layers = [names, figures, *(_bars(base, role) for role in (MEASURED, UNKNOWN, ALARM)), *_heads(place)]
    return laid(layers, LINE_HEIGHT * max(rows.height, 1))


def _bars(base: alt.Chart, role: str) -> alt.Chart:
    drawn = base.transform_filter(f"datum.share > 0 && datum.role == '{role}'")
    return drawn.mark_rule(style=role, strokeWidth=4, yOffset=11).encode(x2="end:Q")


def _heads(place: alt.X) -> list[alt.Chart]:
    base = alt.Chart(PLACES).encode(x=place, y=alt.value(-4))
    words = base.mark_text(style=NOTE, align="left", baseline="bottom", fontSize=12).encode(text="head:N")
    return [words, base.mark_text(style=FIGURE, align="center", baseline="bottom", dx=-6).encode(text="sign:N")]


def _cells(rows: pl.DataFrame) -> pl.DataFrame:
    """Return one row a kind and place in the sum: rows, share of the rows in, and where its bar ends."""
    long = rows.select("kind", *PLACES["fate"]).unpivot(index="kind", variable_name="fate", value_name="rows")
    total = rows.select("kind", pl.col("rows_in").alias("total"))
    share = pl.when(pl.col("total") > 0).then(pl.col("rows") / pl.col("total")).otherwise(0.0)
    placed = long.join(PLACES, on="fate", maintain_order="left").join(total, on="kind", maintain_order="left")
    return placed.with_columns(share.alias("share")).with_columns((pl.col("place") + BAR * pl.col("share")).alias("end"))


def _told() -> list[alt.Tooltip]:
    return [
        alt.Tooltip("kind:N").title("Kind"),
        alt.Tooltip("head:N").title("Rows"),
        alt.Tooltip("rows:Q").title("Count").format(","),
        alt.Tooltip("share:Q").title("Share").format(".1%"),
    ]
