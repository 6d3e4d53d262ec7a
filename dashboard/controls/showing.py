"""How a page shows a thing: its head, a picture with how to read it, a table that can be taken away, what to do when there is nothing.

In: words, charts, tables. Out: elements of the page.
Elsewhere: what is picked (`filters`, `pickers`).
"""

import re
from collections.abc import Callable, Mapping
from functools import partial
from typing import Any, NoReturn

import polars as pl
import streamlit as st

from dashboard import readings
from dashboard.charts.stills import FORMS as STILLS
from dashboard.charts.theme import Draw
from dashboard.controls.finding import find_field
from dashboard.drawing import Drawn
from dashboard.readings import Answer, Boat
from dashboard.sentences.account import rests_on
from dashboard.sentences.plain import counted, heading, is_share, literal, places
from dashboard.taking_away import FORMS, MEDIA, as_file

ROW_HEIGHT = 33
MOST_ROWS_HIGH = 12
MOST_ROWS_SENT = 1_000
SHORT = {"csv": "CSV", "xlsx": "XLSX", "parquet": "Parquet", "json": "JSON", "png": "PNG", "svg": "SVG"}
TABLE_WIDTH = 860
NOTHING = "–"
MONEY = re.compile(r"\(money[^)]*\)$")
"""How the meaning of a column of money ends: with its unit."""


def head(title: str, question: str, *, finds: bool = True) -> None:
    """Show the title of a page, the question it answers, and the field that finds anything unless the page has one of its own."""
    with st.container(horizontal=True, vertical_alignment="center", gap="small"):
        with st.container(gap="xsmall", width="stretch"):
            st.title(title, anchor=False)
            st.caption(question)
        if finds:
            find_field()


def picture(draw: Draw, *parts: Any, alt: str, **more: Any) -> Drawn:
    """Show a chart in the tones of the page, and return it for `beneath`.

    Parameters
    ----------
    draw
        A function of `charts`; the other arguments are passed to it.
    alt
        What the picture is, for a screen reader.
    """
    shown = Drawn(draw, parts, more, night=st.context.theme.type == "dark")
    st.vega_lite_chart(shown.specification(), theme=None, width="stretch", alt=alt)
    return shown


def beneath(
    how_to_read: str, frame: pl.DataFrame, verb: str, file_name: str, behind: pl.DataFrame | None = None, shown: Drawn | None = None
) -> None:
    """Show beneath a picture how to read it, its figures as a table, and both to be taken away whole.

    Parameters
    ----------
    how_to_read
        Markdown.
    frame
        The figures the picture was drawn from.
    verb
        Whose columns they are, for their meanings.
    file_name
        Of the files, without their endings.
    behind
        The rows of the records that were counted; `None`: they are shown elsewhere on the page.
    shown
        The picture, to be taken away as PNG or SVG; it is made when it is asked for.
    """
    with st.container(horizontal=True, gap="small"):
        with st.popover("How to read this", type="tertiary"):
            st.markdown(how_to_read)
        with st.popover("The figures", type="tertiary"), st.container(width=TABLE_WIDTH):
            figures(frame, verb, file_name)
        if behind is not None:
            with st.popover("The records", type="tertiary"), st.container(width=TABLE_WIDTH):
                figures(behind, "lives", f"{file_name}-records")
        if shown is not None:
            with st.popover("The picture", type="tertiary"), st.container(horizontal=True, gap="small"):
                for form, media in STILLS.items():
                    take(partial(shown.as_file, form), f"{file_name}.{form}", media, label=f"Take as {SHORT[form]}")


def figures(frame: pl.DataFrame, verb: str, file_name: str, first: tuple[str, ...] = ()) -> None:
    """Show a table, each column with its meaning on a touch, and buttons that take the whole of it away.

    Figures are shortened on the screen only: they leave unchanged. Cells that a spreadsheet would run leave harmless. Of a long table
    the page is sent the rows that are looked at, and more as they are scrolled to.
    Columns named in `first` stand first.
    """
    table(frame, readings.meanings(verb), file_name, first)
    take_in_forms({form: partial(as_file, frame, form, file_name) for form in FORMS}, file_name, frame.height)


def take_in_forms(made: Mapping[str, Callable[[], bytes]], file_name: str, rows: int) -> None:
    """Show a row of buttons that take a table away, one a form: the first by its whole name, the others by their forms alone."""
    with st.container(horizontal=True, gap="small"):
        for place, (form, made_as) in enumerate(made.items()):
            whole = literal(f"Take {file_name}.{form} ({counted(rows, 'row', 'rows')})")
            take(made_as, f"{file_name}.{form}", MEDIA[form], label=SHORT[form] if place else whole)


def table(frame: pl.DataFrame, told: Mapping[str, str], name: str, first: tuple[str, ...] = (), *, as_filed: bool = False) -> None:
    """Show a table, each column with its meaning on a touch; columns named in `first` stand first.

    With `as_filed` columns have the names they have in files, and figures six digits wherever their point stands.
    """
    st.dataframe(
        frame,
        hide_index=True,
        column_order=[*first, *(column for column in frame.columns if column not in first)],
        column_config={column: (_filed if as_filed else _column)(frame[column], told.get(column)) for column in frame.columns},
        alt=name,
        height=ROW_HEIGHT * (min(frame.height, MOST_ROWS_HIGH) + 1) + 4,
        row_height=ROW_HEIGHT,
        placeholder=NOTHING,
        lazy=frame.height > MOST_ROWS_SENT,
    )


def take(made: Callable[[], bytes], file_name: str, media: str, *, label: str = "") -> None:
    """Show a button that takes a file away, labelled with its name unless told otherwise; nothing is made before it is touched."""
    name = literal(f"Take {file_name}")
    st.download_button(label or name, made, file_name, media, on_click="ignore", key=f"take {file_name}", help=name if label else None)


def _column(cells: pl.Series, meaning: str | None) -> Any:
    """Return how a column is shown: heading with its unit, meaning on a touch, days as days, figures to the places that matter."""
    title = heading(cells.name)
    if cells.dtype == pl.Date:
        return st.column_config.DateColumn(title, help=meaning, format="D MMM YYYY")
    if cells.dtype.is_float():
        decimals = places(cells, is_money=bool(meaning) and MONEY.search(meaning) is not None)
        return st.column_config.NumberColumn(title, help=meaning, format="percent" if is_share(cells.name) else f"%.{decimals}f")
    return st.column_config.Column(title, help=meaning)


def _filed(cells: pl.Series, meaning: str | None) -> Any:
    """Return how a column is shown under the name it has in a file."""
    if cells.dtype.is_float():
        return st.column_config.NumberColumn(cells.name, help=meaning, format="%.6g")
    return st.column_config.Column(cells.name, help=meaning)


def foot(answer: Answer | Boat, *, advises: bool = False) -> None:
    """Show what the page rests on, and whom it defers to where it suggests work."""
    st.divider()
    if advises:
        st.markdown(f"**{literal(readings.DEFERENCE)}**")
    st.caption(rests_on(answer.head))


def nothing_here(words: str) -> NoReturn:
    """Say what an empty page needs, and stop the page there."""
    st.info(words)
    st.stop()
