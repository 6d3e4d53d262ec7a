"""A mapping put together on a page: what is kept with the ledger, with a person's choices for one file laid over it.

In: a mapping as TOML, choices. Out: a mapping as TOML that says both.
Elsewhere: what a mapping may say (`intake.mapping`), what a file would come to with it (`previewing`).
"""

import json
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from pipelines.flow.fleet_words import LAST_MAPPING
from pipelines.ledger.reading import Published


@dataclass(frozen=True)
class Choices:
    """What a person chose for one file.

    Attributes
    ----------
    file
        Its name; the choices hold for files of that name.
    kind
        Record kind; empty: as the columns say.
    columns
        {your column: our column}; an empty value keeps it as a column of your own.
    date_order, decimal
        As in a mapping; empty: the file shows it.
    """

    file: str
    kind: str = ""
    columns: Mapping[str, str] = field(default_factory=dict)
    date_order: str = ""
    decimal: str = ""


def kept_mapping(copy: Published) -> str:
    """Return the mapping that was last used; empty: none was."""
    found = copy.frame(LAST_MAPPING)
    return found.item() if found.height else ""


def with_choices(text: str, choices: Choices) -> str:
    """Return the mapping `text` with the choices for one file laid over it."""
    said = {"as": choices.kind, "date_order": choices.date_order, "decimal": choices.decimal}
    ours: dict[str, Any] = {name: word for name, word in said.items() if word}
    if choices.columns:
        ours["columns"] = dict(choices.columns)
    return _together(text, {"file": {_pattern(choices.file): ours}} if ours else {})


def laid_over(text: str, other: str) -> str:
    """Return the mapping `text` with everything that the mapping `other`, the later, says laid over it."""
    return _together(text, tomllib.loads(other))


def _together(text: str, over: dict[str, Any]) -> str:
    said = _merged(tomllib.loads(text.removeprefix("\ufeff")), over)
    return "\n".join(_lines(said, ())) + "\n" if said else ""


def _pattern(name: str) -> str:
    """Return a pattern that only this name fits."""
    return "".join(f"[{sign}]" if sign in "*?[" else sign for sign in name)


def _merged(under: dict[str, Any], over: dict[str, Any]) -> dict[str, Any]:
    both = dict(under)
    for name, said in over.items():
        both[name] = _merged(both[name], said) if isinstance(said, dict) and isinstance(both.get(name), dict) else said
    return both


def _lines(table: Mapping[str, Any], path: tuple[str, ...]) -> list[str]:
    plain = [f"{_quoted(name)} = {_value(said)}" for name, said in table.items() if not isinstance(said, dict)]
    head = [f"[{'.'.join(_quoted(name) for name in path)}]"] if path and plain else []
    inner = [line for name, said in table.items() if isinstance(said, dict) for line in _lines(said, (*path, name))]
    return [*head, *plain, *([""] if plain else []), *inner]


def _value(said: Any) -> str:
    return str(said).lower() if isinstance(said, bool) else _quoted(said) if isinstance(said, str) else str(said)


def _quoted(word: str) -> str:
    return json.dumps(word, ensure_ascii=False).replace("\x7f", "\\u007f")
