"""Text to dates and moments.

In: distinct texts of cells and the order of day and month. Out: a moment for each, or the fault it has.
Read are ISO 8601 (`2024-07-14`, `2024-07-14T09:30`), day or month first (`14/7/24`, `7/14/2024`), points (`14.7.2024`, always day
first), month names (`14 July 2024`, `Jul 14, 2024`), eight digits (`20240714`) and spreadsheet serial numbers (`45487`, days since
1899-12-30). A time of day may follow; a zone is left off: the clock on the wall counts.
Elsewhere: which order a file shows (`evidence`), what a fault is called (`checks`).
"""

from datetime import date, datetime

import polars as pl

EARLIEST = date(1950, 1, 1)
SERIAL_ZERO = datetime(1899, 12, 30)
CENTURY_TURNS = 50
"""Years of two digits from here on are 19.., below 20..."""

MIXED = "mixed"
"""Order of a column that shows both."""

UNREAD, AMBIGUOUS, BOTH_ORDERS, NO_SUCH_DAY, TOO_EARLY, TOO_LATE = (
    "unread",
    "ambiguous",
    "both orders",
    "no such day",
    "too early",
    "too late",
)

_MONTHS = (
    ("jan", "janv", "januar", "janvier", "enero", "ene", "gennaio"),
    ("feb", "fev", "fevr", "februar", "fevrier", "febrero", "febbraio"),
    ("mar", "mrz", "marz", "maerz", "mars", "marzo", "maart", "mrt"),
    ("apr", "avr", "avril", "abril", "abr", "aprile"),
    ("may", "mai", "mayo", "maggio", "mei"),
    ("jun", "juin", "juni", "junio", "giugno"),
    ("jul", "juil", "juillet", "juli", "julio", "luglio"),
    ("aug", "aout", "agosto", "augustus"),
    ("sep", "sept", "septembre", "septiembre", "settembre"),
    ("oct", "okt", "oktober", "octobre", "octubre", "ottobre"),
    ("nov", "novembre", "noviembre"),
    ("dec", "dez", "dezember", "decembre", "diciembre", "dicembre", "dic"),
)
_ENGLISH = ("january", "february", "march", "april", "may", "june", "july", "august", "september", "october", "november", "december")
MONTHS = {word: number for number, words in enumerate(_MONTHS, 1) for word in (*words, _ENGLISH[number - 1])}

_TIME = (
    r"(?:(?:\s*t\s*|\s+)(?P<hour>\d{1,2})[:.h](?P<minute>\d{2})(?:[:.](?P<second>\d{2})(?:[.,]\d+)?)?"
    r"\s*(?P<half>am|pm|a\.m\.|p\.m\.)?\s*(?:z|utc|gmt|[+-]\d{2}:?\d{2})?)?$"
)
_ISO = r"^(?P<year>\d{4})[-/. ](?P<month>\d{1,2})[-/. ](?P<day>\d{1,2})" + _TIME
_COMPACT = r"^(?P<year>(?:19|20)\d{2})(?P<month>\d{2})(?P<day>\d{2})" + _TIME
_NUMBERS = r"^(?P<one>\d{1,2})(?P<mark>[-/. ])\s*(?P<two>\d{1,2})[-/. ]\s*(?P<year>\d{4}|\d{2})" + _TIME
_DAY_NAME = r"^(?P<day>\d{1,2})[-/. ]*(?P<name>[a-z]{3,10})[-/. ]*'?(?P<year>\d{4}|\d{2})" + _TIME
_NAME_DAY = r"^(?P<name>[a-z]{3,10})[-/. ]*(?P<day>\d{1,2})[-/. ]+'?(?P<year>\d{4}|\d{2})" + _TIME
_SERIAL = r"^(?P<serial>\d{5}(?:\.\d+)?)$"


def plain(text: pl.Expr) -> pl.Expr:
    """Fold what does not matter in a date: case, accents, weekday names, ordinal endings, commas, runs of spaces."""
    return (
        text.str.normalize("NFKD")
        .str.replace_all(r"\p{M}", "")
        .str.to_lowercase()
        .str.replace(r"^(?:mon|tues?|wed(?:nes)?|thu(?:rs?)?|fri|sat(?:ur)?|sun)(?:day)?[,.]?\s+", "")
        .str.replace(r"(\d)(?:st|nd|rd|th)\b", "${1}")
        .str.replace_all(r"\s*,\s*", " ")
        .str.replace_all(r"\s+", " ")
        .str.strip_chars()
    )


def numbered(texts: pl.Series) -> pl.DataFrame:
    """Return `one`, `two`, `year` (numbers) and `mark` of those of the distinct `texts` that are three numbers with a mark between."""
    return _groups(_folded(texts), _NUMBERS).select(
        pl.col("one", "two", "year").cast(pl.Int32), "mark", wide=pl.col("year").str.len_chars() == 4
    )


