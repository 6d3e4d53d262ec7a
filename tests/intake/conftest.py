"""Small files written by a test and taken in at once."""

from datetime import date
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

from pipelines.intake.mapping import Mapping, mapping_from
from pipelines.intake.taking import Taken, read_file

TODAY = date(2025, 6, 30)

# Examples are the same in every run, and none fails for being slow on a busy machine.
settings.register_profile("intake", deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("intake")


class Yard:
    """A folder in which a test writes files as a yard would, and takes them in on one and the same day."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def write(self, content: str | bytes, name: str = "tickets.csv") -> Path:
        path = self.folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content if isinstance(content, bytes) else content.encode("utf-8"))
        return path

    def tables(self, content: str | bytes, name: str = "tickets.csv", *, mapping: str = "", as_kind: str = "") -> list[Taken]:
        said = mapping_from(mapping) if mapping else Mapping()
        return read_file(self.write(content, name), said, as_kind, TODAY)

    def take(self, content: str | bytes, name: str = "tickets.csv", *, mapping: str = "", as_kind: str = "") -> Taken:
        (taken,) = self.tables(content, name, mapping=mapping, as_kind=as_kind)
        return taken

    def reading(self, read_on: str, meter_h: str = "12", *, mapping: str = "", more: str = "") -> Taken:
        """One hour reading of one engine, and more lines of the same columns; semicolons between."""
        return self.take(f"engine_id;read_on;meter_h\nE1;{read_on};{meter_h}\n{more}", "hours.csv", mapping=mapping)


@pytest.fixture
def yard(tmp_path: Path) -> Yard:
    return Yard(tmp_path)
