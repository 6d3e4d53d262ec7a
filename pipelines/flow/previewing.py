"""What files would come to before anything of them is taken in, with the mapping and the words that the ledger knows.

In: files and, if there is one, a ledger. Out: `Preview`s, or an `Answer` of several files.
Nothing is written, and the ledger is read from its published copy.
Elsewhere: the steps themselves (`intake.previewing`), taking in (`taking`).
"""

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import polars as pl

from pipelines.errors import LedgerUnavailable, UnreadableFile, WrongInput
from pipelines.exports.answer import Answer
from pipelines.intake.finding import find_files, mapping_beside
from pipelines.intake.mapping import Mapping, mapping_from, read_mapping
from pipelines.intake.names import fold
from pipelines.intake.previewing import Preview, preview_file
from pipelines.ledger.reading import Published, open_published
from pipelines.terms.causes import UNCODED

LAST_MAPPING = "select mapping from about.imports where undone_at is null and mapping is not null order by import_id desc limit 1"
KNOWN_WORDS = "select list, word from accepted.words where code <> ?"


def preview(path: Path, mapping_text: str = "", kind: str = "", ledger_path: Path | None = None) -> list[Preview]:
    """Say what one file would come to, before anything of it is taken in; nothing is written.

    Parameters
    ----------
    path
        One file.
    mapping_text
        A mapping as TOML; empty: the one beside the file, else the one kept with the ledger, else none.
    kind
        Take it as this record kind; empty: as its columns say.
    ledger_path
        Ledger whose kept mapping is used and whose words count as known; `None`, or one that is not there: none.

    Returns
    -------
    list[Preview]
        One a table; a file that would be refused gives one with the refusal and a suggested mapping.

    Raises
    ------
    UnreadableFile
        If the file cannot be opened or is no table at all.
    WrongMapping
        If `mapping_text` is no mapping.
    """
    kept, known = _of_ledger(ledger_path)
    beside = mapping_beside([path])
    text = mapping_text or (beside.read_text(encoding="utf-8") if beside else kept)
    return preview_file(path, mapping_from(text, "the mapping") if text else Mapping(), kind, known)


def look_over(paths: Sequence[str | Path], map_file: Path | None, kind: str, ledger_path: Path) -> Answer:
    """Say what files would come to, file by file, as `preview` does; nothing is written. A file that cannot be read hides no other.

    Returns
    -------
    Answer
        Rows: file, sheet, kind (empty: it would be refused), rows_in, left_out, whole (file looked at), refusal, one a table. Beside them,
        by file, sheet and kind: `columns` (yours, ours, meaning, unit, settled, example), `left_out_rows` (line, reason) and `words` (list,
        word, code, rows), the first of each; `suggestion`, a mapping for the first file that would be refused.

    Raises
    ------
    WrongInput
        If no file is named, or the mapping cannot be read.
    """
    if not paths:
        raise WrongInput("nothing to look over. Name a file or a folder, such as: towless intake --look-over records/")
    text = read_mapping(map_file).text if map_file else ""
    shown = [one for path in find_files(paths) for one in _shown(path, text, kind, ledger_path)]
    rows_in, left_out = sum(one.rows_in for one in shown), sum(one.rows_left_out for one in shown)
    head = {"as_of": None, "ledger_version": None, "records": rows_in, "left_out": left_out}
    extra = {
        "columns": pl.concat([_placed(one, one.columns) for one in shown]),
        "left_out_rows": pl.concat([_placed(one, one.left_out) for one in shown]),
        "words": pl.concat([_placed(one, one.words) for one in shown]),
        "suggestion": next((one.suggestion for one in shown if one.suggestion), ""),
    }
    return Answer(head, pl.DataFrame([_table(one) for one in shown], infer_schema_length=None), extra)


def _shown(path: Path, mapping_text: str, kind: str, ledger_path: Path) -> list[Preview]:
    try:
        return preview(path, mapping_text, kind, ledger_path)
    except UnreadableFile as fault:
        return [Preview(path.name, refusal=str(fault))]


def _table(one: Preview) -> dict[str, Any]:
    told = {"rows_in": one.rows_in, "left_out": one.rows_left_out, "whole": one.whole, "refusal": one.refusal or None}
    return {"file": one.file, "sheet": one.sheet or None, "kind": one.kind or None, **told}


def _placed(one: Preview, rows: pl.DataFrame) -> pl.DataFrame:
    place = {"file": one.file, "sheet": one.sheet or None, "kind": one.kind or None}
    return rows.select(*(pl.lit(word, pl.String).alias(name) for name, word in place.items()), pl.all())


def _of_ledger(ledger_path: Path | None) -> tuple[str, dict[str, set[str]]]:
    """Return the mapping that is kept with a ledger and {code list: folded words that have a code in it}; nothing if there is none."""
    if ledger_path is None:
        return "", {}
    try:
        with open_published(ledger_path) as copy:
            return _kept_mapping(copy), _known_words(copy)
    except LedgerUnavailable:
        return "", {}


def _kept_mapping(copy: Published) -> str:
    found = copy.frame(LAST_MAPPING)
    return "" if found.is_empty() else found.item()


def _known_words(copy: Published) -> dict[str, set[str]]:
    known: dict[str, set[str]] = {}
    for code_list, word in copy.frame(KNOWN_WORDS, [UNCODED]).iter_rows():
        known.setdefault(code_list, set()).add(fold(word))
    return known
