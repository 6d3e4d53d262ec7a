"""What towless is built on: few packages, each pinned, each with its reason, under licences that go with ours, in a bill of materials."""

import json
import re
import subprocess
import sys
import tomllib
from collections.abc import Iterable
from functools import cache
from importlib.metadata import Distribution, distribution
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

HOUSE = Path(__file__).parent.parent
PROJECT = tomllib.loads((HOUSE / "pyproject.toml").read_text(encoding="utf-8"))["project"]
WANTED = PROJECT["dependencies"] + PROJECT["optional-dependencies"]["shared"]
PINS = (HOUSE / ".ci" / "constraints.txt").read_text(encoding="utf-8").split()
MOST_DIRECT = 20
GOES_WITH_OURS = re.compile(r"\b(MIT|BSD|Apache|Mozilla Public License 2|MPL-2\.0|Python Software Foundation|PSF|0BSD|Zlib|CC0)\b")
"""Licences that ask for no more than naming the author, and one that asks for changes of its own files (MPL 2.0); from memory."""


def named(requirement: str) -> str:
    return canonicalize_name(Requirement(requirement).name)


def needed(requirement: Requirement) -> Iterable[str]:
    """What a package needs here, with the extras it is asked for with."""
    surroundings = [{"extra": extra} for extra in ({""} | requirement.extras)]
    for other in distribution(requirement.name).requires or []:
        marker = Requirement(other).marker
        if marker is None or any(marker.evaluate(each) for each in surroundings):
            yield other


@cache
def everything() -> dict[str, Distribution]:
    """Every package that towless needs to run, and those need in turn."""
    found: dict[str, Distribution] = {}
    waiting = list(WANTED)
    while waiting:
        requirement = Requirement(waiting.pop())
        name = canonicalize_name(requirement.name)
        if name not in found:
            found[name] = distribution(requirement.name)
            waiting += needed(requirement)
    return found


def licence(package: Distribution) -> str:
    """What a package says of its licence, in whichever field it says it."""
    told = package.metadata.json
    classifiers = [word for word in told.get("classifier", []) if word.startswith("License")]
    return " ".join([str(told.get("license_expression", "")), *classifiers, str(told.get("license", ""))[:200]])


def test_few_packages_are_asked_for_by_name():
    assert len(PROJECT["dependencies"]) <= MOST_DIRECT


@pytest.mark.parametrize("requirement", WANTED, ids=named)
def test_every_package_that_is_asked_for_has_its_reason(requirement: str):
    told = (HOUSE / "DEVELOPERS.md").read_text(encoding="utf-8")
    reasons = told[told.index("## What it is built on") :]
    assert f"| {Requirement(requirement).name.casefold()} |" in reasons.casefold()


def test_pins_name_one_version_each_and_no_place():
    assert all(re.fullmatch(r"[A-Za-z0-9._-]+==[A-Za-z0-9._+!-]+", pin) for pin in PINS)
    names = [named(pin) for pin in PINS]
    assert len(set(names)) == len(names)


def test_whatever_it_needs_is_pinned():
    assert everything().keys() - {named(pin) for pin in PINS} == set()


@pytest.mark.parametrize("name", sorted(everything()))
def test_a_licence_goes_with_ours(name: str):
    told = licence(everything()[canonicalize_name(name)])
    assert GOES_WITH_OURS.search(told), told


@pytest.mark.slow
def test_a_bill_of_materials_names_every_package_with_its_version(tmp_path: Path):
    file = tmp_path / "materials.json"
    command = [sys.executable, "-m", "cyclonedx_py", "environment", "--output-format", "JSON", "--output-file", str(file)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    told = {str(canonicalize_name(part["name"])): part for part in json.loads(file.read_text(encoding="utf-8"))["components"]}
    assert everything().keys() <= told.keys()
    assert all(told[name]["version"] == package.version for name, package in everything().items())


@pytest.mark.slow
def test_the_archive_of_the_sources_makes_the_same_wheel(tmp_path: Path):
    script = "import sys; from hatchling.build import build_sdist; print(build_sdist(sys.argv[1]))"
    done = subprocess.run([sys.executable, "-c", script, str(tmp_path)], cwd=HOUSE, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    archive = tmp_path / done.stdout.split()[-1]
    target = tmp_path / "installed"
    command = [
        sys.executable,
        "-m",
        "pip",
        "install",
        "--quiet",
        "--no-deps",
        "--no-build-isolation",
        "--target",
        str(target),
        str(archive),
    ]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    ours = {str(path.relative_to(HOUSE)) for room in ("pipelines", "dashboard", "sample_fleet") for path in (HOUSE / room).rglob("*.py")}
    assert ours <= {str(path.relative_to(target)) for path in target.rglob("*.py")}
