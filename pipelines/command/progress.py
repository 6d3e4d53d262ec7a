"""How far a long reading is, on standard error, where a person sees it.

In: a name, how much is done of how much. Out: one line that is written over. Nothing is written where standard error is no terminal.
Elsewhere: who reads (`flow`).
"""

import sys

WIDTH = 30


def bar() -> "Bar | None":
    """Return a bar for a terminal; nothing where standard error goes elsewhere."""
    return Bar() if sys.stderr.isatty() else None


class Bar:
    """One line that shows how far a file is."""

    def __call__(self, name: str, done: int, of: int) -> None:
        """Show that `done` of `of` bytes of a file are read; a file that is done leaves an empty line behind."""
        share = min(done / of, 1.0) if of else 1.0
        filled = round(WIDTH * share)
        sys.stderr.write(f"\r{name}  {'=' * filled}{' ' * (WIDTH - filled)}  {share:4.0%}" if share < 1.0 else "\r\x1b[2K")
        sys.stderr.flush()
