"""Which code a free text most likely means, learned from texts that have one.

In: texts with codes, texts of a trade catalogue that stand beside them as examples of little weight, texts without codes. Out: for each the
likeliest code, how likely it is to be right, and the words that say so. No files, no database; the same in, the same out.
Method: words and pairs of words weighed by how rare they are (TF-IDF), multinomial naive Bayes (scikit-learn), and its probability put on
the scale of how often it was right: isotonic regression on predictions of rows that were held back in turn (Zadrozny and Elkan 2002).
Elsewhere: which rows are asked about (`flow.code_suggestions`).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

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
    right, probability = _held_back(examples)
    learned = _learned(examples, np.arange(len(examples.texts)))
    best, chance, evidence = _read(learned, texts)
    confidence = _confidence(right, probability, chance)
    told = pl.DataFrame({"code": best, "confidence": confidence, "evidence": evidence}, schema=SUGGESTED)
    return told.with_columns(pl.when(pl.col("evidence") != "").then(pl.col(name)).alias(name) for name in SUGGESTED)


def held_back(examples: Examples) -> pl.DataFrame:
    """Suggest a code for each example as if it had none: `given` (its code), `code`, `confidence`, one row an example.

    Each row is read by what was learned from the other folds, and its confidence is read off the rows of the other folds.
    """
    fold = _folds(len(examples.texts))
    codes, chances = _out_of_fold(examples)
    right = np.array([code == given for code, given in zip(codes, examples.codes, strict=True)])
    confidence = np.zeros(len(codes))
    for each in range(FOLDS):
        asked = fold == each
        confidence[asked] = _confidence(right[~asked], chances[~asked], chances[asked])
    return pl.DataFrame({"given": list(examples.codes), "code": codes, "confidence": confidence})


def _folds(count: int) -> np.ndarray:
    return np.arange(count) % FOLDS


def _held_back(examples: Examples) -> tuple[np.ndarray, np.ndarray]:
    codes, chances = _out_of_fold(examples)
    return np.array([code == given for code, given in zip(codes, examples.codes, strict=True)]), chances


def _out_of_fold(examples: Examples) -> tuple[list[str], np.ndarray]:
    fold, texts = _folds(len(examples.texts)), np.array(examples.texts, dtype=object)
    codes, chances = np.empty(len(texts), dtype=object), np.zeros(len(texts))
    for each in range(FOLDS):
        learned = _learned(examples, np.flatnonzero(fold != each))
        asked = np.flatnonzero(fold == each)
        best, chance, evidence = _read(learned, list(texts[asked]))
        codes[asked], chances[asked] = best, np.where([bool(words) for words in evidence], chance, 0.0)
    return list(codes), chances


def _learned(examples: Examples, rows: np.ndarray) -> tuple[Any, Any]:
    """Return the weigher of words and the classifier, from some of the rows and the whole catalogue."""
    # Loading scikit-learn takes a second, which a fleet without free text need not wait for.
    from sklearn.feature_extraction.text import TfidfVectorizer
    from sklearn.naive_bayes import MultinomialNB

    texts = [examples.texts[row] for row in rows] + list(examples.catalogue_texts)
    codes = [examples.codes[row] for row in rows] + list(examples.catalogue_codes)
    weights = np.repeat([1.0, CATALOGUE_WEIGHT], [len(rows), len(examples.catalogue_texts)])
    weigher = TfidfVectorizer(token_pattern=r"\w[\w'=/.-]*\w|\w", ngram_range=(1, 2), sublinear_tf=True, lowercase=True)
    return weigher, MultinomialNB(alpha=SMOOTHING).fit(weigher.fit_transform(texts), codes, sample_weight=weights)


def _read(learned: tuple[Any, Any], texts: Sequence[str]) -> tuple[list[str], np.ndarray, list[str]]:
    weigher, classifier = learned
    weights = weigher.transform(texts)
    chances = classifier.predict_proba(weights)
    best = chances.argmax(axis=1)
    of_words = classifier.feature_log_prob_ + classifier.class_log_prior_[:, None]
    speaks_for = np.exp(of_words - np.logaddexp.reduce(of_words, axis=0))
    names = weigher.get_feature_names_out()
    evidence = [_evidence(weights[row], speaks_for[code], names) for row, code in enumerate(best)]
    return [str(classifier.classes_[code]) for code in best], chances[np.arange(len(best)), best], evidence


def _evidence(weights: Any, speaks_for: np.ndarray, names: np.ndarray) -> str:
    """Return the words of one text that speak most for its code; facts are used, but are no evidence of their own."""
    words = weights.indices
    chance = speaks_for[words]
    order = np.argsort(-chance * weights.data, kind="stable")
    told = [str(names[words[place]]) for place in order if chance[place] >= LEAST_SAID and "=" not in names[words[place]]]
    single = [word for word in told if " " not in word]
    return "; ".join((single or told)[:WORDS_SHOWN])


def _confidence(right: np.ndarray, probability: np.ndarray, asked: np.ndarray) -> np.ndarray:
    """Return how often suggestions of such a probability were right, never surer than the rows held back allow."""
    from sklearn.isotonic import IsotonicRegression

    scale = IsotonicRegression(y_min=0.0, y_max=1.0, out_of_bounds="clip").fit(probability, right.astype(float))
    share = scale.predict(asked)
    count = float(right.size)
    return (share * count + 0.5 * DOUBT) / (count + DOUBT)
