"""The descriptor of the package: `datapackage.json` by the Frictionless Data Package and Table Schema specifications.

In: `Package`. Out: a dictionary that JSON can hold. Every field has its type, unit, meaning and what a cell may be; every table its key
and what it refers to; the package its sources, the version of the ledger and the methods.
Elsewhere: the same for people (`dictionary`).
"""

from typing import Any

import polars as pl

from pipelines.exports.answer import plain
from pipelines.exports.package.contents import Package
from pipelines.exports.withholding import withheld
from pipelines.terms.answers import Kind, Told
from pipelines.terms.package_tables import ONE_OF, PACKAGE_TABLES, PackageTable

NAME, TITLE = "towless-figures", "Figures from service tickets and rescue calls"
METHODS = {
    "rates": "Events over engine hours watched, with exact central limits (Garwood 1936, Biometrika 28, 437-442).",
    "curves": "Product limit (Kaplan and Meier 1958) with log-log limits; where ages of failure are known only to lie between two ages, "
    "the nonparametric estimate of Turnbull (1976).",
    "fits": "Weibull by maximum likelihood with exact, interval and right censoring and delayed entry, limits by profile likelihood; the "
    "columns that begin with posterior_ add the prior, and decisions rest on those.",
    "intervals": "The interval of least expected cost over all that prior and data leave open.",
    "stock": "Expected use over lead time and season, as a distribution; see the settings for horizon and service level.",
    "forecasts": "What is to be expected from the day after the last record, by the same laws as the advice.",
}
"""{table: how its figures are made}."""
RECOMPUTED = (
    "recompute.py and recompute.R make the rates, curves and fits again from lives, calls and watched hours, and say how far apart."
)


def described(package: Package) -> dict[str, Any]:
    """Return the descriptor of a package whose tables stand beside it as CSV."""
    resources = [_resource(PACKAGE_TABLES[name], frame) for name, frame in package.tables.items()]
    return {
        "profile": "data-package",
        "name": NAME,
        "title": TITLE,
        "description": " ".join([*_said(package), *package.remarks, RECOMPUTED]),
        "as_of": plain(package.head.get("as_of")),
        "ledger_version": package.head.get("ledger_version"),
        "records": package.head.get("records"),
        "left_out": package.head.get("left_out"),
        "query": dict(package.query),
        "currency": package.currency or None,
        "methods": METHODS,
        "sources": _sources(package),
        "resources": resources,
    }


def fields_of(table: PackageTable) -> list[dict[str, Any]]:
    """Return the fields of a table's schema."""
    return [_field(table, told) for told in table.columns]


def _said(package: Package) -> list[str]:
    head, filters = package.head, ", ".join(f"{name} {word}" for name, word in package.query.items())
    return [
        f"Made from version {head.get('ledger_version')} of the ledger, as of {head.get('as_of')}, from {head.get('records'):,} records.",
        f"Only {filters}." if filters else "The whole fleet.",
    ]


def _sources(package: Package) -> list[dict[str, str]]:
    files = package.tables.get("sources", pl.DataFrame())
    told = files.rows(named=True) if files.height else []
    unique = {(row["file"], row["sha256"]): row for row in told}
    return [{"title": withheld(row["file"] or "by hand"), "sha256": row["sha256"] or ""} for row in unique.values()]


def _resource(table: PackageTable, rows: pl.DataFrame) -> dict[str, Any]:
    schema: dict[str, Any] = {"fields": fields_of(table), "missingValues": [""], "primaryKey": list(table.key)}
    if table.references:
        schema["foreignKeys"] = [
            {"fields": list(each.columns), "reference": {"resource": each.table, "fields": list(each.keys)}} for each in table.references
        ]
    return {
        "profile": "tabular-data-resource",
        "name": table.name,
        "title": table.title,
        "description": f"{table.grain[:1].upper()}{table.grain[1:]}.",
        "path": f"{table.name}.csv",
        "format": "csv",
        "mediatype": "text/csv",
        "encoding": "utf-8",
        "rows": rows.height,
        "schema": schema,
    }


def _field(table: PackageTable, told: Told) -> dict[str, Any]:
    nested = told.kind in (Kind.NESTED, Kind.LIST)
    field = {
        "name": told.name,
        "type": told.kind.value,
        "unit": told.unit,
        "description": f"{told.meaning} (JSON)" if nested else told.meaning,
    }
    constraints = _constraints(table, told)
    return field | ({"constraints": constraints} if constraints else {})


def _constraints(table: PackageTable, told: Told) -> dict[str, Any]:
    required = {"required": True} if told.name in table.key else {}
    words = ONE_OF.get((table.name, told.name))
    if words:
        return required | {"enum": list(words)}
    if told.kind in (Kind.FIGURE, Kind.COUNT):
        return required | limits_of(told)
    return required


def limits_of(told: Told) -> dict[str, float]:
    """Return the least and greatest that a figure can be, by its unit; a cost, a saving and what is left may fall below 0."""
    if told.unit == "0 to 1":
        return {"minimum": 0, "maximum": 1}
    below = told.unit.startswith("money") or told.name in ("due_in_h", "log_likelihood")
    return {} if below else {"minimum": 0}
