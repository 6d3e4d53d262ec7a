"""Which code a free text most likely means, learned from texts that have one.

In: texts with codes, texts of a trade catalogue that stand beside them as examples of little weight, texts without codes. Out: for each the
likeliest code, how likely it is to be right, and the words that say so. No files, no database; the same in, the same out.
Method: words and pairs of words weighed by how rare they are (TF-IDF), multinomial naive Bayes (scikit-learn), and its probability put on
the scale of how often it was right: isotonic regression on predictions of rows that were held back in turn (Zadrozny and Elkan 2002).
Elsewhere: which rows are asked about (`flow.code_suggestions`).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, ClassVar

import numpy as np
import polars as pl

FOLDS = 5
LEAST_EXAMPLES = 20
"""Coded rows below which nothing is suggested: how often it is right could not be told."""
CATALOGUE_WEIGHT = 0.3
SMOOTHING = 0.05
WORDS_SHOWN = 3
LEAST_SAID = 0.3
"""A word is evidence for a code if, alone, it would make the code at least so likely."""
DOUBT = 10.0
"""Held-back rows that a confidence of one half counts for, so that few rows never make a suggestion sure."""
UNSEEN = 2.0
"""Texts that a word counts as seen in with any code before it is seen at all, so that no word met once or twice makes a code sure."""
MEANT = 5.0
"""Texts with its code that a word of the trade's catalogue counts for."""
SUGGESTED = {"code": pl.String(), "confidence": pl.Float64(), "evidence": pl.String()}


@dataclass(frozen=True)
class Examples:
    """Texts with codes.

    Attributes
    ----------
    texts, codes
        Of the fleet's own rows, one code a text.
    catalogue_texts, catalogue_codes
        Words of the trade and the codes they stand for.
    """

    texts: Sequence[str]
    codes: Sequence[str]
    catalogue_texts: Sequence[str] = ()
    catalogue_codes: Sequence[str] = ()


@dataclass(frozen=True, eq=False)
class _Learned:
    """What was learned: the weigher of words, the classifier, and by code and word the share of the code among the word's texts."""

    weigher: Any
    classifier: Any
    share: np.ndarray


@dataclass(frozen=True, eq=False)
class _Read:
    """Texts as read, each field of shape (n,): likeliest code, its chance, the most that a word of it carries, the words that say so."""

    codes: np.ndarray
    chance: np.ndarray
    carried: np.ndarray
    evidence: np.ndarray
    NAMES: ClassVar = ("codes", "chance", "carried", "evidence")

    def of(self, rows: np.ndarray) -> "_Read":
        """Return some of the texts."""
        return _Read(*(getattr(self, name)[rows] for name in self.NAMES))

    def right(self, given: Sequence[str]) -> np.ndarray:
        """Say of each text whether its code is the given one."""
        return self.codes == np.array(given, dtype=object)


def suggest(examples: Examples, texts: Sequence[str]) -> pl.DataFrame:
    """Suggest a code for each text.

    Parameters
    ----------
    examples
        What is learned from.
    texts
        Asked about; a word with `=` in it, such as `symptom=overheats`, is a fact and no word of the text.

    Returns
    -------
    pl.DataFrame
        One row a text: `code`, `confidence` (0 to 1: the share of such suggestions that were right when rows were held back), `evidence`
        (words of the text, `;` between, the weightiest first). All three are null where no word of the text speaks for the code, or the
        fleet has fewer than 20 coded rows.
    """
    if len(examples.texts) < LEAST_EXAMPLES or not texts:
        return pl.DataFrame({name: [None] * len(texts) for name in SUGGESTED}, schema=SUGGESTED)
    before = _out_of_fold(examples)
    read = _read(_learned(examples, np.arange(len(examples.texts))), texts)
    confidence = _confidence(before.right(examples.codes), before, read)
    told = pl.DataFrame({"code": read.codes, "confidence": confidence, "evidence": read.evidence}, schema=SUGGESTED)
    return told.with_columns(pl.when(pl.col("evidence") != "").then(pl.col(name)).alias(name) for name in SUGGESTED)


def held_back(examples: Examples) -> pl.DataFrame:
    """Suggest a code for each example as if it had none: `given` (its code), `code`, `confidence`, one row an example.

    Each row is read by what was learned from the other folds, and its confidence is read off the rows of the other folds.
    """
    fold = _folds(len(examples.texts))
    read = _out_of_fold(examples)
    right, confidence = read.right(examples.codes), np.zeros(fold.size)
    for each in range(FOLDS):
        asked = fold == each
        confidence[asked] = _confidence(right[~asked], read.of(~asked), read.of(asked))
    return pl.DataFrame({"given": list(examples.codes), "code": list(read.codes), "confidence": confidence})


