"""What a fleet's own files mean: which of its columns and words are which of ours.

In: a TOML file. Out: `Mapping`, and the `Rules` that hold for one file and record kind.
Elsewhere: a first mapping made from a file (`suggesting`).

A mapping may say, at the top for all files, under `[kind.NAME]` for one record kind, or under `[file."PATTERN"]` for files whose
name fits (the more particular wins)::

    date_order = "day first"            # or "month first", "year first"; for dates such as 03/04/2024
    decimal = ","                       # or "."; for numbers such as 1,243
    [columns]                           # your column = our column; "" keeps it as a column of your own
    "Job No" = "ticket_id"
    "Date" = "called_at"                # two of your columns may make one moment: a date and a time of day
    "Time" = "called_at"
    [constants]                         # our column = value, for every row of a file that has no such column
    base = "North Quay"
    [words.component]                   # your word = our word or code, for one column
    "imp." = "raw-water pump impeller"
    [kind.rescue_calls.columns]
    "When" = "called_at"
    [file."calls 2023*"]
    as = "rescue_calls"                 # only under `file`: the record kind of these files
    date_order = "month first"

Names and words are compared by letters and digits, whatever their case, spaces and punctuation.
"""

import tomllib
from dataclasses import dataclass, field, replace
from fnmatch import fnmatchcase
from pathlib import Path
from typing import Any

from rapidfuzz.process import extractOne

from pipelines.errors import WrongMapping
from pipelines.intake.names import fold, squash
from pipelines.terms.codes import CODE_LISTS
from pipelines.terms.tables import RECORD_KINDS

DATE_ORDERS = ("day first", "month first", "year first")
DECIMALS = (".", ",")
OWN_WORDS = ("component",)
"""Lists whose words a fleet may add to: a mapping may lead to a word that towless does not know."""

FEW, LIKE = 4, 60
"""Choices that are all named; and how alike two words are, of 100, before one is named as the nearest."""

COLUMN_NAMES = tuple(dict.fromkeys(name for kind in RECORD_KINDS.values() for name in kind.column_names))


@dataclass(frozen=True)
class Rules:
    """What a mapping says for one file and record kind.

    Attributes
    ----------
    columns
        {squashed name of yours: our column}; an empty value keeps the column as one of your own.
    words
        {our column: {folded word of yours: our word}}.
    constants
        {our column: value} for files that have no such column.
    date_order
        One of `DATE_ORDERS`; empty: the file shows it.
    decimal
        `.` or `,`; empty: the file shows it.
    kind
        Record kind that the mapping says; empty: the columns show it.
    """

    columns: dict[str, str] = field(default_factory=dict)
    words: dict[str, dict[str, str]] = field(default_factory=dict)
    constants: dict[str, str] = field(default_factory=dict)
    date_order: str = ""
    decimal: str = ""
    kind: str = ""

    def under(self, other: "Rules") -> "Rules":
        """Return these rules with what `other`, the more particular, says instead."""
        lists = self.words.keys() | other.words.keys()
        return Rules(
            {**self.columns, **other.columns},
            {name: {**self.words.get(name, {}), **other.words.get(name, {})} for name in lists},
            {**self.constants, **other.constants},
            other.date_order or self.date_order,
            other.decimal or self.decimal,
            other.kind or self.kind,
        )


@dataclass(frozen=True)
class Mapping:
    """A whole mapping; the empty one says nothing.

    Attributes
    ----------
    everywhere
        Rules for all files.
    by_kind
        {record kind: rules}.
    by_file
        {pattern of file names: rules}, in the order of the mapping.
    text
        The TOML text it was read from, to be kept with the ledger.
    """

    everywhere: Rules = field(default_factory=Rules)
    by_kind: dict[str, Rules] = field(default_factory=dict)
    by_file: dict[str, Rules] = field(default_factory=dict)
    text: str = ""

    def rules(self, file: str, kind: str = "") -> Rules:
        """Return what holds for a file name and, once it is known, a record kind."""
        found = self.everywhere.under(self.by_kind.get(kind, Rules()))
        for pattern, rules in self.by_file.items():
            if fnmatchcase(file.casefold(), pattern.casefold()):
                found = found.under(rules)
        return found

    def words_of(self, code_list: str) -> dict[str, str]:
        """Return {folded word: our word} that the mapping says for a code list, wherever it says it."""
        levels = (self.everywhere, *self.by_kind.values(), *self.by_file.values())
        return {word: ours for rules in levels for word, ours in rules.words.get(code_list, {}).items()}


