"""What goes astray when an hour meter is read: digits swapped, the point lost, last month's figure copied, nothing at all.

In: readings as text. Out: the same with a few of them wrong.
Elsewhere: meters replaced or reset (`whereabouts`).
"""

import numpy as np
import polars as pl

from sample_fleet.chance import Chance

SWAPPED, POINT_LOST = 0.006, 0.003


def misread(readings: pl.Series, chance: Chance, missing: float, slips: pl.Series | None = None) -> pl.Series:
    """Return readings of which some are missing and a few have swapped digits or no decimal point.

    Parameters
    ----------
    readings
        As text.
    missing
        Share that nobody read.
    slips
        Slip of paper each reading stands on, as whole numbers from 0: what stands on one is missing or misread alike.
        Without it each stands on its own.
    """
    size = len(readings)
    paper = np.arange(size) if slips is None else slips.to_numpy()
    papers = int(paper.max(initial=-1)) + 1
    draws, places, gone = chance.uniform(papers)[paper], chance.uniform(papers)[paper], chance.whether(papers, missing)[paper]
    wrong = np.where(draws < SWAPPED, 1, np.where(draws < SWAPPED + POINT_LOST, 2, 0))
    return pl.Series(
        readings.name,
        [
            "" if lost else _swapped(text, place) if kind == 1 else text.replace(".", "") if kind == 2 else text
            for text, kind, place, lost in zip(readings, wrong, places, gone, strict=True)
        ],
        dtype=pl.String,
    )


def _swapped(text: str, place: float) -> str:
    """Swap two neighbouring digits before the point, where they differ."""
    whole, point, rest = text.partition(".")
    at = int(place * max(len(whole) - 1, 1))
    if len(whole) < 2 or whole[at] == whole[at + 1]:
        return text
    return whole[:at] + whole[at + 1] + whole[at] + whole[at + 2 :] + point + rest


def decimal_commas(frame: pl.DataFrame, columns: tuple[str, ...]) -> pl.DataFrame:
    """Return the frame with a decimal comma in these columns."""
    return frame.with_columns(pl.col(columns).str.replace(".", ",", literal=True))


def day_first(frame: pl.DataFrame, columns: tuple[str, ...], mark: str = ".") -> pl.DataFrame:
    """Return the frame with ISO days of these columns written day first; anything else stays."""
    return frame.with_columns(pl.col(columns).str.replace(r"^(\d{4})-(\d{2})-(\d{2})", f"${{3}}{mark}${{2}}{mark}${{1}}"))
