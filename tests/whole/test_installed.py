"""Installed as a wheel in another folder it works the same: SQL, sample records and dashboard files travel in it."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

HOUSE = Path(__file__).parent.parent.parent


@pytest.fixture(scope="module")
def installed(tmp_path_factory):
    """The wheel's content unpacked into a hidden folder, as in an environment called .venv."""
    target = tmp_path_factory.mktemp("elsewhere") / ".venv" / "packages"
    command = [sys.executable, "-m", "pip", "install", "--quiet", "--no-deps", "--target", str(target), str(HOUSE)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return target


def run(installed: Path, folder: Path, *words: str) -> subprocess.CompletedProcess[str]:
    surroundings = {**os.environ, "PYTHONPATH": str(installed)}
    command = [sys.executable, "-W", "error", "-m", "pipelines.command.main", *words]
    return subprocess.run(command, capture_output=True, text=True, check=False, cwd=folder, env=surroundings)


@pytest.mark.slow
def test_the_demo_goes_from_nothing_to_the_verdicts_in_any_folder(installed, tmp_path):
    done = run(installed, tmp_path, "demo", "--no-serve")
    assert done.returncode == 0, done.stderr
    assert "Rescue calls by cause" in done.stdout
    assert "raw-water pump impeller" in done.stdout
    assert (tmp_path / "sample_fleet.duckdb").exists()


@pytest.mark.slow
def test_the_demo_again_takes_nothing_twice(installed, tmp_path):
    first, again = (run(installed, tmp_path, "demo", "--no-serve") for _ in range(2))
    assert first.stdout == again.stdout
    assert "0 accepted" in again.stderr


@pytest.mark.slow
def test_the_dashboards_files_travel(installed):
    assert (installed / "dashboard" / "app.py").is_file()
    assert (installed / "dashboard" / ".streamlit" / "config.toml").is_file()