def _folds(count: int) -> np.ndarray:
    # Shuffled, always in the same way: what recurs every fifth row would otherwise stand in one fold.
    return np.random.default_rng(FOLDS).permutation(count) % FOLDS


def _out_of_fold(examples: Examples) -> _Read:
    """Read each example by what was learned from the other folds; one without evidence has chance 0."""
    fold, texts = _folds(len(examples.texts)), np.array(examples.texts, dtype=object)
    order, parts = [np.flatnonzero(fold == each) for each in range(FOLDS)], []
    for each, asked in enumerate(order):
        parts.append(_read(_learned(examples, np.flatnonzero(fold != each)), list(texts[asked])))
    back = np.argsort(np.concatenate(order))
    codes, chance, carried, evidence = (np.concatenate([getattr(part, name) for part in parts])[back] for name in _Read.NAMES)
    return _Read(codes, np.where(evidence != "", chance, 0.0), carried, evidence)


def _learned(examples: Examples, rows: np.ndarray) -> _Learned:
    """Learn from some of the rows and the whole catalogue."""
    # Loading scikit-learn takes a second, which a fleet without free text need not wait for.
    from sklearn.feature_extraction.text import TfidfVectorizer
    from sklearn.naive_bayes import MultinomialNB

    texts = [examples.texts[row] for row in rows] + list(examples.catalogue_texts)
    codes = [examples.codes[row] for row in rows] + list(examples.catalogue_codes)
    weights = np.repeat([1.0, CATALOGUE_WEIGHT], [len(rows), len(examples.catalogue_texts)])
    weigher = TfidfVectorizer(token_pattern=r"\w[\w'=/.-]*\w|\w", ngram_range=(1, 2), sublinear_tf=True, lowercase=True)
    words = weigher.fit_transform(texts)
    classifier = MultinomialNB(alpha=SMOOTHING).fit(words, codes, sample_weight=weights)
    counted = np.repeat([1.0, MEANT], [len(rows), len(examples.catalogue_texts)])
    return _Learned(weigher, classifier, _shares(words, np.searchsorted(classifier.classes_, codes), counted))


def _shares(words: Any, codes: np.ndarray, counted: np.ndarray) -> np.ndarray:
    """Give the share of each code among the texts that hold a word, drawn to that among all texts by `UNSEEN` texts."""
    of_code = np.zeros((codes.max() + 1, codes.size))
    of_code[codes, np.arange(codes.size)] = counted
    held = words.copy()
    held.data = np.ones_like(held.data)
    base = of_code.sum(axis=1, keepdims=True) / counted.sum()
    return (of_code @ held + UNSEEN * base) / (counted @ held + UNSEEN)


def _read(learned: _Learned, texts: Sequence[str]) -> _Read:
    weigher, classifier = learned.weigher, learned.classifier
    weights = weigher.transform(texts)
    chances = classifier.predict_proba(weights)
    best = chances.argmax(axis=1)
    of_words = classifier.feature_log_prob_ + classifier.class_log_prior_[:, None]
    speaks_for = np.exp(of_words - np.logaddexp.reduce(of_words, axis=0))
    names = weigher.get_feature_names_out()
    evidence = [_evidence(weights[row], speaks_for[code], names) for row, code in enumerate(best)]
    # Naive Bayes takes every word for another witness; a text is no surer than the word of it that most often came with the code.
    codes = np.array([str(classifier.classes_[code]) for code in best], dtype=object)
    carried = np.array([learned.share[code, weights[row].indices].max(initial=0.0) for row, code in enumerate(best)])
    return _Read(codes, chances[np.arange(len(best)), best], carried, np.array(evidence, dtype=object))


def _evidence(weights: Any, speaks_for: np.ndarray, names: np.ndarray) -> str:
    """Return the words of one text that speak most for its code; facts are used, but are no evidence of their own."""
    words = weights.indices
    chance = speaks_for[words]
    order = np.argsort(-chance * weights.data, kind="stable")
    told = [str(names[words[place]]) for place in order if chance[place] >= LEAST_SAID and "=" not in names[words[place]]]
    single = [word for word in told if " " not in word]
    return "; ".join((single or told)[:WORDS_SHOWN])


def _confidence(right: np.ndarray, before: _Read, asked: _Read) -> np.ndarray:
    """Return how often suggestions of such a chance were right, never surer than the rows held back and the words allow."""
    from sklearn.isotonic import IsotonicRegression

    scale = IsotonicRegression(y_min=0.0, y_max=1.0, out_of_bounds="clip").fit(before.chance, right.astype(float))
    count = float(right.size)
    return np.minimum((scale.predict(asked.chance) * count + 0.5 * DOUBT) / (count + DOUBT), asked.carried)
