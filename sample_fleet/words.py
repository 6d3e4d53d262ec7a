"""How a yard writes a word: its code, another trade word, in capitals, shortened, with a slip.

In: codes. Out: words as written. Most slips are of one letter; a few words nobody could know.
Elsewhere: which word leads to which code (the intake of the records).
"""

from collections.abc import Sequence

import polars as pl

from pipelines.terms.codes import CODE_LISTS
from sample_fleet.chance import Chance

YARD_WORDS = {"water wheel": "raw-water pump impeller", "fuel pot": "water-separating fuel filter"}
"""Words of this fleet alone; its mapping says what they mean."""

NOBODY_KNOWS = ("as before", "ditto", "see job card", "bits and pieces")
LONG_ENOUGH_TO_SLIP = 6
AS_CODE, AS_TRADE_WORD, IN_CAPITALS, BEGUN_LARGE, SLIPPED = 0.5, 0.84, 0.90, 0.96, 1.0


def written(codes: pl.Series, code_list: str, chance: Chance, *, unknown: float = 0.0) -> pl.Series:
    """Return each code as somebody might write it; empty stays empty.

    Parameters
    ----------
    codes
        Codes of `code_list`, or words of the fleet's own.
    unknown
        Share that becomes a word which nobody could code.
    """
    size, known = len(codes), CODE_LISTS[code_list]
    hands, picks, places = chance.uniform(size), chance.uniform(size), chance.uniform(size)
    lost = chance.whether(size, unknown)
    words = [
        "" if not code else _lost(pick) if gone else _word(code, known.get(code, ()), hand, pick, place)
        for code, hand, pick, place, gone in zip(codes, hands, picks, places, lost, strict=True)
    ]
    return pl.Series(codes.name, words, dtype=pl.String)


def _lost(pick: float) -> str:
    return NOBODY_KNOWS[int(pick * len(NOBODY_KNOWS))]


def _word(code: str, others: Sequence[str], hand: float, pick: float, place: float) -> str:
    if hand < AS_CODE:
        return code
    if hand < AS_TRADE_WORD:
        return _another(code, others, pick)
    if hand < IN_CAPITALS:
        return code.upper()
    if hand < BEGUN_LARGE:
        return code[0].upper() + code[1:]
    return slip(code, pick, place) if len(code) > LONG_ENOUGH_TO_SLIP else code


def _another(code: str, others: Sequence[str], pick: float) -> str:
    own = [word for word, means in YARD_WORDS.items() if means == code]
    choice = [*[word for word in others if word not in ("?", "-")], *own] or [code]
    return choice[int(pick * len(choice))]


def slip(word: str, pick: float, place: float) -> str:
    """Return the word with one slip of the hand: two letters swapped, one left out or one doubled, never the first or last.

    Parameters
    ----------
    word
        Longer than three letters.
    pick, place
        Between 0 and 1: which slip, and where.
    """
    at = 1 + int(place * (len(word) - 3))
    if pick < 0.4:
        return word[:at] + word[at + 1] + word[at] + word[at + 2 :]
    return word[:at] + word[at + 1 :] if pick < 0.75 else word[:at] + word[at] + word[at:]
