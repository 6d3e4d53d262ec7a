"""Who somebody is, masked in checked rows before anything of them is stored.

In: `Taken`, the words of the fleet's own records. Out: the same rows with masks in free text, in the fleet's own columns, in the row as it
came and in what is said of rows left out; how much was masked; of each row that was changed a hash of how it came.
The hashes of key and content are those of the masked values: the same row sent again is masked alike and still the same, and a file is
known by its own hash. Where words that are never masked were added between, such a row counts as a correction of itself.
Hash of a row as it came: BLAKE2b of its UTF-8, digest size 16, in hex, keyed with the SHA-256 of its file, so that whoever has the file can
work it out again and nobody can try names against it.
Elsewhere: what is masked in a text (`masks`), where this is called (`ledger.taking_in`).
"""

import json
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from hashlib import blake2b

import polars as pl

from pipelines.intake.masks import EMAIL, MARK, NAME, SORTS, TELEPHONE, Found, Known, bounded, masked, might_tell
from pipelines.intake.names import squash
from pipelines.intake.personal_names import initials
from pipelines.intake.plain_cells import lines_at, text_of
from pipelines.intake.taking import Taken

FREE_TEXT: dict[str, tuple[str, ...]] = {
    "service_tickets": ("notes", "component", "cause", "finding", "reason", "position"),
    "rescue_calls": ("notes", "symptom", "cause", "component", "outcome"),
    "plan": ("reason",),
    "limits": ("approval_note", "source_note"),
}
"""Columns of ours in which people write what they like. `adopted_by` is no such column: who adopts an interval answers for it by name."""
DONE_BY = "done_by"
OF_BOATS = ("vessels", "engines")
"""Kinds whose own columns are facts of a boat: its registration stays in the ledger, and is withheld when figures leave it."""
ORIGINAL = "original_hash"
EVERYWHERE = ("vessel_id", "engine_id", "base", "vessel_class", "engine_model")
OWN_NAMES = {"vessels": ("name",), "parts": ("supplier",), "components": ("component", "label")}
"""Columns whose words are the fleet's own names of things."""

_HEADINGS = {
    NAME: ("customer", "client", "hirer", "skipper", "caller", "contact", "owner", "crewname", "name", "guest", "driver", "reportedby"),
    TELEPHONE: ("phone", "telephone", "tel", "mobile", "mob", "cell", "telno", "phoneno", "contactno"),
    EMAIL: ("email", "mail"),
    MARK: ("reg", "registration", "regno", "plate", "numberplate", "hin", "cin", "mmsi", "callsign", "craftid", "rego"),
}
SAYS_WHAT = {squash(word): sort for sort, words in _HEADINGS.items() for word in words}
"""{heading of a column of the fleet's own, letters only: what stands in it}."""

Masker = Callable[[str], tuple[str, list[Found]]]


@dataclass(frozen=True)
class Masked:
    """Rows after masking.

    Attributes
    ----------
    taken
        As before, with masks; `rows` and `left_out` have a column `original_hash` too, empty where nothing was masked.
    counts
        {sort: how many were masked}, each sort of `masks.SORTS`.
    """

    taken: Taken
    counts: dict[str, int] = field(default_factory=lambda: dict.fromkeys(SORTS, 0))


def mask(taken: Taken, known: Known) -> Masked:
    """Mask names, telephone numbers, e-mail addresses and registration marks in rows that are about to be stored.

    Parameters
    ----------
    taken
        Checked rows; a slice of a file as well as a whole one.
    known
        Words that are never masked.
    """
    rows, found = _rows(taken, known)
    left_out, out = _left_out(taken, known)
    text = _text(taken, found | out)
    told = replace(taken, rows=rows, left_out=left_out, text=text)
    stretches = [each for of_row in (*found.values(), *out.values()) for each, _ in of_row]
    return Masked(told, {sort: stretches.count(sort) for sort in SORTS})


