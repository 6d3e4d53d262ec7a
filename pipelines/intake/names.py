"""How names and words are compared: by letters and digits, whatever their case, spaces and punctuation.

In: a header cell or a word. Out: its folded forms. `squash` is for column names, `fold` for words of a code list, `tidy` for the
name under which a column that towless does not know is kept.
Elsewhere: which name is which column (`recognise`), which word is which code (`coding`).
"""

import re
import unicodedata
from functools import lru_cache

_APOSTROPHES = re.compile("['’‘`´]")
_NOT_LETTERS = re.compile(r"[^\w]+|_+")


@lru_cache(maxsize=65536)
def squash(name: str) -> str:
    """Keep only letters and digits, in lower case: `Meter (h)` and `meter_h` are both `meterh`."""
    return _NOT_LETTERS.sub("", unicodedata.normalize("NFKC", name).casefold())


@lru_cache(maxsize=65536)
def fold(word: str) -> str:
    """Fold case, width of letters, apostrophes, hyphens, underscores, points and spaces: `Raw-Water  Pump_Imp.` is `raw water pump imp`.

    A word of nothing but punctuation stays as it is, so that `?` remains a word.
    """
    plain = _APOSTROPHES.sub("", unicodedata.normalize("NFKC", word).casefold())
    return " ".join(_NOT_LETTERS.sub(" ", plain).split()) or word.strip()


def tidy(name: str) -> str:
    """Write a column name in lower case with underscores: `Fuel Source` is `fuel_source`."""
    return re.sub(r"\W+", "_", unicodedata.normalize("NFKC", name).casefold()).strip("_")
