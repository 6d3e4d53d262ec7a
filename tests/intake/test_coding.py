import polars as pl
import pytest

from pipelines.intake.coding import Vocabulary, code_words, coded
from pipelines.intake.mapping import mapping_from
from pipelines.intake.names import fold
from pipelines.terms.codes import CODE_LISTS
from pipelines.terms.tables import COMPONENTS
from pipelines.terms.vocabulary import CATALOGUE_TABLE, CAUSE_TREE

NO_COMPONENTS = pl.DataFrame(schema={column.name: column.polars_type for column in COMPONENTS.columns})


def vocabulary(
    *words: tuple[str, str, str],
    settled: tuple[tuple[str, str, str], ...] = (),
    mapping: str = "",
    components: pl.DataFrame = NO_COMPONENTS,
) -> Vocabulary:
    """Words are (list, word, record kind); settled are (list, word, code)."""
    frame = pl.DataFrame(words, schema=dict.fromkeys(("list", "word", "kind"), pl.String), orient="row")
    said = pl.DataFrame(settled, schema=dict.fromkeys(("list", "word", "code"), pl.String), orient="row")
    return coded(frame, components, said, mapping_from(mapping))


def ticket(word: str, code_list: str = "component") -> tuple[str, str, str]:
    return code_list, word, "service_tickets"


def codes(made: Vocabulary) -> dict[str, tuple[str, str]]:
    return {word: (code, how) for word, code, how in made.words.select("word", "code", "how").iter_rows()}


def part(made: Vocabulary, component: str) -> dict:
    return made.catalogue.row(by_predicate=pl.col("component") == component, named=True)


@pytest.mark.parametrize("code_list", CODE_LISTS)
def test_no_word_of_a_list_has_two_meanings(code_list):
    meanings: dict[str, set[str]] = {}
    for code, words in CODE_LISTS[code_list].items():
        for word in (code, *words):
            meanings.setdefault(fold(word), set()).add(code)
    assert [word for word, found in meanings.items() if len(found) > 1] == []


@pytest.mark.parametrize("code_list", CODE_LISTS)
def test_every_code_and_trade_word_has_its_code_whatever_its_case(code_list):
    words = {word.upper(): code for code, others in CODE_LISTS[code_list].items() for word in (code, *others)}
    made = {word: code for word, code in code_words(code_list, words).select("word", "code").iter_rows()}
    assert made == words


def test_a_word_is_known_by_the_catalogue_a_near_miss_or_not_at_all():
    made = codes(vocabulary(ticket("Imp."), ticket("impelor"), ticket("gizmo")))
    assert made == {
        "Imp.": ("raw-water pump impeller", "catalogue"),
        "impelor": ("raw-water pump impeller", "near miss"),
        "gizmo": ("uncoded", "uncoded"),
    }


def test_a_word_that_is_settled_once_is_settled_in_every_spelling():
    made = vocabulary(ticket("gizmo"), ticket("GIZMO."), settled=(("component", "Gizmo", "anodes"),))
    assert codes(made) == {"gizmo": ("anodes", "settled"), "GIZMO.": ("anodes", "settled")}


def test_what_a_person_settled_outranks_the_mapping_and_the_catalogue():
    made = vocabulary(
        ticket("belt"), settled=(("component", "belt", "camshaft timing belt"),), mapping='[words.component]\n"belt" = "anodes"'
    )
    assert codes(made)["belt"] == ("camshaft timing belt", "settled")


def test_a_mapping_leads_words_of_any_list():
    made = vocabulary(
        ticket("neu", "action"), ticket("kaputt", "reason"), mapping='[words.action]\nneu="R/R"\n[words.reason]\nkaputt="u/s"'
    )
    assert codes(made) == {"neu": ("renew", "mapping"), "kaputt": ("failed", "mapping")}


def test_an_unknown_word_of_a_closed_list_is_uncoded():
    assert codes(vocabulary(("water", "lava", "vessels")))["lava"] == ("uncoded", "uncoded")


def test_a_part_named_in_costs_is_known_as_it_stands():
    made = vocabulary(("component", "Hub plate", "costs"), ticket("hub-plate"), ticket("HUB PLATTE"))
    assert codes(made) == {
        "Hub plate": ("Hub plate", "own word"),
        "hub-plate": ("Hub plate", "own word"),
        "HUB PLATTE": ("Hub plate", "near miss"),
    }
    assert part(made, "Hub plate")["in_catalogue"] is False
    assert part(made, "Hub plate")["named"] is True


def test_a_ticket_alone_does_not_make_a_word_known():
    assert codes(vocabulary(ticket("Hub plate")))["Hub plate"] == ("uncoded", "uncoded")


