"""The scorer drives the command line on a fleet it has made: advice is better than habit, and nothing passes a ceiling."""

import pytest

from sample_fleet.truths import Pattern
from tests.whole.regret import Scored, main, mean_regret, means, run, table
from tests.whole.regret_score import PartScore


@pytest.fixture(scope="module")
def scored(tmp_path_factory) -> Scored:
    return run(100, 6, 31, tmp_path_factory.mktemp("regret"), mess=True)


@pytest.mark.slow
def test_advice_from_messy_records_costs_less_over_the_best_than_today_s_plans(scored):
    assert mean_regret(scored.scores) < sum(each.habit for each in scored.scores) / len(scored.scores)


@pytest.mark.slow
def test_every_part_has_a_row_and_no_advice_passes_a_ceiling(scored):
    assert all(each.answered for each in scored.scores)
    assert sum(each.passes_ceiling for each in scored.scores) == 0


@pytest.mark.slow
def test_most_random_parts_are_left_until_they_fail(scored):
    random: list[PartScore] = [each for each in scored.scores if each.part.pattern is Pattern.RANDOM]
    assert sum(each.needless for each in random) <= len(random) / 2


@pytest.mark.slow
def test_the_table_names_every_part_and_ends_with_the_means(scored):
    told = table(scored).splitlines()
    assert [line[:30].strip() for line in told[2:-1]] == [each.part.component for each in scored.scores]
    assert told[-1] == means(scored.scores)


def test_the_scorer_s_help_has_a_line_to_try(capsys):
    with pytest.raises(SystemExit):
        main(["--help"])
    assert "--seeds" in capsys.readouterr().out
