"""What a data package holds before it is written: its tables, what they rest on, which part of the fleet they are of.

In: frames, made by `flow.packaging`. Out: `Package`.
Elsewhere: what each table is (`terms.package_tables`), the files (`written`).
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

import polars as pl


@dataclass(frozen=True)
class Package:
    """The tables of one package.

    Attributes
    ----------
    head
        `as_of`, `ledger_version`, `records` (rows that count in the ledger) and `left_out`.
    tables
        Frames by the names of `PACKAGE_TABLES`, with its columns in its order.
    query
        The filters they were made with, in words; empty: the whole fleet.
    currency
        Of every figure of money; empty: the records do not say one.
    remarks
        What was left out of the package, and why.
    """

    head: Mapping[str, Any]
    tables: Mapping[str, pl.DataFrame]
    query: Mapping[str, str] = field(default_factory=dict)
    currency: str = ""
    remarks: tuple[str, ...] = ()
