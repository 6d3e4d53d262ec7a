"""The package as a folder or as one zip file, whole or not at all.

In: `Package`. Out: files. CSV is always there, because the descriptor, the validators and the two scripts read it; XLSX (one workbook)
and Parquet stand beside it where asked for. A folder is made under another name and given its own when all of it is there; a zip of the
same package is the same to the byte.
Elsewhere: one table as a file (`frames`).
"""

import io
import json
import os
import shutil
import zipfile
from collections.abc import Iterator, Sequence
from importlib.resources import files
from pathlib import Path

import polars as pl

from pipelines.errors import WrongInput
from pipelines.exports.frames import as_file, as_workbook
from pipelines.exports.package.contents import Package
from pipelines.exports.package.descriptor import described
from pipelines.exports.package.dictionary import dictionary
from pipelines.terms.package_tables import PACKAGE_TABLES

DESCRIPTOR, BOOK = "datapackage.json", "figures.xlsx"
SCRIPTS = ("recompute.py", "recompute.R")
OFFERED = ("xlsx", "parquet")
_LONG_AGO = (1980, 1, 1, 0, 0, 0)


def write_package(package: Package, folder: Path, forms: Sequence[str] = ()) -> list[Path]:
    """Write a package into a folder that is not there yet or is empty; return its files.

    Parameters
    ----------
    package
        What to write.
    folder
        Made if it is not there.
    forms
        Of `frames.FORMS`; CSV is written whether it is named or not.

    Raises
    ------
    WrongInput
        If the folder holds anything already or cannot be written; nothing is left behind then.
    """
    if folder.is_symlink() or (folder.exists() and (not folder.is_dir() or any(folder.iterdir()))):
        raise WrongInput(f"{folder}: holds something already. Name a folder that is not there yet, so that nothing is overwritten.")
    half = folder.with_name(f".{folder.name}.half-{os.getpid()}")
    try:
        half.mkdir(parents=True)
        for name, data in files_of(package, forms):
            (half / name).write_bytes(data)
        if folder.exists():
            folder.rmdir()
        half.rename(folder)
    except OSError as fault:
        raise WrongInput(f"{folder}: cannot be written: {fault.strerror}. Name a folder you may write to.") from fault
    finally:
        shutil.rmtree(half, ignore_errors=True)
    return sorted(folder.iterdir())


def zipped(package: Package, forms: Sequence[str] = ()) -> bytes:
    """Return a package as the bytes of one zip file."""
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as held:
        for name, data in files_of(package, forms):
            held.writestr(zipfile.ZipInfo(name, _LONG_AGO), data, zipfile.ZIP_DEFLATED)
    return file.getvalue()


def files_of(package: Package, forms: Sequence[str] = ()) -> Iterator[tuple[str, bytes]]:
    """Give every file of a package, its name and its bytes; the descriptor comes last."""
    for name, frame in package.tables.items():
        yield f"{name}.csv", as_file(frame, "csv")
        if "parquet" in forms:
            yield f"{name}.parquet", as_file(frame, "parquet")
    if "xlsx" in forms:
        yield BOOK, as_workbook({"dictionary": columns_told(package), **package.tables})
    yield "dictionary.html", dictionary(package).encode()
    for name in SCRIPTS:
        yield name, files("pipelines.exports.package").joinpath("scripts", name).read_bytes()
    yield DESCRIPTOR, json.dumps(described(package), ensure_ascii=False, indent=1).encode()


def columns_told(package: Package) -> pl.DataFrame:
    """Return every column of a package as a table: where it stands, unit, meaning."""
    return pl.DataFrame(
        [
            {"table": name, "column": told.name, "unit": told.unit, "meaning": told.meaning}
            for name in package.tables
            for told in PACKAGE_TABLES[name].columns
        ]
    )
