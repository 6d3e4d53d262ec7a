"""Money: what a piece on the shelf costs to hold, and what a boat costs that waits for one.

In: a shelf, settings. Out: what holding and waiting cost, and for slow movers whether to hold one or none.
Elsewhere: what one wait costs (`waiting`), how many are needed at a wanted level (`shelf`), what a sum of money buys (`budget`).
"""

from pipelines.advice.shelf import Shelf
from pipelines.advice.words import counted
from pipelines.terms.settings import Settings

DAYS_A_YEAR = 365.25
SLOW = 1.0
"""A part of which fewer renewals than this are to be expected in the season moves slowly."""


def holding_cost(shelf: Shelf, pieces: int, settings: Settings) -> float:
    """Money that it costs through the season to begin it with so many pieces."""
    return settings.carrying_rate * shelf.unit_cost * shelf.mean_left(pieces) * shelf.horizon_days / DAYS_A_YEAR


def waiting_cost(shelf: Shelf, pieces: int) -> float | None:
    """Money that boats waiting cost through the season where so many pieces are held and nothing more is ordered; `None`: not known.

    Only failures and damage make a boat wait; a planned renewal is put off.
    """
    if shelf.waiting.money is None:
        return None
    return shelf.missing(pieces) * shelf.failing_share * shelf.waiting.money


def slow_mover(shelf: Shelf, settings: Settings, currency: str = "") -> tuple[str | None, str | None]:
    """Say of a part that moves slowly whether money is for holding one set or none, and why; nothing of one that moves.

    Returns
    -------
    str or None, str or None
        `one` or `none` (`None`: it moves, nothing takes it, or nobody knows what waiting costs), and the reason.
    """
    if shelf.obsolete or shelf.events >= SLOW or not shelf.positions:
        return None, None
    if shelf.waiting.money is None:
        return None, shelf.waiting.because
    set_of = max(1, round(shelf.quantity))
    hold = settings.carrying_rate * shelf.unit_cost * set_of * shelf.horizon_days / DAYS_A_YEAR
    saved = (shelf.missing(0) - shelf.missing(set_of)) * shelf.failing_share * shelf.waiting.money
    one = "one" if set_of == 1 else f"one set of {counted(set_of, 'piece', 'pieces')}"
    unit = f" {currency}" if currency else ""
    said = f"Holding {one} costs {hold:,.2f}{unit} through the season and saves {saved:,.2f}{unit} of waiting. {shelf.waiting.because}"
    return ("one" if saved > hold else "none"), said
