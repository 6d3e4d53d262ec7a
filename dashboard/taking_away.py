"""The door for what leaves by a page: one table as a file, the whole package, each made when it is asked for.

In: a table's name, filters, the form wanted. Out: bytes, and what they are made from, kept for a version of the ledger and the filters.
What is raised on purpose (`TowlessError`) is passed on.
Elsewhere: what pages show (`readings`), pictures as files (`drawing`).
"""

from collections.abc import Sequence
from dataclasses import dataclass

import polars as pl
import streamlit as st

from dashboard.readings import MOST_ANSWERS, Answer, Scope, generation, ledger_path, settings
from pipelines.exports import frames
from pipelines.exports.answer import as_json
from pipelines.exports.package.written import zipped
from pipelines.flow import copies, packaging
from pipelines.terms.package_tables import PACKAGE_TABLES
from pipelines.terms.settings import Settings

FORMS = frames.FORMS
MEDIA = {**frames.MEDIA, "json": "application/json", "zip": "application/zip"}
"""{form of a file: its media type}."""
OFFERED = {name: table.title for name, table in PACKAGE_TABLES.items()}
"""{table of the package: what it is called}, in the order of the package."""


@dataclass(frozen=True)
class Told:
    """What a table is: one row of it in words, its key, and each column with unit and meaning."""

    grain: str
    key: tuple[str, ...]
    columns: pl.DataFrame


def as_file(frame: pl.DataFrame, form: str, name: str = "figures") -> bytes:
    """Return any table of a page as the bytes of a file."""
    return frames.as_file(frame, form, name)


def told_of(name: str) -> Told:
    """Return what a table of the package is."""
    table = PACKAGE_TABLES[name]
    rows = [{"column": told.name, "unit": told.unit, "meaning": told.meaning} for told in table.columns]
    return Told(table.grain, table.key, pl.DataFrame(rows))


def table(name: str, scope: Scope) -> Answer:
    """Return one table of the package under the filters, with what it was made from."""
    return _table(generation(), name, scope, settings())


def table_as(name: str, scope: Scope, form: str) -> bytes:
    """Return that table as the bytes of a file; as JSON with its head."""
    answer = table(name, scope)
    return as_json(answer).encode() if form == "json" else as_file(answer.rows, form, name)


def package(scope: Scope, forms: Sequence[str]) -> bytes:
    """Return the whole package under the filters as one zip file, made anew."""
    with copies.current_copy(ledger_path(), settings()) as copy:
        return zipped(packaging.package_of(copy, scope, settings()), forms)


@st.cache_resource(max_entries=MOST_ANSWERS, show_spinner="Gathering the figures …")
def _table(generation: str, name: str, scope: Scope, chosen: Settings) -> Answer:  # noqa: ARG001
    with copies.current_copy(ledger_path(), chosen) as copy:
        return packaging.table_of(copy, scope, chosen, name)