def parse(texts: pl.Series, order: str) -> pl.DataFrame:
    """Read texts as moments.

    Parameters
    ----------
    texts
        Distinct texts, none null.
    order
        `day first`, `month first` or `year first`; empty: only what can be read in one way is read, points as day first; `mixed`: the
        same, but without trust in points.

    Returns
    -------
    pl.DataFrame
        `text`, `value` (moment or null) and `fault` (null, or one of the faults of this module), one row a text, in any order.
    """
    rest = _folded(texts)
    read = []
    for pattern, reading in _READINGS.items():
        found = _groups(rest, pattern)
        read.append(reading(found, order))
        rest = rest.join(found, on="text", how="anti") if found.height else rest
    unread = rest.select("text", value=pl.lit(None, pl.Datetime("us")), fault=pl.lit(UNREAD))
    return pl.concat([*read, unread])


def _folded(texts: pl.Series) -> pl.DataFrame:
    return texts.alias("text").to_frame().with_columns(plain=plain(pl.col("text")))


def _groups(folded: pl.DataFrame, pattern: str) -> pl.DataFrame:
    found = folded.filter(pl.col("plain").str.contains(pattern))
    return found.with_columns(groups=pl.col("plain").str.extract_groups(pattern)).unnest("groups").drop("plain")


def _by_parts(found: pl.DataFrame, _: str) -> pl.DataFrame:
    """Take year, month and day from their known places."""
    return _moments(found.with_columns(fault=pl.lit(None, pl.String)))


def _by_name(found: pl.DataFrame, _: str) -> pl.DataFrame:
    """Look the month up by its name; a word that is no month makes the text unread."""
    month = pl.col("name").replace_strict(MONTHS, default=None, return_dtype=pl.Int32).cast(pl.String)
    return _moments(found.with_columns(month=month, fault=pl.when(month.is_null()).then(pl.lit(UNREAD))))


def _by_order(found: pl.DataFrame, order: str) -> pl.DataFrame:
    """Let the order say which of three numbers is which."""
    one, two = pl.col("one").cast(pl.Int32), pl.col("two").cast(pl.Int32)
    if order == "year first":
        return _moments(found.with_columns(year="one", month="two", day="year", fault=pl.lit(None, pl.String)))
    month_first = pl.lit(order == "month first") if order in ("day first", "month first") else (two > 12) & (one <= 12)
    open_ = one.is_between(1, 12) & two.is_between(1, 12) & (one != two)
    trusted = pl.lit(order in ("day first", "month first")) | ((pl.col("mark") == ".") & pl.lit(order != MIXED))
    return _moments(
        found.with_columns(
            month=pl.when(month_first).then("one").otherwise("two"),
            day=pl.when(month_first).then("two").otherwise("one"),
            fault=pl.when(open_ & ~trusted).then(pl.lit(BOTH_ORDERS if order == MIXED else AMBIGUOUS)),
        )
    )


def _by_serial(found: pl.DataFrame, _: str) -> pl.DataFrame:
    """Count days since the zero of spreadsheets, with the time of day as a fraction."""
    microseconds = (pl.col("serial").cast(pl.Float64) * 86_400).round() * 1_000_000
    return found.select(
        "text", value=pl.lit(SERIAL_ZERO) + pl.duration(microseconds=microseconds.cast(pl.Int64)), fault=pl.lit(None, pl.String)
    )


_READINGS = {_ISO: _by_parts, _COMPACT: _by_parts, _NUMBERS: _by_order, _DAY_NAME: _by_name, _NAME_DAY: _by_name, _SERIAL: _by_serial}


def _moments(parts: pl.DataFrame) -> pl.DataFrame:
    """Put a moment together from the texts of its parts; a day or hour that is not is a fault."""
    written = pl.format(
        "{}-{}-{} {}:{}:{}",
        _full_year().cast(pl.String).str.zfill(4),
        *(pl.col(name).str.zfill(2) for name in ("month", "day")),
        _hour().cast(pl.String).str.zfill(2),
        *(pl.col(name).fill_null("00") for name in ("minute", "second")),
    )
    value = written.str.to_datetime("%Y-%m-%d %H:%M:%S", time_unit="us", strict=False)
    fault = pl.coalesce("fault", pl.when(value.is_null()).then(pl.lit(NO_SUCH_DAY)))
    return parts.select("text", value=pl.when(fault.is_null()).then(value), fault=fault)


def _full_year() -> pl.Expr:
    year = pl.col("year").cast(pl.Int32)
    century = pl.when(year < CENTURY_TURNS).then(2000).otherwise(1900)
    return pl.when(pl.col("year").str.len_chars() == 2).then(year + century).otherwise(year)


def _hour() -> pl.Expr:
    hour, half = pl.col("hour").fill_null("0").cast(pl.Int32), pl.col("half").str.starts_with("p").fill_null(False)
    twelve = pl.when(half).then(hour % 12 + 12).otherwise(hour % 12)
    return pl.when(pl.col("half").is_not_null()).then(twelve).otherwise(hour)
