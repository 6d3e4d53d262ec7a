"""The components and causes of one fleet: the built-in ones under the fleet's own words, and the fleet's own.

In: the words a fleet's own records use for parts, and its `components` records. Out: `FleetParts`, the catalogue and the cause tree.
A fleet's word that is the code or a trade word of a built-in component takes its place and keeps what is known of it.
Elsewhere: misspelt and unknown words (`coding`), the built-in lists (`terms.components`, `terms.causes`).
"""

from collections.abc import Collection, Iterable
from dataclasses import dataclass

import polars as pl

from pipelines.intake.names import fold
from pipelines.terms.causes import CAUSES, UNKNOWN
from pipelines.terms.codes import CARRIERS
from pipelines.terms.columns import ColumnType
from pipelines.terms.components import CATALOGUE, ENGINE, Component
from pipelines.terms.vocabulary import CATALOGUE_TABLE, CAUSE_TREE

PROPERTIES = ("safety", "hidden", "wear_visible", "crew_can_fit")

_BUILT_IN = {fold(word): code for code, component in CATALOGUE.items() for word in (code, *component.words)}


@dataclass(frozen=True)
class FleetParts:
    """What a fleet calls its parts.

    Attributes
    ----------
    own
        {folded word of the fleet: the word that stands for the part}.
    renamed
        {built-in code: the fleet's word in its place}.
    """

    own: dict[str, str]
    renamed: dict[str, str]

    @property
    def known(self) -> dict[str, str]:
        """{folded word: code} of all parts, the built-in trade words included."""
        return {word: self.renamed.get(code, code) for word, code in _BUILT_IN.items()} | self.own

    def code(self, built_in: str) -> str:
        """Return the fleet's word for a built-in code."""
        return self.renamed.get(built_in, built_in)


def fleet_parts(words: Iterable[str]) -> FleetParts:
    """Settle which word stands for each part that a fleet's own records name.

    Parameters
    ----------
    words
        Words as they stand in components, fitted, costs, limits, plan and parts. Words that differ only in case or punctuation, or that
        are trade words of one built-in component, are one part: the built-in code stands for it if it is among them, else the first in
        order of the alphabet.
    """
    groups: dict[str, set[str]] = {}
    for word in words:
        stripped = word.strip()
        groups.setdefault(_BUILT_IN.get(fold(stripped)) or f"\n{fold(stripped)}", set()).add(stripped)
    own: dict[str, str] = {}
    renamed: dict[str, str] = {}
    for group, members in groups.items():
        code = group if group in members else min(members)
        own.update({fold(word): code for word in members})
        if group in CATALOGUE:
            renamed[group] = code
    return FleetParts(own, renamed)


def fleet_catalogue(parts: FleetParts, records: pl.DataFrame, named: Collection[str]) -> pl.DataFrame:
    """Return every component of a fleet.

    Parameters
    ----------
    parts
        What the fleet calls them.
    records
        Accepted `components` rows, words as written; what a row leaves empty stays as built in.
    named
        Codes that any record of the fleet names.

    Returns
    -------
    pl.DataFrame
        The columns of `terms.vocabulary.CATALOGUE_TABLE`, one row a component, in order of the alphabet.
    """
    rows = {parts.code(code): _row(parts.code(code), component, named) for code, component in CATALOGUE.items()}
    for code in parts.own.values():
        rows.setdefault(code, _row(code, None, named))
    for record in records.iter_rows(named=True):
        code = parts.own.get(fold(record["component"]))
        if code is not None:
            rows[code] |= _said(record)
    schema = {column.name: pl.Boolean if column.type is ColumnType.YES_NO else pl.String for column in CATALOGUE_TABLE.columns}
    return pl.DataFrame(list(rows.values()), schema=schema).sort("component")


def cause_tree(parts: FleetParts) -> pl.DataFrame:
    """Return the cause tree with each part under the fleet's word: the columns of `terms.vocabulary.CAUSE_TREE`, one row a cause."""
    rows = [
        (cause.code, cause.system, cause.remedies[0].value, parts.code(cause.component) if cause.component else None, cause.effect.value)
        for cause in CAUSES.values()
    ]
    return pl.DataFrame(rows, schema=dict.fromkeys((column.name for column in CAUSE_TREE.columns), pl.String), orient="row")


def _row(code: str, built_in: Component | None, named: Collection[str]) -> dict[str, object]:
    known = built_in or Component(code, UNKNOWN, ENGINE)
    return {
        "component": code,
        "label": f"{code[:1].upper()}{code[1:]}",
        "system": known.system,
        "carried_by": known.carried_by,
        **{name: getattr(known, name) for name in PROPERTIES},
        "clock": known.clock,
        "drives": ";".join(known.drives),
        "fuels": ";".join(known.fuels),
        "in_catalogue": built_in is not None,
        "named": code in named,
    }


def _said(record: dict[str, object]) -> dict[str, object]:
    """Return what a `components` row says of a part."""
    carriers = {fold(word): code for code, words in CARRIERS.items() for word in (code, *words)}
    said = {name: record[name] for name in ("label", *PROPERTIES) if record[name] is not None}
    carrier = carriers.get(fold(str(record["carried_by"])))
    return said | ({"carried_by": carrier} if carrier else {})
