"""The tables that account for what was taken in: imports, files, rows, and why rows were left out.

In: nothing. Out: `ACCOUNT_TABLES`, in the schema `about` of every published copy.
Elsewhere: the records themselves (`tables`), how they were coded (`vocabulary`).
"""

from pipelines.terms.columns import date, moment, number, text, whole
from pipelines.terms.derived import DerivedTable

_KIND = text("kind", "The record kind.")
_ROW_ID = whole("row_id", "row", "The row, one number over the whole ledger, later rows higher.")
_FILE_ID = whole("file_id", "file", "The file or sheet it came in.")
_FILE = text("file", "Name of the file it came in.")
_SHEET = text("sheet", "Sheet of a workbook; empty: the file has none.")
_LINE = whole("line", "line", "Line of the file or sheet it stood on.")
_COUNTS = (
    whole("rows_in", "rows", "Rows that came in; always the sum of the four that follow."),
    whole("accepted", "rows", "Rows that count."),
    whole("repeated", "rows", "Rows that said again what an earlier row said."),
    whole("superseded", "rows", "Rows that a later row with the same key corrected."),
    whole("left_out", "rows", "Rows with a fault, kept with their reason."),
)

VERSION = DerivedTable(
    "version",
    "one row",
    (
        whole("ledger_version", "version", "Goes up by one at every change of the ledger."),
        moment("published_at", "When this copy was made (UTC)."),
        text("layout", "Mark of the tables this copy has; another towless may lay them out otherwise."),
    ),
)

IMPORTS = DerivedTable(
    "imports",
    "one row per import, undone ones too",
    (
        whole("import_id", "import", "The number `--undo` takes."),
        text("taken_by", "Who took it in."),
        moment("taken_at", "When (UTC)."),
        text("mapping", "The mapping it was read with; empty: none."),
        text("undone_by", "Who undid it; empty: it stands."),
        moment("undone_at", "When it was undone (UTC); empty: it stands."),
        *_COUNTS,
    ),
)

FILES = DerivedTable(
    "files",
    "one row per file, or sheet of a workbook, of an import",
    (
        _FILE_ID,
        whole("import_id", "import", "The import it came in."),
        _FILE,
        _SHEET,
        text("sha256", "SHA-256 of its bytes; empty: written by hand."),
        _KIND,
        text("header", "Its header as a JSON list of names."),
        whole("rows_in", "rows", "Rows it held."),
        whole("masked_names", "names", "Names of people masked in it before it was stored; empty: taken in before this was done."),
        whole("masked_telephones", "telephone numbers", "Masked in it before it was stored."),
        whole("masked_emails", "e-mail addresses", "Masked in it before it was stored."),
        whole("masked_marks", "registration marks", "Masked in it before it was stored."),
    ),
)

ROWS = DerivedTable(
    "rows",
    "one row per row that counts in the reconciliation",
    (
        _ROW_ID,
        _KIND,
        whole("import_id", "import", "The import it came in."),
        _FILE_ID,
        _FILE,
        _SHEET,
        _LINE,
        text("fate", "What became of it."),
    ),
)

RECONCILIATION = DerivedTable("reconciliation", "one row per record kind", (_KIND, *_COUNTS))

LEFT_OUT = DerivedTable(
    "left_out",
    "one row per row that was left out",
    (
        _ROW_ID,
        _KIND,
        _FILE_ID,
        _FILE,
        _SHEET,
        _LINE,
        text("column", "Where its first fault is; empty: the row as a whole."),
        text("value", "What stood there."),
        text("reason", "Place, value and way out of each fault."),
        text("raw", "The row as it came, under the header of its file."),
    ),
)

UNCODED = DerivedTable(
    "uncoded",
    "one row per word that nobody has given a code yet",
    (
        text("list", "The code list."),
        text("word", "The word as written."),
        whole("rows", "rows", "Accepted rows that hold it."),
    ),
)

