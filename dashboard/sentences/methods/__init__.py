"""How every figure is worked out: one text a method, in plain words, with its formula and where it comes from.

In: the settings in force. Out: Markdown by the name of the method.
The texts lie beside this file, one a method; `<<name>>` in them stands for a setting, so that the priors shown are those in force.
Elsewhere: how to read a picture (`how_to_read`), the methods themselves (`pipelines.fits`, `pipelines.advice`).
"""

import re
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

_SETTING = re.compile(r"<<([a-z0-9_.]+)>>")


@dataclass(frozen=True)
class Method:
    """One method.

    Attributes
    ----------
    name
        Of its file, and the anchor of its section.
    title
        Heading of the section.
    text
        Markdown with formulas; settings not yet filled in.
    """

    name: str
    title: str
    text: str

    def told(self, settings: Any) -> str:
        """Return the text with the settings in force."""
        return _SETTING.sub(lambda found: _value(settings, found.group(1)), self.text)


PARTS = {
    "What strands us": ("rates", "shrinkage", "ratio", "preventable", "trend", "seasons", "boats", "recurrence"),
    "How long parts last": ("survival", "weibull", "paper", "hazard", "endings", "groups", "posterior"),
    "What to do about it": ("interval", "due", "visits", "spares", "stock", "kit", "likely"),
    "Were we right?": ("forecast", "alarms"),
    "The records": ("account", "boat"),
}
"""The methods in the order of the page."""


@cache
def method(name: str) -> Method:
    """Read one method; its first line is its title."""
    first, _, rest = Path(__file__).with_name(f"{name}.md").read_text(encoding="utf-8").partition("\n")
    return Method(name, first.removeprefix("# "), rest.strip())


def _value(settings: Any, path: str) -> str:
    held = settings
    for name in path.split("."):
        held = getattr(held, name)
    return f"{held:g}"