def fleet_words(taken: Taken) -> list[str]:
    """Return the words of some rows that are names of boats, engines, bases and models, so that they are never masked."""
    names = OWN_NAMES.get(taken.kind, ()) + tuple(name for name in EVERYWHERE if name in taken.rows.columns)
    return [word for name in names for word in taken.rows[name].drop_nulls().unique(maintain_order=True).cast(pl.String)]


def counted(counts: dict[str, int]) -> str:
    """Say in a sentence how much was masked; empty: nothing."""
    told = [f"{count:,} {_many(sort, count)}" for sort, count in counts.items() if count]
    if not told:
        return ""
    listed = told[0] if len(told) == 1 else f"{', '.join(told[:-1])} and {told[-1]}"
    return f"{listed} {'was' if sum(counts.values()) == 1 else 'were'} masked before storing."


def _many(sort: str, count: int) -> str:
    return sort if count == 1 else f"{sort}es" if sort.endswith("s") else f"{sort}s"


ByLine = dict[int, list[Found]]
"""What was masked, by the line of the row."""


def _rows(taken: Taken, known: Known) -> tuple[pl.DataFrame, ByLine]:
    rows = taken.rows
    maskers: dict[str, Masker] = {name: lambda text: masked(text, known) for name in FREE_TEXT.get(taken.kind, ())}
    if DONE_BY in rows.columns:
        maskers[DONE_BY] = _done_by
    maskers["extra"] = lambda text: _extra(text, taken.kind, known)
    changes = [change for name, masker in maskers.items() if name in rows.columns and (change := _column(rows, name, masker)) is not None]
    if not changes:
        return rows.with_columns(pl.lit(None, pl.String).alias(ORIGINAL)), {}
    return _written(taken, pl.concat(changes, how="vertical"))


def _column(rows: pl.DataFrame, name: str, masker: Masker) -> pl.DataFrame | None:
    """Return the rows of which a column changes: `row`, `column`, `now`, `found`; each distinct text is looked at once."""
    texts = rows[name].drop_nulls().unique()
    results = ((text, *masker(text)) for text in (texts if name == DONE_BY else texts.filter(texts.str.contains(_might(name)))))
    changed = [(text, now, json.dumps(found)) for text, now, found in results if found]
    if not changed:
        return None
    frame = pl.DataFrame(changed, schema={name: pl.String, "now": pl.String, "found": pl.String}, orient="row")
    joined = rows.select(pl.col(name)).with_row_index("row").join(frame, on=name, maintain_order="left")
    return joined.select("row", column=pl.lit(name), now="now", found="found")


def _might(name: str) -> str:
    if name != "extra":
        return might_tell()
    headings = "|".join(sorted(word for words in _HEADINGS.values() for word in words))
    return rf'{might_tell()}|(?i:"[\w ]*(?:{headings})[\w ]*":)'


def _as_they_came(rows: pl.DataFrame, text: tuple[int, bytes] | None) -> list[str]:
    """Return the texts of rows; those of a large file have none of their own, but the lines they stand on."""
    own = rows["raw"].to_list()
    if text is None:
        return [raw or "" for raw in own]
    first, data = text
    lines = lines_at(data, (rows["line"] - first).to_list())
    return [raw if raw is not None else text_of(data, line) for raw, line in zip(own, lines, strict=True)]


def _written(taken: Taken, changes: pl.DataFrame) -> tuple[pl.DataFrame, ByLine]:
    """Put the masked texts in their places, and mask the same stretches in the rows as they came."""
    rows, of_row = taken.rows, dict[int, list[Found]]()
    for row, told in changes.select("row", "found").iter_rows():
        of_row.setdefault(row, []).extend((sort, stretch) for sort, stretch in json.loads(told))
    touched = pl.Series("row", sorted(of_row), dtype=pl.UInt32)
    place = rows.select("line", "raw")[touched]
    raws, found = _as_they_came(place, taken.text), [of_row[row] for row in touched]
    # Where the text stands among the lines of the file, the row goes on without one: no text is put in its place.
    now = [_raw(raw, each) if kept is not None else None for raw, each, kept in zip(raws, found, place["raw"], strict=True)]
    originals = [_hash(raw, taken.sha256) for raw in raws]
    frame = pl.DataFrame({"row": touched, "raw": pl.Series(now, dtype=pl.String), ORIGINAL: originals})
    for name in changes["column"].unique(maintain_order=True):
        frame = frame.join(changes.filter(pl.col("column") == name).select("row", pl.col("now").alias(name)), on="row", how="left")
    numbered = rows.with_row_index("row").update(frame.drop(ORIGINAL), on="row", how="left")
    told = numbered.join(frame.select("row", ORIGINAL), on="row", how="left", maintain_order="left").drop("row")
    return told.select(*rows.columns, ORIGINAL), dict(zip(place["line"], found, strict=True))


