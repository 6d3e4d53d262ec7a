"""Every code of ours has its row in the standard's columns, and what is from memory says so."""

import pytest

from pipelines.advice.words import VERDICTS as SAID
from pipelines.terms.causes import CAUSES, SYMPTOMS, UNCODED
from pipelines.terms.codes import ACTIONS, FINDINGS
from pipelines.terms.derived import LIVES
from pipelines.terms.exchange_codes import EXCHANGE_CODES, MECHANISM_GROUPS
from pipelines.terms.package_tables import ENDINGS, ONE_OF, PACKAGE_TABLES, VERDICTS

OURS = {
    "symptom": {*SYMPTOMS, UNCODED},
    "cause": {*CAUSES, UNCODED},
    "ending": set(ENDINGS),
    "action": {*ACTIONS, UNCODED},
    "finding": {*FINDINGS, UNCODED},
}


@pytest.mark.parametrize("code_list", OURS)
def test_every_code_of_a_list_has_its_row_and_no_other_has(code_list: str):
    assert set(EXCHANGE_CODES[code_list]) == OURS[code_list]


def test_every_ending_a_life_can_have_is_among_them():
    told = next(column.meaning for column in LIVES.columns if column.name == "ending")
    assert all(ending in told for ending in ENDINGS)


def test_every_cause_has_a_mechanism_of_one_of_the_six_groups_and_a_cause():
    for code, told in EXCHANGE_CODES["cause"].items():
        assert told.mechanism_group in MECHANISM_GROUPS, code
        assert told.mechanism, code
        assert told.cause, code


def test_every_symptom_has_a_mode_and_every_action_an_activity():
    assert all(told.mode for told in EXCHANGE_CODES["symptom"].values())
    assert all(told.activity for told in EXCHANGE_CODES["action"].values())


def test_what_is_from_memory_says_so_wherever_it_stands():
    columns = [told for table in PACKAGE_TABLES.values() for told in table.columns if told.name.startswith("iso_")]
    assert len(columns) > 10
    for told in columns:
        assert any(words in told.meaning for words in ("from memory", "our reading", "rest on")), told.name


def test_the_words_of_a_verdict_are_those_of_the_advice():
    assert set(VERDICTS) == set(SAID)


def test_keys_references_and_word_lists_name_columns_that_are_there():
    for table in PACKAGE_TABLES.values():
        assert set(table.key) <= set(table.names), table.name
        assert len(set(table.names)) == len(table.names), table.name
        for each in table.references:
            assert set(each.columns) <= set(table.names), table.name
            assert each.keys == PACKAGE_TABLES[each.table].key, table.name
    assert all(column in PACKAGE_TABLES[table].names for table, column in ONE_OF)


def test_every_column_of_the_package_says_what_it_means():
    for table in PACKAGE_TABLES.values():
        assert all(told.meaning.endswith((".", "?")) for told in table.columns), table.name
