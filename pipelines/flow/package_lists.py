"""Tables of the package that say what the words of the others mean: parts, causes, boats, engines, files, settings, what was left out.

In: a published copy, the tables that hold figures. Out: frames with the columns of `terms.package_tables`.
Elsewhere: the figures (`packaging`).
"""

from collections.abc import Mapping
from dataclasses import asdict, fields
from typing import Any

import polars as pl

from pipelines.flow.queries import query
from pipelines.ledger.reading import Published
from pipelines.terms.exchange_codes import EXCHANGE_CODES, FROM_MEMORY, ExchangeCode
from pipelines.terms.package_tables import PACKAGE_TABLES
from pipelines.terms.settings import Settings

ISO_COLUMNS = {
    "mode": "iso_failure_mode",
    "mechanism_group": "iso_mechanism_group",
    "mechanism": "iso_failure_mechanism",
    "cause": "iso_failure_cause",
    "detection": "iso_detection_method",
    "activity": "iso_maintenance_activity",
}
"""{attribute of an exchange code: the column it stands in}."""


def lists_of(copy: Published, tables: Mapping[str, pl.DataFrame], settings: Settings) -> dict[str, pl.DataFrame]:
    """Make the tables that describe those given; parts, boats and engines are the ones that any of them names."""
    causes = _causes(copy)
    named = {**tables, "causes": causes}
    return {
        "components": _described(named, "component", copy.frame("select * from accepted.catalogue order by component"), "components"),
        "causes": causes,
        "boats": _described(named, "vessel_id", copy.frame(query("package_boats")), "boats"),
        "engines": _described(named, "engine_id", copy.frame(query("package_engines")), "engines"),
        "reconciliation": copy.frame("select * from about.reconciliation order by kind"),
        "left_out": copy.frame(query("package_left_out")),
        "sources": copy.frame(query("package_sources")),
        "settings": settings_told(settings),
    }


def with_codes(rows: pl.DataFrame, lists: Mapping[str, str]) -> pl.DataFrame:
    """Add the standard's columns to rows; `lists` says which column holds the codes of which list."""
    for column, code_list in lists.items():
        codes = exchange_table(code_list).drop("list").rename({"code": column})
        filled = [name for name in ISO_COLUMNS.values() if codes[name].is_not_null().any()]
        rows = rows.join(codes.select(column, *filled), on=column, how="left", maintain_order="left")
    return rows


def exchange_table(code_list: str) -> pl.DataFrame:
    """Return the codes of one list with the standard's columns; a column that says nothing is empty."""
    rows = [{"list": code_list, "code": code, **_told(exchange)} for code, exchange in EXCHANGE_CODES[code_list].items()]
    return pl.DataFrame(rows, schema=dict.fromkeys(["list", "code", *ISO_COLUMNS.values()], pl.String))


def settings_told(settings: Settings) -> pl.DataFrame:
    """Return every setting with its value; those of the prior begin with `prior.`."""
    usual = _flat(Settings())
    rows = [{"setting": name, "value": str(value), "changed": value != usual[name]} for name, value in _flat(settings).items()]
    return pl.DataFrame(rows)


def _flat(settings: Settings) -> dict[str, Any]:
    plain = {item.name: getattr(settings, item.name) for item in fields(settings) if item.name != "prior"}
    return plain | {f"prior.{name}": value for name, value in asdict(settings.prior).items()}


def _told(code: ExchangeCode) -> dict[str, str | None]:
    return {column: getattr(code, attribute) or None for attribute, column in ISO_COLUMNS.items()}


def _causes(copy: Published) -> pl.DataFrame:
    tree = copy.frame("select cause as code, system, remedy, component from accepted.cause_tree").with_columns(
        pl.lit("cause").alias("list")
    )
    every = pl.concat([exchange_table(name) for name in EXCHANGE_CODES])
    return every.join(tree, on=["list", "code"], how="left", maintain_order="left").with_columns(pl.lit(FROM_MEMORY).alias("iso_basis"))


def _described(tables: Mapping[str, pl.DataFrame], key: str, known: pl.DataFrame, name: str) -> pl.DataFrame:
    """Say what is known of everything that the tables name by a key; what no record lists is a row with the key alone."""
    ids = [table[key] for table in tables.values() if key in table.columns and table[key].dtype == pl.String]
    named = pl.concat([*ids, pl.Series([], dtype=pl.String)]).drop_nulls().unique().sort().alias(key).to_frame().filter(pl.col(key) != "")
    columns = [column for column in PACKAGE_TABLES[name].names if column in known.columns]
    return named.join(known.select(columns).unique(key, maintain_order=True), on=key, how="left", maintain_order="left")
