"""Which known word a misspelt word was meant to be, if there is exactly one.

In: a folded word and the folded words that are known. Out: a known word, or none. A near miss is a slip of one or two letters (missing,
added, wrong or swapped), the same words in another order, or a space too many or too few. What is not taken: words of fewer than four
letters, a word that differs by a negation (`unplanned`), another number (`filter 2`), or one that is near two meanings.
Elsewhere: folding (`names`), what a code list holds (`coding`).
"""

from collections.abc import Mapping

from rapidfuzz.distance import OSA
from rapidfuzz.process import extract

SHORTEST = 4
ONE_SLIP_FROM, TWO_SLIPS_FROM = 4, 8
MOST_SLIPS = 2
LONG_NAME, LONG_NAME_PARTS = 12, 3
"""Letters and parts from which on a name is long enough to be known in spite of a slip in a short part."""
NEGATIONS = ("un", "in", "im", "non", "not", "no", "dis", "de", "mis", "ab")
NEGATING = {"no", "not", "non", "un", "never", "without"}
"""Parts of a word that turn its meaning; two words with other such parts are not near."""


class NearMisses:
    """Known words of one list, ready to be compared with.

    Parameters
    ----------
    known
        {folded word: code}.
    """

    def __init__(self, known: Mapping[str, str]) -> None:
        self._known = dict(known)
        self._joined = {word: _joined(word) for word in known}
        self._sorted = {word: _joined(_in_order(word)) for word in known}

    def code_of(self, word: str) -> str:
        """Return the code that a folded word was most likely meant as; empty if it is near none, or near several codes."""
        if len(_joined(word)) < SHORTEST:
            return ""
        near = self._candidates(word)
        slips = {other: _slips(word, other) for other in near}
        same_letters = {self._known[other] for other, count in slips.items() if count == 0}
        codes = same_letters or {self._known[other] for other, count in slips.items() if count is not None}
        return codes.pop() if len(codes) == 1 else ""

    def _candidates(self, word: str) -> set[str]:
        """Return the known words within two slips by letters alone, in the order written or in order of the alphabet."""
        plain = extract(_joined(word), self._joined, scorer=OSA.distance, score_cutoff=MOST_SLIPS, limit=None)
        ordered = extract(_joined(_in_order(word)), self._sorted, scorer=OSA.distance, score_cutoff=MOST_SLIPS, limit=None)
        return {other for _, _, other in (*plain, *ordered)}


def _joined(word: str) -> str:
    return word.replace(" ", "")


def _in_order(word: str) -> str:
    return " ".join(sorted(word.split()))


def _slips(word: str, known: str) -> int | None:
    """Count the slips between two words; `None` if they are more than a slip of the pen apart."""
    if _negating(word) != _negating(known):
        return None
    if _joined(word) == _joined(known) or _in_order(word) == _in_order(known):
        return 0
    if len(word.split()) != len(known.split()):
        joined = _aligned(_joined(word), _joined(known))
        return joined if joined == 1 else None
    counts = [count for count in (_aligned(word, known), _aligned(_in_order(word), _in_order(known))) if count is not None]
    return min(counts, default=None)


def _negating(word: str) -> list[str]:
    return sorted(NEGATING.intersection(word.split()))


def _aligned(word: str, known: str) -> int | None:
    """Count slips part by part; each part must be near its fellow, so that a short part cannot turn into another.

    Only in a long name whose other parts are right may a short part hold one slip: `engine ol and filter`.
    """
    unlike = [(one, other) for one, other in zip(word.split(), known.split(), strict=True) if one != other]
    slips = [OSA.distance(one, other) for one, other in unlike]
    if slips == [1] and len(known.split()) >= LONG_NAME_PARTS and len(_joined(known)) >= LONG_NAME and len(unlike[0][1]) > 1:
        return None if _turned(*unlike[0]) else 1
    within = all(count <= _allowed(one, other) for (one, other), count in zip(unlike, slips, strict=True))
    return sum(slips) if within and sum(slips) <= MOST_SLIPS else None


def _allowed(one: str, other: str) -> int:
    """Return how many slips turn a known part into what was written: none in a short one."""
    if len(other) < ONE_SLIP_FROM or _turned(one, other):
        return 0
    return 2 if max(len(one), len(other)) >= TWO_SLIPS_FROM else 1


def _turned(one: str, other: str) -> bool:
    """Whether two parts differ in a negation or a number, which is never a slip."""
    negated = any(one == f"{negation}{other}" or other == f"{negation}{one}" for negation in NEGATIONS)
    return negated or _digits(one) != _digits(other)


def _digits(word: str) -> str:
    return "".join(sign for sign in word if sign.isdigit())
