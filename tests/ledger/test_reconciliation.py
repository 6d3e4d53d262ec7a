"""The law of the ledger: rows in = accepted + repeated + superseded + left out, whatever comes in and is undone."""

from collections import Counter
from itertools import count

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from pipelines.ledger.writing import open_for_writing
from tests.support.ledgers import boats

FAULTY = "faulty"
ROWS = st.lists(st.sampled_from(["A=1", "A=2", "A=3", "B=1", "B=2", "C=1", FAULTY]), max_size=6)
STEPS = st.lists(st.one_of(ROWS, st.integers(0, 4)), min_size=1, max_size=7)
EXAMPLE = count()


@pytest.fixture(scope="module")
def ledger(tmp_path_factory):
    with open_for_writing(tmp_path_factory.mktemp("law") / "fleet.duckdb", "test") as opened:
        yield opened


def by_hand(imports: list[tuple[list[str], bool]]) -> list[str]:
    """Fates of all rows in order, worked out the slow way: key by key over the rows that stand."""
    rows = [(row, stands) for import_, stands in imports for row in sorted(import_, key=lambda row: row == FAULTY)]
    fates = ["left_out" if row == FAULTY else "?" for row, _ in rows]
    for key in "ABC":
        seen: dict[str, int] = {}
        for place, (row, stands) in enumerate(rows):
            if stands and row.startswith(key):
                fates[place] = "repeated" if row in seen else "superseded"
                seen.setdefault(row, place)
        if seen:
            fates[max(seen.values())] = "accepted"
    return [fate if stands else "undone" for fate, (_, stands) in zip(fates, rows, strict=True)]


def take(ledger, rows: list[str], example: int) -> int:
    sound = [f"{row[0]}{example}={row[2]}" for row in rows if row != FAULTY]
    return ledger.take_in([boats(*sound, file=f"{example}.csv", faulty=rows.count(FAULTY))], "A. Tester").import_id


@given(steps=STEPS)
@settings(max_examples=40, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_fates_are_those_worked_out_by_hand_after_any_imports_and_undoings(ledger, steps):
    example = next(EXAMPLE)
    numbers: list[int] = []
    imports: list[tuple[list[str], bool]] = []
    for step in steps:
        if isinstance(step, list):
            numbers.append(take(ledger, step, example))
            imports.append((step, True))
        elif step < len(imports) and imports[step][1]:
            ledger.undo(numbers[step], "A. Tester")
            imports[step] = (imports[step][0], False)
        found = "select fate from received.rows join received.files using (file_id) where file = ? order by row_id"
        assert ledger.frame(found, [f"{example}.csv"])["fate"].to_list() == by_hand(imports)
    check_sums(ledger)


def check_sums(ledger):
    for kind, rows_in, *fates in ledger.reconciliation().iter_rows():
        assert rows_in == sum(fates), kind
    counted = Counter(ledger.frame("select fate from received.rows where fate <> 'undone'")["fate"])
    assert sum(counted.values()) == ledger.reconciliation()["rows_in"].sum()


def test_what_is_told_adds_up(ledger):
    example = next(EXAMPLE)
    taken = ledger.take_in([boats(f"A{example}=1", f"A{example}=1", f"A{example}=2", faulty=3)], "A. Tester").total
    assert taken.rows_in == taken.accepted + taken.repeated + taken.superseded + taken.left_out == 6
