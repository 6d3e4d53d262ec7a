"""The house's law: a room imports only rooms above it, and only the outside packages it is allowed."""

import ast
import sys
from pathlib import Path

import pytest

HOUSE = Path(__file__).parent.parent

# Rooms top to bottom; each with the outside packages it may import. The standard library is free to all.
PIPELINES: dict[str, set[str]] = {
    "errors": set(),
    "terms": {"polars"},
    "intake": {"polars", "fastexcel", "charset_normalizer", "rapidfuzz", "pyarrow", "phonenumbers", "faker"},
    "ledger": {"duckdb", "polars", "pyarrow"},
    "lives": {"polars"},
    "fits": {"lifelines", "numpy", "polars", "scipy", "sklearn"},
    "advice": {"numpy", "polars"},
    "exports": {"polars", "typst", "xlsxwriter"},
    "flow": {"polars"},
    "command": set(),
}
DASHBOARD: dict[str, set[str]] = {
    "charts": {"altair", "polars", "vl_convert"},
    "sentences": {"polars"},
    "drawing": {"streamlit", "polars"},
    "readings": {"streamlit", "polars"},
    "wayfinding": {"streamlit", "polars"},
    "taking_away": {"streamlit", "polars"},
    "sign_in": {"streamlit"},
    "changes": {"streamlit", "polars"},
    "shelves": {"streamlit", "polars"},
    "controls": {"streamlit", "polars"},
    "screens": {"streamlit", "polars"},
    "app": {"streamlit"},
    "serve": {"streamlit"},
}
SAMPLE_FLEET = {"numpy", "polars", "xlsxwriter"}
OURS = {"pipelines", "dashboard", "sample_fleet"}
TOP_LEVEL = {"README.md", "DEVELOPERS.md", "pyproject.toml", "LICENSE", "dashboard", "pipelines", "tests", "sample_fleet"}
TO_RUN_ELSEWHERE = HOUSE / "pipelines" / "exports" / "package" / "scripts"
"""Shipped in the data package to be run without towless; no module of the house, and none may import it."""
NOT_OURS_TO_JUDGE = {"build", "dist", "__pycache__"}


def modules() -> list[Path]:
    return sorted(path for top in OURS for path in (HOUSE / top).rglob("*.py") if path.parent != TO_RUN_ELSEWHERE)


def room_of(parts: tuple[str, ...]) -> str:
    """The room a dotted name or path lies in: `pipelines.fits`, `dashboard.charts`, `sample_fleet`."""
    if parts[0] == "sample_fleet" or len(parts) == 1:
        return parts[0]
    return f"{parts[0]}.{parts[1].removesuffix('.py')}"


def imports_of(path: Path) -> set[str]:
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}, line {node.lineno}: imports are written whole, never relative"
            found.add(f"{node.module}.{node.names[0].name}" if "." not in (node.module or "") else str(node.module))
    return found


def may_import(room: str, other: str) -> bool:
    if room == other or other in OURS:
        return True
    top, name = (*room.split("."), "")[:2]
    other_top, other_name = (*other.split("."), "")[:2]
    if other_top == "sample_fleet" or top == "sample_fleet":
        return (top, other_name) in {("pipelines", ""), ("sample_fleet", "terms")} and room in {
            "pipelines.flow",
            "pipelines.command",
            "sample_fleet",
        }
    if top == other_top:
        rooms = list(PIPELINES if top == "pipelines" else DASHBOARD)
        return rooms.index(other_name) < rooms.index(name)
    if top == "dashboard":
        return name in {"readings", "wayfinding", "changes", "taking_away", "shelves"} or other_name in {"terms", "errors"}
    return room == "pipelines.command" and other == "dashboard.serve"


def allowed_outside(room: str) -> set[str]:
    top, name = (*room.split("."), "")[:2]
    return SAMPLE_FLEET if top == "sample_fleet" else (PIPELINES if top == "pipelines" else DASHBOARD)[name]


@pytest.mark.parametrize("path", modules(), ids=lambda path: str(path.relative_to(HOUSE)))
def test_a_module_imports_only_what_its_room_may(path: Path):
    parts = path.relative_to(HOUSE).parts
    if path.name == "__init__.py" and len(parts) == 2:
        assert {name.split(".")[0] for name in imports_of(path)} <= sys.stdlib_module_names
        return
    room = room_of(parts)
    for name in imports_of(path):
        top = name.split(".")[0]
        if top in OURS:
            other = room_of(tuple(name.split(".")))
            assert may_import(room, other), f"{path}: {room} may not import {other}"
        else:
            assert top in sys.stdlib_module_names or top in allowed_outside(room), f"{path}: {room} may not import {top}"


def test_what_runs_elsewhere_needs_nothing_of_the_house():
    for path in TO_RUN_ELSEWHERE.glob("*.py"):
        tops = {name.split(".")[0] for name in imports_of(path)}
        assert tops <= sys.stdlib_module_names | {"numpy", "scipy"}, path


def test_every_folder_and_file_has_a_room():
    rooms = {
        "pipelines": set(PIPELINES) | {"__init__"},
        "dashboard": set(DASHBOARD) | {"__init__"},
    }
    for top, names in rooms.items():
        found = {path.name.removesuffix(".py") for path in (HOUSE / top).iterdir() if path.name not in NOT_OURS_TO_JUDGE}
        visible = {name for name in found if not name.startswith(".")}
        assert visible <= names, f"{top}: no room for {sorted(visible - names)}"


def test_only_the_ledger_opens_duckdb():
    users = {
        room_of(path.relative_to(HOUSE).parts) for path in modules() if any(name.split(".")[0] == "duckdb" for name in imports_of(path))
    }
    assert users <= {"pipelines.ledger"}


def test_the_top_level_is_as_agreed():
    found = {path.name for path in HOUSE.iterdir() if not path.name.startswith(".") and path.name not in NOT_OURS_TO_JUDGE}
    assert found - {name for name in found if ".duckdb" in name} <= TOP_LEVEL
