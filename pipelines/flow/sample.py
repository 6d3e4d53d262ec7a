"""The sample fleet, taken into a ledger of its own.

In: where the ledger goes. Out: what became of the rows.
Elsewhere: how the sample was made (`sample_fleet`).
"""

from pathlib import Path

import sample_fleet
from pipelines.errors import WrongInput
from pipelines.flow.copies import current_copy
from pipelines.flow.taking import TakenIn, Wish, take_in
from pipelines.terms.settings import Settings

SAMPLE_LEDGER = Path("sample_fleet.duckdb")


def records_folder() -> Path:
    """Return the folder of the sample's records, wherever towless is installed."""
    return Path(sample_fleet.__file__).parent / "records"


def sample_beside(ledger_path: Path) -> Path:
    """Return where the sample's ledger lies beside another."""
    return ledger_path.with_name(SAMPLE_LEDGER.name)


def take_in_sample(ledger_path: Path, settings: Settings) -> TakenIn:
    """Take the sample's records into a ledger that holds nothing else.

    Raises
    ------
    WrongInput
        If the ledger holds other records.
    """
    if ledger_path.exists():
        _refuse_other_records(ledger_path, settings)
    return take_in(ledger_path, Wish((records_folder(),), by="demo"), settings)


def _refuse_other_records(ledger_path: Path, settings: Settings) -> None:
    ours = {path.name for path in records_folder().rglob("*")}
    with current_copy(ledger_path, settings) as copy:
        held = {Path(name).name for name in copy.frame("select file from about.files where sha256 is not null")["file"]}
    if others := held - ours:
        raise WrongInput(
            f"{ledger_path}: holds other records than the sample ({', '.join(sorted(others)[:3])}). Name another: --ledger {SAMPLE_LEDGER}"
        )
