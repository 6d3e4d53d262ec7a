"""The questions of this room that are SQL files of their own.

In: a file's name. Out: its text.
"""

from importlib.resources import files


def query(name: str) -> str:
    """Return the SQL of `name`.sql in this folder."""
    return files("pipelines.flow").joinpath(f"{name}.sql").read_text(encoding="utf-8")