def test_a_fleets_word_for_a_built_in_part_takes_its_place_and_keeps_what_is_known_of_it():
    made = vocabulary(("component", "impeller", "costs"), ticket("r/w impeller"), ticket("raw-water pump impeller"), ticket("impelor"))
    assert {code for code, _ in codes(made).values()} == {"impeller"}
    assert codes(made)["r/w impeller"][1] == "catalogue"
    assert part(made, "impeller")["system"] == "cooling"
    assert "raw-water pump impeller" not in made.catalogue["component"].to_list()
    assert set(made.cause_tree.filter(pl.col("cause") == "impeller failed")["component"]) == {"impeller"}


def test_of_two_words_for_one_built_in_part_its_own_code_wins_else_the_first_of_the_alphabet():
    two = vocabulary(("component", "water pump impeller", "costs"), ("component", "impeller", "plan"))
    assert {code for code, _ in codes(two).values()} == {"impeller"}
    three = vocabulary(("component", "impeller", "plan"), ("component", "raw-water pump impeller", "limits"))
    assert {code for code, _ in codes(three).values()} == {"raw-water pump impeller"}


def test_a_part_that_only_the_mapping_names_is_the_fleets_own():
    made = vocabulary(ticket("wotsit"), mapping='[words.component]\nwotsit = "Special gizmo"')
    assert codes(made)["wotsit"] == ("Special gizmo", "mapping")
    assert part(made, "Special gizmo")["named"] is True


def test_a_word_that_the_mapping_leads_away_is_not_the_fleets_own():
    made = vocabulary(("component", "imp", "costs"), ticket("imp"), mapping='[words.component]\nimp = "raw-water pump impeller"')
    assert codes(made)["imp"] == ("raw-water pump impeller", "mapping")


def test_components_records_override_what_is_built_in_and_leave_the_rest():
    row = {name: None for name in NO_COMPONENTS.columns} | {"component": "Anodes", "label": "Zincs", "carried_by": "boat", "safety": True}
    made = vocabulary(("component", "Anodes", "components"), components=pl.DataFrame([row], schema=NO_COMPONENTS.schema))
    told = part(made, "Anodes")
    assert (told["label"], told["carried_by"], told["safety"]) == ("Zincs", "vessel", True)
    assert told["wear_visible"] is True


def test_a_part_is_named_by_tickets_and_by_causes_of_calls_too():
    made = vocabulary(ticket("anodes"), ("cause", "thermostat stuck", "rescue_calls"))
    assert part(made, "anodes")["named"] is True
    assert part(made, "thermostat")["named"] is True
    assert part(made, "gearbox")["named"] is False


def test_the_tables_have_the_declared_columns():
    made = vocabulary(ticket("anodes"))
    assert made.words.columns == ["list", "word", "code", "how"]
    assert made.catalogue.columns == [column.name for column in CATALOGUE_TABLE.columns]
    assert made.cause_tree.columns == [column.name for column in CAUSE_TREE.columns]
    assert made.catalogue["component"].is_unique().all()


def test_each_word_of_a_list_stands_once_however_many_kinds_hold_it():
    made = vocabulary(ticket("anodes"), ("component", "anodes", "rescue_calls"), ("component", "anodes", "costs"))
    assert made.words.height == 1


def test_a_fleet_without_words_has_the_whole_catalogue():
    assert vocabulary().catalogue.height == len(CODE_LISTS["component"])


EVERY_WAY = [
    # list, the fleet's own word and its code, a trade word and its code, a slip and its code
    ("component", "wotsit", "drive belt", "imp.", "raw-water pump impeller", "drive bellt", "drive belt"),
    ("cause", "gremlins", "belt broken", "ran out of fuel", "fuel exhausted", "plugs fuoled", "plugs fouled"),
    ("symptom", "sulking", "overheats", "no crank", "won't start, no crank", "overheets", "overheats"),
    ("finding", "manky", "worn", "kaput", "failed", "servicable", "sound"),
    ("action", "did", "renew", "swapped", "renew", "inspcted", "inspect"),
]


@pytest.mark.parametrize(("code_list", "own", "own_code", "trade", "trade_code", "slip", "slip_code"), EVERY_WAY)
def test_every_coded_list_takes_own_words_then_trade_words_then_one_near_miss_and_leaves_the_rest_uncoded(
    code_list, own, own_code, trade, trade_code, slip, slip_code
):
    words = [ticket(word, code_list) for word in (own, trade, slip, "zzqx")]
    assert codes(vocabulary(*words, mapping=f'[words.{code_list}]\n"{own}" = "{own_code}"\n')) == {
        own: (own_code, "mapping"),
        trade: (trade_code, "catalogue"),
        slip: (slip_code, "near miss"),
        "zzqx": ("uncoded", "uncoded"),
    }