def read_mapping(path: Path) -> Mapping:
    """Read a mapping file.

    Raises
    ------
    WrongMapping
        If the file cannot be read, is not TOML, or names a column, kind or word that towless does not have.
    """
    try:
        return mapping_from(path.read_text(encoding="utf-8"), str(path))
    except (OSError, UnicodeDecodeError) as fault:
        raise WrongMapping(f"{path}: cannot be read as a mapping: {fault}. Give a TOML file in UTF-8.") from fault


def mapping_from(text: str, place: str = "the kept mapping") -> Mapping:
    """Read a mapping from TOML text; `place` is its name in messages.

    Raises
    ------
    WrongMapping
        As `read_mapping`.
    """
    try:
        given = tomllib.loads(text.removeprefix("\ufeff"))
    except (tomllib.TOMLDecodeError, RecursionError) as fault:
        raise WrongMapping(
            f"{place}: is not TOML: {fault}. Compare it with one that `towless intake --suggest-map FILE` writes."
        ) from fault
    kinds, files = _table(given.pop("kind", {}), place, "kind"), _table(given.pop("file", {}), place, "file")
    for kind in kinds:
        _known(kind, tuple(RECORD_KINDS), f"{place}, kind.{kind}", "record kind")
    return Mapping(
        _rules(given, place),
        {kind: _rules(_table(rules, place, kind), f"{place}, kind.{kind}") for kind, rules in kinds.items()},
        {
            pattern: _rules(_table(rules, place, pattern), f'{place}, file."{pattern}"', may_say_kind=True)
            for pattern, rules in files.items()
        },
        text,
    )


def _rules(given: dict[str, Any], place: str, *, may_say_kind: bool = False) -> Rules:
    allowed = ("columns", "words", "constants", "date_order", "decimal", *(("as",) if may_say_kind else ()))
    for name in given:
        _known(name, allowed, f"{place}, {name}", "part of a mapping")
    rules = Rules(date_order=_one_of(given, "date_order", DATE_ORDERS, place), decimal=_one_of(given, "decimal", DECIMALS, place))
    return replace(
        rules,
        columns=_columns(_table(given.get("columns", {}), place, "columns"), place),
        words=_words(_table(given.get("words", {}), place, "words"), place),
        constants=_constants(_table(given.get("constants", {}), place, "constants"), place),
        kind=_one_of(given, "as", tuple(RECORD_KINDS), place),
    )


def _columns(given: dict[str, Any], place: str) -> dict[str, str]:
    for yours, ours in given.items():
        if ours != "":
            _known(ours, COLUMN_NAMES, f"{place}, columns, {yours}", "column")
    return {squash(yours): ours for yours, ours in given.items()}


def _constants(given: dict[str, Any], place: str) -> dict[str, str]:
    for name in given:
        _known(name, COLUMN_NAMES, f"{place}, constants, {name}", "column")
    return {name: str(value).lower() if isinstance(value, bool) else str(value) for name, value in given.items()}


def _words(given: dict[str, Any], place: str) -> dict[str, dict[str, str]]:
    lists = {}
    for name, words in given.items():
        _known(name, COLUMN_NAMES, f"{place}, words.{name}", "column")
        lists[name] = {
            fold(yours): _our_word(name, ours, f"{place}, words.{name}, {yours}") for yours, ours in _table(words, place, name).items()
        }
    return lists


def _our_word(name: str, ours: Any, place: str) -> str:
    if not isinstance(ours, str):
        raise WrongMapping(f"{place}: {ours!r}. A word stands in quotes.")
    if name in CODE_LISTS and name not in OWN_WORDS:
        known = {fold(word): code for code, words in CODE_LISTS[name].items() for word in (code, *words)}
        if fold(ours) not in known:
            _known(ours, tuple(CODE_LISTS[name]), place, name)
    return ours.strip()


def _table(given: Any, place: str, name: str) -> dict[str, Any]:
    if not isinstance(given, dict):
        raise WrongMapping(f'{place}, {name}: {given!r}. Here stands a table, such as [columns] with lines of "yours" = "ours".')
    return dict(given)


def _one_of(given: dict[str, Any], name: str, allowed: tuple[str, ...], place: str) -> str:
    if name not in given:
        return ""
    _known(given[name], allowed, f"{place}, {name}", "choice")
    return given[name]


def _known(word: Any, known: tuple[str, ...], place: str, what: str) -> None:
    if word not in known:
        nearest = extractOne(str(word), known)
        few = len(known) <= FEW or nearest is None or nearest[1] < LIKE
        hint = f"Known: {', '.join(known)}." if few else f"The nearest is {nearest[0]}."
        raise WrongMapping(f"{place}: {word!r}. Not {'an' if what[0] in 'aeiou' else 'a'} {what} here. {hint}")
