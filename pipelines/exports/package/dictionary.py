"""The dictionary of the package for people: one printable page with every table and column, which asks nothing of the internet.

In: `Package`. Out: HTML with its looks inside. Every word from a record is escaped.
Elsewhere: the same for programs (`descriptor`).
"""

from html import escape
from importlib.resources import files

from pipelines.exports.package.contents import Package
from pipelines.exports.package.descriptor import METHODS, RECOMPUTED, TITLE
from pipelines.exports.withholding import withheld
from pipelines.terms.answers import Kind, Told
from pipelines.terms.cautions import DEFERENCE
from pipelines.terms.package_tables import ONE_OF, PACKAGE_TABLES, PackageTable

HELD = {
    Kind.WORD: "words",
    Kind.FIGURE: "number",
    Kind.COUNT: "whole number",
    Kind.DAY: "day",
    Kind.YES_NO: "true or false",
    Kind.NESTED: "JSON object",
    Kind.LIST: "JSON list",
}
FORMULAS = (
    "In the CSV tables a word that a spreadsheet would run as a formula begins with an apostrophe; take one away to have it as it was "
    "written. towless does so when it reads such a file again."
)
WITHHELD = "Craft identification numbers are withheld, and notes stay in the ledger."


def dictionary(package: Package) -> str:
    """Return the page."""
    looks = files("pipelines.exports.package").joinpath("dictionary.css").read_text(encoding="utf-8")
    tables = [PACKAGE_TABLES[name] for name in package.tables]
    body = [
        f"<h1>{escape(TITLE)}</h1>",
        *(_paragraph(said) for said in _said(package)),
        "<h2>Tables</h2>",
        "<ul>" + "".join(f'<li><a href="#{table.name}">{table.name}</a>: {escape(table.title)}</li>' for table in tables) + "</ul>",
        *(_section(table, package) for table in tables),
    ]
    return withheld(
        f'<!doctype html>\n<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width">'
        f"<title>{escape(TITLE)}</title><style>{looks}</style></head><body>\n" + "\n".join(body) + "\n</body></html>\n"
    )


def _said(package: Package) -> list[str]:
    head = package.head
    filters = ", ".join(f"{name} {word}" for name, word in package.query.items())
    money = f" Money is in {package.currency}." if package.currency else ""
    return [
        f"As of {head.get('as_of')}, version {head.get('ledger_version')} of the ledger, from {head.get('records'):,} records, "
        f"{head.get('left_out'):,} left out. {f'Only {filters}.' if filters else 'The whole fleet.'}{money}",
        *package.remarks,
        RECOMPUTED,
        FORMULAS,
        WITHHELD,
        DEFERENCE,
    ]


def _paragraph(words: str) -> str:
    return f"<p>{escape(words)}</p>"


def _section(table: PackageTable, package: Package) -> str:
    rows = package.tables[table.name].height
    method = _paragraph(METHODS[table.name]) if table.name in METHODS else ""
    refers = "".join(
        f"<p>{escape(', '.join(each.columns))} stands in <a href='#{each.table}'>{each.table}</a>.</p>" for each in table.references
    )
    lines = "".join(_line(table, told) for told in table.columns)
    return (
        f'<section><h2 id="{table.name}">{table.name}</h2><p><strong>{escape(table.title)}</strong>: {escape(table.grain)}; '
        f"{rows:,} rows. Key: {escape(', '.join(table.key))}.</p>{method}{refers}"
        f"<table><thead><tr><th>column</th><th>holds</th><th>unit</th><th>meaning</th></tr></thead><tbody>{lines}</tbody></table></section>"
    )


def _line(table: PackageTable, told: Told) -> str:
    words = ONE_OF.get((table.name, told.name))
    only = f" One of: {'; '.join(words)}." if words else ""
    cells = (told.name, HELD[told.kind], told.unit, told.meaning + only)
    return "<tr>" + "".join(f"<td>{escape(cell)}</td>" for cell in cells) + "</tr>"
