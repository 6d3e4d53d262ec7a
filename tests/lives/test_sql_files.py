"""The SQL files: portable, said what they are, and making just the columns that are declared."""

import re
from collections.abc import Iterator
from importlib.resources import files

import pytest

from pipelines.ledger.workbench import Workbench
from pipelines.lives import lives
from pipelines.terms.derived import DERIVED_TABLES
from tests.support.lives_tables import bench_from

SQL = {path.name.removesuffix(".sql"): path.read_text() for path in files("pipelines.lives").iterdir() if path.name.endswith(".sql")}
NOT_PORTABLE = (
    r"\basof\b",
    r"\bread_csv",
    r"\* *replace\b",
    r"\* *exclude\b",
    r"\bqualify\b",
    r"\bhash\(",
    r"\bby name\b",
    r"\blist_sum\b",
    r"\blist\(",
    r"\barray_agg\(",
    r"\bstring_agg\(",
    r"\bdatediff\(",
    r"\bepoch\(",
    r"\barg_m(ax|in)\(",
    r"\bany_value\(",
    r"\bfirst\(",
    r"\blast\(",
    r"\blateral\b",
    r"\bpivot\b",
    r"\bfilter *\(where",
    r"\busing *\(",
    r"\bgroup by all\b",
    r"\bcreate\b",
    r"::",
)


def code_of(text: str) -> str:
    return "\n".join(line for line in text.splitlines() if not line.startswith("--")).lower()


@pytest.fixture(scope="module")
def bench() -> Iterator[Workbench]:
    with bench_from(
        service_tickets="""done_on    | reason | meter_h
                           2020-04-12 | failed | 102""",
        rescue_calls="""called_at  | component
                        2020-04-10 | impeller""",
    ) as made:
        yield made


@pytest.mark.parametrize("name", sorted(SQL))
def test_a_file_is_written_in_sql_that_other_engines_know(name: str):
    found = [pattern for pattern in NOT_PORTABLE if re.search(pattern, code_of(SQL[name]))]
    assert not found


@pytest.mark.parametrize("name", sorted(SQL))
def test_a_file_says_what_a_row_is_what_it_reads_what_it_gives_and_why(name: str):
    header = [line for line in SQL[name].splitlines() if line.startswith("--")]
    assert header[0].startswith(f"-- {name}: ")
    for part in ("grain", "reads", "gives", "because"):
        assert any(line.startswith(f"-- {part} ") for line in header), part


@pytest.mark.parametrize("name", sorted(SQL))
def test_a_file_fits_a_screen(name: str):
    assert max(len(line) for line in SQL[name].splitlines()) <= 140


@pytest.mark.parametrize("name", sorted(SQL))
def test_a_file_says_every_table_it_reads(name: str):
    header = " ".join(line for line in SQL[name].splitlines() if line.startswith("--"))
    read = set(re.findall(r"\b(?:accepted|derived)\.(\w+)", code_of(SQL[name])))
    assert {table for table in read if not re.search(rf"\b{table}\b", header)} == set()


@pytest.mark.parametrize("name", sorted(DERIVED_TABLES))
def test_a_table_has_the_columns_that_are_declared(name: str, bench: Workbench):
    made = bench.frame(f"select * from derived.{name}")
    assert made.columns == [column.name for column in DERIVED_TABLES[name].columns]
    wrong = {column.name for column in DERIVED_TABLES[name].columns if made.schema[column.name] != column.polars_type}
    assert wrong == set()


def test_nothing_else_is_left_on_the_workbench(bench: Workbench):
    tables = bench.frame("select table_name from information_schema.tables where table_schema = 'derived'")["table_name"].to_list()
    assert sorted(tables) == sorted(DERIVED_TABLES)


def test_every_file_is_run():
    used = {"last_date", *(file for step in lives.ORDER for file in (step.steps if isinstance(step, lives.Rounds) else (step,)))}
    assert used == set(SQL)
