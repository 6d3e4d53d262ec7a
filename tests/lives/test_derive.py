"""Running the files: on nothing, twice, and when something breaks."""

import polars as pl
import pytest

from pipelines.ledger.workbench import scratch
from pipelines.lives.lives import derive
from pipelines.terms.derived import DERIVED_TABLES
from pipelines.terms.settings import Settings
from tests.support.lives_tables import LAST_DAY, bench_from, lives_in


def test_no_records_make_empty_tables():
    with scratch() as bench:
        derive(bench, None, Settings())
        assert bench.frame("select as_of from derived.parameters").item() is None
        assert {name for name in DERIVED_TABLES if bench.frame(f"select * from derived.{name}").height} == {"parameters"}


def test_deriving_again_gives_the_same():
    with bench_from(
        service_tickets="""done_on    | reason
                           2020-04-10 | failed"""
    ) as bench:
        first = {name: bench.frame(f"select * from derived.{name} order by all") for name in DERIVED_TABLES}
        derive(bench, LAST_DAY, Settings())
        assert all(first[name].equals(bench.frame(f"select * from derived.{name} order by all")) for name in DERIVED_TABLES)


def test_what_breaks_half_way_leaves_what_stood_before():
    with bench_from() as bench:
        before = lives_in(bench)
        bench.put("accepted.limits", pl.DataFrame({"nothing": [1]}))
        with pytest.raises(Exception, match="component"):
            derive(bench, LAST_DAY, Settings())
        assert lives_in(bench) == before


def test_boats_without_a_list_of_boats_are_known_from_their_engines():
    with bench_from(
        vessels="vessel_id\n",
        service_tickets="""done_on    | reason
                           2020-01-01 | planned
                           2020-04-10 | failed""",
    ) as bench:
        assert lives_in(bench) == [(0, 100, 100, "failed"), (0, 995, None, "running")]
