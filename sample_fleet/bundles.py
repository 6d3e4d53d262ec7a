"""Which records go to which file.

In: frames of all record kinds. Out: files in a folder.
Elsewhere: how rows go astray (`mess`), how a file is written (`write`).
"""

from pathlib import Path

import polars as pl

from sample_fleet.fleet import Fleet
from sample_fleet.truths import Truth
from sample_fleet.write import write_csv


def write_clean(books: dict[str, pl.DataFrame], fleet: Fleet, seed: int, truth: Truth, folder: Path) -> None:  # noqa: ARG001
    """Write one CSV file a record kind, nothing astray."""
    for kind, frame in books.items():
        write_csv(frame, folder / f"{kind}.csv")


write_messy = write_clean
