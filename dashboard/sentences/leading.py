"""Where a line of a page leads.

In: nothing. Out: `Lead`, a screen, the words of its link and what stands in its address.
Elsewhere: which line leads where (`week`, `finding`), how it is shown (`controls.leading`).
"""

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True)
class Lead:
    """Where a line leads: the screen, the words of the link, and what stands in the address."""

    screen: str
    label: str
    address: Mapping[str, str] = field(default_factory=dict)
