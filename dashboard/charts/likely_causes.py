"""The likely causes of a call as dots with their limits, the unknown rest hollow.

In: the rows of `likely`. Out: a chart. Elsewhere: the chances (`advice.likely`), what to check and bring (`sentences.call_now`).
"""

import altair as alt
import polars as pl

from dashboard.charts.labelled_rows import dots_with_limits, height_of, reach_of, words_above
from dashboard.charts.theme import laid

TITLE = "chance"
UNKNOWN = ("unknown",)


def likely_chart(rows: pl.DataFrame) -> alt.LayerChart:
    """Draw a dot a cause at its chance with its limits as a bar.

    Parameters
    ----------
    rows
        Columns cause, probability, low, high (0 to 1); as drawn.
    """
    told = rows.with_columns((pl.col("probability") * 100).round(0).cast(pl.Int64).cast(pl.String).add(" %").alias("words"))
    unknown, reach = pl.col("cause").is_in(UNKNOWN), reach_of(rows, "probability", "high")
    layers = words_above(told, "cause", "cause", "words")
    for frame, hollow in ((told.filter(~unknown), False), (told.filter(unknown), True)):
        layers += dots_with_limits(frame, "cause", ("low", "probability", "high"), TITLE, reach, _tips(), hollow=hollow)
    return laid(layers, height_of(told))


def _tips() -> list[alt.Tooltip]:
    figures = (("probability", "Chance"), ("low", "At least"), ("high", "At most"))
    return [alt.Tooltip("cause:N").title("Cause"), *(alt.Tooltip(f"{name}:Q").title(title).format(".0%") for name, title in figures)]
