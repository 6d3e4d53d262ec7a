"""A folder of figures to take away: each answer as CSV and Parquet, with a dictionary of every column as a data package.

In: `Answer` by verb. Out: files. The descriptor follows Frictionless Data Package and Table Schema, so that an import elsewhere can be
checked before it is loaded. Nothing is half-written: the folder is made whole under another name first.
Elsewhere: one answer on standard output (`answer`).
"""

import json
import os
import shutil
from pathlib import Path
from typing import Any

import polars as pl

from pipelines.errors import WrongInput
from pipelines.exports.answer import Answer, as_csv, plain
from pipelines.exports.withholding import without_craft_numbers
from pipelines.terms.answers import ANSWERS, Kind, Told


def write_figures(answers: dict[str, Answer], folder: Path) -> list[Path]:
    """Write each answer as CSV and Parquet into `folder`, with `datapackage.json`; return the files.

    Raises
    ------
    WrongInput
        If the folder holds anything already or cannot be written.
    """
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise WrongInput(f"{folder}: holds something already. Name a folder that is not there yet, so that nothing is overwritten.")
    half = folder.with_name(f".{folder.name}.half-{os.getpid()}")
    try:
        half.mkdir(parents=True)
        _write_all(answers, half)
        if folder.exists():
            folder.rmdir()
        half.rename(folder)
    except OSError as fault:
        raise WrongInput(f"{folder}: cannot be written: {fault.strerror}. Name a folder you may write to.") from fault
    finally:
        shutil.rmtree(half, ignore_errors=True)
    return sorted(folder.iterdir())


def _write_all(answers: dict[str, Answer], folder: Path) -> None:
    for verb, answer in answers.items():
        rows = without_craft_numbers(answer.rows)
        (folder / f"{verb}.csv").write_text(as_csv(rows), encoding="utf-8")
        rows.write_parquet(folder / f"{verb}.parquet")
    descriptor = json.dumps(describe(answers), ensure_ascii=False, indent=1)
    (folder / "datapackage.json").write_text(descriptor, encoding="utf-8")


def describe(answers: dict[str, Answer]) -> dict[str, Any]:
    """Return the data package's descriptor: every table, every column with its type, unit and meaning, and what they rest on."""
    heads = [answer.head for answer in answers.values()]
    return {
        "profile": "data-package",
        "name": "towless-figures",
        "title": "Figures from service tickets and rescue calls",
        "as_of": plain(heads[0].get("as_of")) if heads else None,
        "ledger_version": heads[0].get("ledger_version") if heads else None,
        "resources": [_resource(verb, answer.rows) for verb, answer in answers.items()],
    }


def _resource(verb: str, rows: pl.DataFrame) -> dict[str, Any]:
    return {
        "profile": "tabular-data-resource",
        "name": verb,
        "path": f"{verb}.csv",
        "encoding": "utf-8",
        "schema": {"fields": [_field(told) for told in ANSWERS[verb] if told.name in rows.columns]},
    }


def _field(told: Told) -> dict[str, Any]:
    nested = told.kind in (Kind.NESTED, Kind.LIST)
    kind = "any" if nested else told.kind.value
    meaning = f"{told.meaning} (JSON)" if nested else told.meaning
    return {"name": told.name, "type": kind, "unit": told.unit, "description": meaning}
