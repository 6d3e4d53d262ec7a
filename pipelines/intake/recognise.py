"""Which record kind a table is, told by its columns.

In: a header, a mapping, perhaps the kind a person named. Out: `Fit`: the kind and which of its columns each header cell is.
A kind fits when all its required columns are there after the mapping. Of several the one with the most known columns is taken; but
when another kind knows more of the columns, and one of them tells that kind alone, the file is refused: it is more likely a file of
that kind with a column named otherwise.
Elsewhere: renaming columns (`mapping`), finding the header among title rows (`grids`).
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from pipelines.errors import UnknownKind, UnknownWord, WrongMapping
from pipelines.intake.mapping import Mapping, Rules
from pipelines.intake.names import squash
from pipelines.terms.columns import ColumnType
from pipelines.terms.tables import RECORD_KINDS, RecordKind

ONE_OF = {"service_tickets": ("engine_id", "vessel_id")}
"""Columns of which a row of a kind needs at least one, though neither alone is required."""

WAY_OUT = "Name the columns in a mapping (`towless intake --suggest-map FILE` writes a first one), or say `--as KIND`."


@dataclass(frozen=True)
class Fit:
    """How a header fits a record kind.

    Attributes
    ----------
    kind
        The record kind.
    targets
        One a header cell: our column, or empty for a column that is kept as the fleet's own.
    missing
        Required columns that no header cell and no constant gives.
    """

    kind: RecordKind
    targets: tuple[str, ...]
    missing: tuple[str, ...]

    @property
    def known(self) -> int:
        """How many of our columns are there."""
        return len({target for target in self.targets if target})


def recognise(header: Sequence[str], mapping: Mapping, file: str, place: str, as_kind: str = "") -> Fit:
    """Return the record kind of a header.

    Parameters
    ----------
    header
        Names as written.
    mapping
        What the fleet says of its columns.
    file, place
        File name, and file with sheet as it stands in messages.
    as_kind
        Kind that a person named; empty: the columns show it.

    Raises
    ------
    UnknownKind
        If the columns fit no kind, or lack a required column of the kind named.
    UnknownWord
        If `as_kind` is no record kind.
    WrongMapping
        If two columns are the same column of ours.
    """
    fits = fits_of(header, mapping, file, as_kind)
    whole = [fit for fit in fits if fit.known and not fit.missing]
    nearest = fits[0]
    if not whole or _tells_otherwise(nearest, whole[0]):
        raise UnknownKind(_nearest_message(nearest, header, place, as_kind))
    if len(whole) > 1 and whole[1].known == whole[0].known > 1:
        raise UnknownKind(f"{place}: the columns fit {whole[0].kind.name} and {whole[1].kind.name} alike. Say which with `--as KIND`.")
    _refuse_twice(whole[0], header, place)
    return whole[0]


def fits_of(header: Sequence[str], mapping: Mapping, file: str, as_kind: str = "") -> list[Fit]:
    """Return how a header fits each record kind, the one with the most known columns first."""
    kinds = kinds_for(as_kind or mapping.rules(file).kind)
    fits = [_fit(kind, header, mapping.rules(file, kind.name)) for kind in kinds]
    return sorted(fits, key=lambda fit: (fit.known, -len(fit.missing)), reverse=True)


def kinds_for(as_kind: str) -> list[RecordKind]:
    """Return the one record kind that was named, or all of them; `UnknownWord` if it is none."""
    if as_kind and as_kind not in RECORD_KINDS:
        raise UnknownWord(f"--as {as_kind}: not a record kind. Known: {', '.join(RECORD_KINDS)}.")
    return [RECORD_KINDS[as_kind]] if as_kind else list(RECORD_KINDS.values())


def known_names(row: Sequence[str | None], mapping: Mapping, file: str, as_kind: str = "") -> int:
    """Count the cells of a row that are names of columns of the kind that knows most of them."""
    cells = [cell or "" for cell in row]
    return fits_of(cells, mapping, file, as_kind)[0].known if any(cells) else 0


def _fit(kind: RecordKind, header: Sequence[str], rules: Rules) -> Fit:
    ours = _squashed(kind.name)
    targets = tuple(_target(squash(name), ours, rules, kind) for name in header)
    there = {*targets, *rules.constants}
    missing = [column.name for column in kind.columns if column.required and column.name not in there]
    one_of = ONE_OF.get(kind.name, ())
    if one_of and not there.intersection(one_of):
        missing.append(" or ".join(one_of))
    return Fit(kind, targets, tuple(missing))


@lru_cache(maxsize=64)
def _squashed(kind: str) -> dict[str, str]:
    return {squash(name): name for name in RECORD_KINDS[kind].column_names}


def _target(name: str, ours: dict[str, str], rules: Rules, kind: RecordKind) -> str:
    if name in rules.columns:
        target = rules.columns[name]
        return target if target in kind.column_names else ""
    return ours.get(name, "")


def _tells_otherwise(nearest: Fit, whole: Fit) -> bool:
    if nearest.known <= whole.known:
        return False
    tells = {name for name in nearest.targets if name and sum(name in kind.column_names for kind in RECORD_KINDS.values()) == 1}
    return bool(tells - set(whole.targets))


def _nearest_message(fit: Fit, header: Sequence[str], place: str, as_kind: str) -> str:
    lacking = f"{', '.join(fit.missing)} {'is' if len(fit.missing) == 1 else 'are'} missing"
    found = [name for name in header if name.strip()]
    shown = f"Its columns are {', '.join(found[:12])}{' ...' if len(found) > 12 else ''}." if found else "It has no column names."
    if as_kind:
        return f"{place}: not {fit.kind.name}: {lacking}. {shown} {WAY_OUT}"
    if not fit.known:
        return f"{place}: none of its columns is known. {shown} {WAY_OUT}"
    return f"{place}: the columns fit no record kind. The nearest is {fit.kind.name}: {lacking}. {shown} {WAY_OUT}"


def _refuse_twice(fit: Fit, header: Sequence[str], place: str) -> None:
    """Refuse two columns that are one of ours, unless they are the date and the time of day of a moment."""
    for target, count in Counter(filter(None, fit.targets)).items():
        if count > (2 if fit.kind.column(target).type is ColumnType.MOMENT else 1):
            twice = [name for name, each in zip(header, fit.targets, strict=True) if each == target]
            way_out = 'Say in a mapping which one it is, and "" for the other.'
            raise WrongMapping(f"{place}: the columns {' and '.join(map(repr, twice))} are both {target}. {way_out}")