def _left_out(taken: Taken, known: Known) -> tuple[pl.DataFrame, ByLine]:
    """Mask rows that were left out: few, and of each only the row as it came is at hand."""
    found: ByLine = {}
    now = []
    for line, raw, value, reason in taken.left_out.select("line", "raw", "value", "reason").iter_rows():
        text, told = masked(raw or "", known)
        now.append((text, _raw(value, told) if value else value, _raw(reason, told), _hash(raw, taken.sha256) if told else None))
        if told:
            found[line] = told
    frame = pl.DataFrame(now, schema=dict.fromkeys(("raw", "value", "reason", ORIGINAL), pl.String), orient="row")
    return taken.left_out.with_columns(frame), found


def _text(taken: Taken, found: ByLine) -> tuple[int, bytes] | None:
    """Mask the same stretches among the lines of a large file, of which each row keeps its number."""
    if taken.text is None or not found:
        return taken.text
    first, data = taken.text
    kept, at, lines = [], 0, sorted(found)
    for line, (start, end) in zip(lines, lines_at(data, [line - first for line in lines]), strict=True):
        kept += [data[at:start], _raw(data[start:end].decode("utf-8"), found[line]).encode("utf-8")]
        at = end
    return first, b"".join([*kept, data[at:]])


def _raw(raw: str, found: Sequence[Found]) -> str:
    """Mask stretches in a row as it came; one that stands there in other signs is looked for as JSON and quoted text write it."""
    for sort, stretch in sorted(found, key=lambda each: len(each[1]), reverse=True):
        for form in (stretch, json.dumps(stretch)[1:-1], stretch.replace('"', '""')):
            raw, times = bounded(form).subn(f"[{sort}]", raw)
            if times:
                break
    return raw


def _hash(raw: str, sha256: str) -> str:
    return blake2b(raw.encode("utf-8", "surrogatepass"), digest_size=16, key=sha256.encode()).hexdigest()


def _done_by(value: str) -> tuple[str, list[Found]]:
    short = initials(value)
    return short, [] if short == value else [(NAME, value)]


def _extra(text: str, kind: str, known: Known) -> tuple[str, list[Found]]:
    """Mask the fleet's own columns of one row, written as a JSON object."""
    found: list[Found] = []
    cells = {}
    for heading, value in json.loads(text).items():
        cells[heading], told = _cell(heading, str(value), kind, known)
        found += told
    return json.dumps(cells, ensure_ascii=False, separators=(",", ":")) if found else text, found


def _cell(heading: str, value: str, kind: str, known: Known) -> tuple[str, list[Found]]:
    sort = SAYS_WHAT.get(squash(heading))
    if kind in OF_BOATS:
        if sort == MARK:
            return value, []
        now, found = masked(value, known)
        return (value, []) if any(each == MARK for each, _ in found) else (now, found)
    if sort is None or known.holds(value, value) or (sort == NAME and (value.isdigit() or not _is_personal(value))):
        return masked(value, known)
    return f"[{sort}]", [(sort, value)]


def _is_personal(value: str) -> bool:
    """Whether a cell under a heading such as `customer` is a name and no number or code."""
    return not any(sign.isdigit() for sign in value) and any(len(word) > 2 for word in value.split())
