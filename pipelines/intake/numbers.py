"""Text to numbers: which of point and comma is the decimal mark, and what each text then says.

In: distinct texts of cells and the mark of the column. Out: a number for each, or the fault it has.
A text that can be read in one way only is read so (`12,5`, `1.234,5`, `1 243`, `0.125`). One comma or point before exactly three
digits (`1,243`) is open: it is read by the mark that the other numbers of its column show, else of its file, else it is a fault.
Elsewhere: which unit a column has and what a fault is called (`checks`).
"""

from dataclasses import dataclass

import polars as pl

UNREAD, OPEN, NOT_WHOLE = "not a number", "open mark", "not whole"

_SPACES = r"[\s\u00a0\u202f\u2009'’](\d{3})"
_DECIMAL = r"^[+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:e[+-]?\d{1,3})?$"
_OPEN = {",": r"^[+-]?[1-9]\d{0,2},\d{3}$", ".": r"^[+-]?[1-9]\d{0,2}\.\d{3}$"}
_COMMA_DECIMAL = r"^[+-]?(?:\d*,\d+|\d+,|\d{1,3}(?:\.\d{3})+,\d*)$"
_POINT_DECIMAL = r"^[+-]?(?:\d*\.\d+|\d+\.|\d{1,3}(?:,\d{3})+\.\d*)$"
_COMMA_THOUSANDS = r"^[+-]?\d{1,3}(?:,\d{3}){2,}$"
_POINT_THOUSANDS = r"^[+-]?\d{1,3}(?:\.\d{3}){2,}$"

UNITS = {
    "engine hours": r"(?:engine )?h(?:rs?|ours?)?\.?",
    "hours": r"h(?:rs?|ours?)?\.?",
    "litres": r"l(?:tr?s?|iters?|itres?)?\.?",
    "kW": r"kw",
    "kg": r"kgs?\.?",
    "months": r"m(?:o|os|onths?)?\.?",
    "days": r"d(?:ays?)?\.?",
    "nautical miles": r"nm|n\.m\.",
    "pieces": r"(?:pcs?|pieces?|off|each)\.?",
    "money": r"[€£$]|kr\.?",
    "money per position": r"[€£$]|kr\.?",
}
"""Words of a unit that may stand beside a number of that unit; any other unit is a fault, because the number would mean something else."""


def bare(text: pl.Expr, unit: str) -> pl.Expr:
    """Fold what does not matter in a number: the column's own unit, spaces or apostrophes between thousands, the long minus."""
    kept = text.str.to_lowercase().str.replace_all("[−–]", "-").str.strip_chars()
    if words := UNITS.get(unit):
        kept = kept.str.replace(rf"^(?:{words})\s*(\d)", "${1}").str.replace(rf"([\d.,])\s*(?:{words})$", "${1}")
    return kept.str.replace_all(_SPACES, "${1}")


def marks_shown(texts: pl.Series, unit: str = "", *, typed: bool = False) -> tuple[int, int]:
    """Count the distinct texts that show a decimal point (or thousands comma), and those that show a decimal comma (or thousands point).

    Open ones such as `1,243` count for neither. From a typed file only what a person typed as text can show a mark: what has a comma.
    """
    frame = (
        pl.DataFrame({"text": texts})
        .select(plain=bare(pl.col("text"), unit))
        .filter(pl.col("plain").str.contains("," if typed else "[.,]"))
    )
    by_point, by_comma, _ = _forms()
    counted = frame.select(by_point.sum().alias("point"), by_comma.sum().alias("comma")).row(0)
    return int(counted[0]), int(counted[1])


def _forms() -> tuple[pl.Expr, pl.Expr, pl.Expr]:
    """Return whether a text shows a point as decimal mark, shows a comma so, or has a form that is open between them."""
    text = pl.col("plain")
    open_ = text.str.contains(_OPEN[","]) | text.str.contains(_OPEN["."])
    by_point = (text.str.contains(_POINT_DECIMAL) & ~open_) | text.str.contains(_COMMA_THOUSANDS)
    by_comma = (text.str.contains(_COMMA_DECIMAL) & ~open_) | text.str.contains(_POINT_THOUSANDS)
    return by_point, by_comma, open_


@dataclass(frozen=True)
class Mark:
    """The decimal mark of a column.

    Attributes
    ----------
    sign
        `.` or `,`; empty: open texts are faults.
    typed
        Numbers of the file were numbers before they were text, so a single point is always a decimal point.
    """

    sign: str = ""
    typed: bool = False


def parse(texts: pl.Series, unit: str, mark: Mark) -> pl.DataFrame:
    """Read texts as numbers.

    Parameters
    ----------
    texts
        Distinct texts, none null.
    unit
        Unit of the column; its words may stand beside the number.
    mark
        Decimal mark of the column.

    Returns
    -------
    pl.DataFrame
        `text`, `value` (number or null) and `fault` (null or one of this module's), one row a text, in order.
    """
    frame = pl.DataFrame({"text": texts}).with_columns(plain=bare(pl.col("text"), unit))
    read = _with_point(mark)
    value = pl.when(read.str.contains(_DECIMAL)).then(read).cast(pl.Float64, strict=False)
    number = pl.when(value.is_finite()).then(value)
    fault = pl.when(read.is_null()).then(pl.lit(OPEN)).when(number.is_null()).then(pl.lit(UNREAD))
    return frame.select("text", value=number, fault=fault)


def _with_point(mark: Mark) -> pl.Expr:
    """Write each text with a decimal point and no thousands marks; null where the mark is open."""
    text = pl.col("plain")
    by_point, by_comma, open_ = _forms()
    as_point = text.str.replace_all(",", "", literal=True)
    as_comma = text.str.replace_all(".", "", literal=True).str.replace(",", ".", literal=True)
    by_mark = {".": as_point, ",": as_comma}.get(mark.sign, pl.lit(None, pl.String))
    if mark.typed:
        by_point = by_point | text.str.contains(_OPEN["."])
    return pl.when(by_point).then(as_point).when(by_comma).then(as_comma).when(open_).then(by_mark).otherwise(text)
