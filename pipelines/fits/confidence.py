"""Confidence levels: what is cut off in each tail, and how many standard errors wide that is.

In: a level between 0 and 1. Out: numbers. Elsewhere: which limits are made of them (every other module of the room).
"""

from scipy.special import ndtri

from pipelines.errors import NoFigure


def tail(level: float) -> float:
    """Return the chance left in each tail by central limits.

    Raises
    ------
    NoFigure
        If the level is not between 0 and 1.
    """
    if not 0 < level < 1:
        raise NoFigure(f"level: {level:g}. Give a share between 0 and 1 such as 0.95.")
    return (1 - level) / 2


def normal_width(level: float) -> float:
    """Return how many standard errors central normal limits lie away; 1.96 at 0.95.

    Raises
    ------
    NoFigure
        If the level is not between 0 and 1.
    """
    return float(ndtri(1 - tail(level)))
