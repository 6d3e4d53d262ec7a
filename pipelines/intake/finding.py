"""Which files to take in.

In: paths, folders or globs as a person gives them. Out: files, each once, in order of name.
Elsewhere: what a file holds (`taking`).
"""

from collections.abc import Iterator, Sequence
from glob import glob, has_magic
from pathlib import Path

from pipelines.errors import UnreadableFile

RECORD_SUFFIXES = (".csv", ".tsv", ".tab", ".xlsx", ".xlsm", ".parquet", ".pq", ".jsonl", ".ndjson")
"""Ends of file names that are taken from a folder; a file that is named itself may end in anything."""

MAPPING_NAME = "mapping.toml"
"""A mapping of this name in a folder is the folder's own."""


def find_files(paths: Sequence[str | Path]) -> list[Path]:
    """Return the files that `paths` stand for: a file is itself, a folder all record files in and below it, a glob what it matches.

    Raises
    ------
    UnreadableFile
        If a path is not there, or a folder or glob has no record file in it.
    """
    found: dict[Path, Path] = {}
    for path in paths:
        for file in _files_of(Path(path)):
            found.setdefault(file.resolve(), file)
    return list(found.values())


def passed_over(paths: Sequence[str | Path]) -> list[Path]:
    """Return the files in the folders among `paths` that are not taken, so that they can be named: no record suffix, or a lock file."""
    folders = [Path(path) for path in paths if Path(path).is_dir()]
    return sorted(file for folder in folders for file in _visible(folder) if not _is_record(file) and file.name != MAPPING_NAME)


def mapping_beside(paths: Sequence[str | Path]) -> Path | None:
    """Return the mapping file that stands in a folder among `paths` or beside a file among them; `None` if there is none."""
    for path in map(Path, paths):
        mapping = (path if path.is_dir() else path.parent) / MAPPING_NAME
        if mapping.is_file():
            return mapping
    return None


def _files_of(path: Path) -> list[Path]:
    if path.is_dir():
        return _some(_in_folder(path), f"{path}: a folder with no records in it. Records end in {', '.join(RECORD_SUFFIXES)}.")
    if path.exists():
        return [path]
    if has_magic(str(path)):
        matches = sorted(Path(match) for match in glob(str(path), recursive=True))
        files = [file for match in matches for file in ([match] if match.is_file() else _in_folder(match))]
        return _some(files, f"{path}: no file fits this pattern. Check the folder and the pattern.")
    raise UnreadableFile(f"{path}: there is no such file or folder. Check the name.")


def _some(files: list[Path], otherwise: str) -> list[Path]:
    if not files:
        raise UnreadableFile(otherwise)
    return files


def _in_folder(folder: Path) -> list[Path]:
    return sorted(file for file in _visible(folder) if _is_record(file))


def _visible(folder: Path) -> Iterator[Path]:
    """Give the files in and below a folder, but for hidden ones; a folder that lies in a hidden place itself is no reason to hide them."""
    for file in folder.rglob("*"):
        if file.is_file() and not any(part.startswith(".") for part in file.relative_to(folder).parts):
            yield file


def _is_record(file: Path) -> bool:
    return file.suffix.lower() in RECORD_SUFFIXES and not file.name.startswith("~$")