ADOPTIONS = DerivedTable(
    "adoptions",
    "one row per row of the plan that came in, undone ones too",
    (
        _ROW_ID,
        text("component", "The part."),
        text("task", "renew, inspect or test."),
        text("engine_model", "Engine model it is for; empty: any."),
        text("base", "Base it is for; empty: any."),
        number("every_h", "engine hours", "Every so many hours."),
        number("every_months", "months", "Every so many months; both empty: only when it fails."),
        date("adopted_on", "When it was adopted."),
        text("adopted_by", "Who adopted it."),
        text("reason", "Why."),
        text("fate", "accepted: it stands; superseded: corrected; undone: its import was undone."),
        whole("import_id", "import", "The import it came in, which `--undo` takes."),
        text("taken_by", "Who took it in."),
        moment("taken_at", "When (UTC)."),
        text("undone_by", "Who undid it; empty: nobody."),
        moment("undone_at", "When it was undone (UTC); empty: it was not."),
        whole("evidence_version", "version", "Ledger version it was adopted on; empty: it came in a file."),
        text("figures", "The verdict it was adopted on, as it was then, as JSON; empty: it came in a file."),
    ),
)

PUT_OFFS = DerivedTable(
    "put_offs",
    "one row per task of a position that somebody put off, those taken back too",
    (
        whole("put_off_no", "put-off", "One number over the whole ledger, later ones higher."),
        text("engine_id", "The engine; empty for a part the boat carries."),
        text("vessel_id", "The boat."),
        text("component", "The part."),
        text("position", "Which of several like parts; empty: there is one."),
        text("task", "renew, inspect or test."),
        date("until_on", "Put off until this day."),
        number("until_h", "engine hours", "Or until the part is so old, if that comes first; empty: the day alone counts."),
        date("put_off_on", "When it was put off."),
        text("put_off_by", "Who put it off."),
        text("because", "Why."),
        date("due_on", "When it was due, as forecast that day; empty: not known."),
        whole("import_id", "import", "The import it is, which `--undo` takes."),
        moment("taken_at", "When it was written down (UTC)."),
        text("undone_by", "Who took it back; empty: nobody."),
        moment("undone_at", "When it was taken back (UTC); empty: it was not."),
    ),
)

FORECASTS = DerivedTable(
    "forecasts",
    "one row per kept forecast, sort of count, part and base; the whole fleet has neither part nor base",
    (
        whole("forecast_no", "row", "One number over the whole ledger, later ones higher."),
        text("season", "The season that was foretold."),
        date("known_on", "The last day that was known then."),
        date("begins", "First day that was foretold."),
        date("ends", "Last day that was foretold."),
        date("kept_on", "When it was kept."),
        text("kept_by", "Who kept it."),
        whole("methods", "number", "Goes up when lives or estimates are made differently."),
        whole("evidence_version", "version", "Ledger version it was made on."),
        text("sort", "failures or condition renewals."),
        text("component", "The part; empty: the whole fleet."),
        text("base", "The base when it was made; empty: no base, or the whole fleet."),
        number("expected", "failures or renewals", "Foretold."),
        whole("low", "failures or renewals", "Lower end of the 90 % range."),
        whole("high", "failures or renewals", "Upper end of the 90 % range."),
        text("chances", "Chance of 0, 1, 2 ... as foretold (JSON)."),
        text("naive", "Chance of 0, 1, 2 ... by a plain count of the time before (JSON); empty for the whole fleet."),
        whole("import_id", "import", "The import it is, which `--undo` takes."),
        moment("taken_at", "When it was written down (UTC)."),
        text("undone_by", "Who took it back; empty: nobody."),
        moment("undone_at", "When it was taken back (UTC); empty: it was not."),
    ),
)

FORMER_NAMES = DerivedTable(
    "former_names",
    "one row per boat and name it went by in records that have been superseded since",
    (text("vessel_id", "The boat."), text("name", "A name it had.")),
)

ACCOUNT_TABLES: dict[str, DerivedTable] = {
    table.name: table
    for table in (VERSION, IMPORTS, FILES, ROWS, RECONCILIATION, LEFT_OUT, UNCODED, ADOPTIONS, PUT_OFFS, FORECASTS, FORMER_NAMES)
}
