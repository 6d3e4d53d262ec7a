"""Which part of the fleet and of time a question is about.

In: the filters of a command or of a screen's address. Out: `Scope`. The same filters mean the same everywhere.
Elsewhere: what the question is (`flow`).
"""

from dataclasses import dataclass, fields
from datetime import date


@dataclass(frozen=True)
class Scope:
    """Filters; an empty one takes everything.

    Attributes
    ----------
    base, vessel_class, model, component
        Keep only rows of this base, class of boat, engine model or component.
    since, until
        Keep only what happened on these days or between them.
    as_of
        Pretend that nothing dated after this day is known; `None`: the last date in the records.
    """

    base: str = ""
    vessel_class: str = ""
    model: str = ""
    component: str = ""
    since: date | None = None
    until: date | None = None
    as_of: date | None = None

    @property
    def columns(self) -> dict[str, str]:
        """The filters on words, as {column of a derived table: word}; only those that are set."""
        named = {"base": self.base, "vessel_class": self.vessel_class, "engine_model": self.model, "component": self.component}
        return {column: word for column, word in named.items() if word}

    @property
    def is_whole(self) -> bool:
        """Whether no filter is set, so that stored estimates answer the question."""
        return all(not getattr(self, item.name) for item in fields(self))
