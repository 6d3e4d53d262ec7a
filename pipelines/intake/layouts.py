"""How one delimited file is cut: its delimiter, its header, and where a cell ends.

In: a delimiter. Out: `Layout`: the pattern of a row with plain quoting, and the cells of one row.
Elsewhere: finding the layout of a file (`delimited`), rows whose quotes are not plain (`mending`).
"""

import re
from dataclasses import dataclass
from functools import cached_property

WIDE = 5
"""Columns from which on a table is wide."""


@dataclass(frozen=True)
class Layout:
    """How a file is cut: its delimiter, and where its header stands and what it says once that is known."""

    delimiter: str
    line: int = 1
    header: tuple[str, ...] = ()

    @cached_property
    def strict(self) -> str:
        """Pattern of a row whose cells are each quoted whole or hold no quote."""
        mark = re.escape(self.delimiter)
        cell = f'(?:"(?:[^"]|"")*"|[^"{mark}]*)'
        return f"^{cell}(?:{mark}{cell})*$"

    @cached_property
    def _cell(self) -> re.Pattern[str]:
        """One cell and what ends it: quoted (group 1), or unquoted and not beginning with a quote (group 2)."""
        mark = re.escape(self.delimiter)
        return re.compile(f'(?: *"((?:[^"]|"")*)" *|((?! *")[^{mark}\\n]*))({mark}|\\Z)')

    def cut(self, text: str) -> list[str] | None:
        """Return the cells of one whole row; `None` if a quote in it is not matched."""
        cells, rest = self.scan(text)
        return None if rest else cells

    def scan(self, text: str) -> tuple[list[str], str]:
        """Return the cells of a row as far as they can be cut, and what is left; nothing is left of a sound row."""
        cells: list[str] = []
        at = 0
        while match := self._cell.match(text, at):
            quoted, plain, ended_by = match.groups()
            cells.append(plain if quoted is None else quoted.replace('""', '"'))
            if not ended_by:
                return cells, ""
            at = match.end()
        return cells, text[at:]

    @property
    def swallowed_at_most(self) -> int:
        """Lines inside a quoted cell that may look like whole rows before the quote is taken for one left open.

        A line of a note seldom has as many delimiters as a wide table, but now and then as many as a narrow one.
        """
        return 0 if len(self.header) >= WIDE else 2

    def is_whole(self, line: str) -> bool:
        """Whether one line without quotes by itself fills the header."""
        return '"' not in line and len(self.header) > 1 and line.count(self.delimiter) + 1 == len(self.header)
