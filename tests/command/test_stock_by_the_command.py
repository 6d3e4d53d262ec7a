"""What to stock, by the command, on a small fleet of clean records: distributions, dates, money, bases, budgets, and odd parts."""

import pytest

from pipelines.command.main import main
from tests.support.small_fleet import ask, refuse

BOATS, MODELS = 12, ("M40", "M60")
PARTS = """part_id,component,engine_model,base,supplier,on_hand,on_order,lead_time_d,unit_cost,pack_size,quantity_per_fit
P1,raw-water pump impeller,,North,Agent,1,0,30,40,,
P1,raw-water pump impeller,,South,Agent,0,0,30,40,,
P2,spark plugs,,,Shop,0,0,10,6,4,4
P3,drive belt,M40;M60,,Shop,2,0,0,25,,
P4,thermostat,M99,,Shop,7,0,20,30,,
P5,moon sail,,,Shop,3,0,20,30,,
"""


def write(folder, name, text):
    (folder / f"{name}.csv").write_text(text)


def tickets(boat):
    """An impeller every year as planned; one belt and one set of plugs fails."""
    lines = [
        f"E{boat},{year}-06-{5 + boat:02d},{(year - 2022) * 200},raw-water pump impeller,renew,planned,sound" for year in range(2023, 2026)
    ]
    failed = [f"E{boat},2025-07-{5 + boat:02d},640,{part},renew,failed,failed" for part in ("drive belt", "spark plugs") if boat % 3 == 0]
    return [*lines, *failed]


def make_records(folder, parts=PARTS):
    """Records of a dozen boats at two bases."""
    folder.mkdir(exist_ok=True)
    boats = range(1, BOATS + 1)
    base = {boat: "North" if boat <= BOATS // 2 else "South" for boat in boats}
    write(folder, "vessels", "vessel_id,base,in_service_on\n" + "".join(f"B{n},{base[n]},2022-04-01\n" for n in boats))
    engines = "".join(f"E{n},B{n},outboard,petrol,{MODELS[n % 2]},2022-04-01\n" for n in boats)
    write(folder, "engines", "engine_id,vessel_id,drive,fuel,engine_model,commissioned_on\n" + engines)
    readings = "".join(f"E{n},{year}-10-01,{(year - 2021) * 200}\n" for n in boats for year in range(2022, 2026))
    write(folder, "hour_readings", "engine_id,read_on,meter_h\n" + readings)
    write(
        folder,
        "service_tickets",
        "engine_id,done_on,meter_h,component,action,reason,finding\n" + "\n".join(line for n in boats for line in tickets(n)),
    )
    fitted = "".join(f"{part},outboard\n" for part in ("raw-water pump impeller", "spark plugs", "drive belt", "thermostat"))
    write(folder, "fitted", "component,drive\n" + fitted)
    write(folder, "plan", "component,every_h,every_months\nraw-water pump impeller,200,12\nspark plugs,,\n")
    write(folder, "costs", "component,planned_cost,failure_cost,currency\nraw-water pump impeller,80,600,EUR\ndrive belt,70,500,EUR\n")
    write(folder, "parts", parts)
    return folder


@pytest.fixture(scope="module")
def shelf(tmp_path_factory):
    """A ledger of those records."""
    folder = tmp_path_factory.mktemp("shelf")
    assert main(["intake", str(make_records(folder / "records")), "--ledger", str(folder / "f.duckdb")]) == 0
    return folder / "f.duckdb"


@pytest.fixture(scope="module")
def season(shelf):
    """The answer for a whole year ahead."""
    return shelf, ["--ledger", shelf, "--horizon", "365d"]


def by_part(told):
    return {(row["part_id"], row["base"]): row for row in told["rows"]}


def test_use_is_told_with_its_distribution_and_what_it_is_for(season, capsys):
    row = by_part(ask(capsys, "stock", *season[1]))[("P1", "North")]
    chances = [step["chance"] for step in row["season_use"]]
    assert chances == sorted(chances)
    assert chances[-1] == pytest.approx(1, abs=0.002)
    sorts = [row[f"{sort}_demand"] for sort in ("failing", "planned", "damage")]
    assert sum(sorts) == pytest.approx(row["mean_demand"])
    assert row["planned_demand"] > row["failing_demand"]
    assert row["mean_demand"] == pytest.approx(BOATS / 2, abs=1.5)
    assert row["last_year_use"] == BOATS / 2


def test_the_day_it_runs_out_comes_by_month_and_by_date(season, capsys):
    row = by_part(ask(capsys, "stock", *season[1]))[("P1", "North")]
    chances = [month["chance"] for month in row["running_out"]]
    assert chances == sorted(chances)
    assert len(chances) == 12
    early, even = row["runs_out_early_on"], row["runs_out_even_on"]
    assert early <= even
    assert all((month["chance"] > 0.5) == (month["on"] >= even) for month in row["running_out"])


def test_the_reorder_point_is_the_smallest_that_keeps_the_level_and_orders_come_in_packs(season, capsys):
    for level in ("0.9", "0.99"):
        for row in ask(capsys, "stock", *season[1], "--service-level", level)["rows"]:
            below = [step["chance"] for step in row["lead_use"] if step["pieces"] < row["reorder_point"]]
            assert all(chance < float(level) for chance in below)
            assert row["order_quantity"] % row["pack_size"] == 0
    plugs = by_part(ask(capsys, "stock", *season[1]))[("P2", None)]
    assert plugs["mean_demand"] > 0
    assert all(step["pieces"] % 4 == 0 for step in plugs["season_use"] if step["chance"] in (0.0, 1.0))


def test_more_money_never_lists_less_and_the_list_of_a_budget_stands_in_the_purchases(season, capsys):
    told = ask(capsys, "stock", *season[1])
    for money in (1, 100, 300):
        rows = ask(capsys, "stock", *season[1], "--budget", money)["rows"]
        bought = [step for step in told["purchases"] if step["part_id"] and step["spend"] <= money + 1e-9]
        assert sum(row["order_quantity"] for row in rows) == sum(step["pieces"] for step in bought)
        assert sum(row["order_cost"] for row in rows) == pytest.approx(sum(step["price"] for step in bought))


def test_plain_rules_are_held_against_the_best_buys(season, capsys):
    lists = {row["list"]: row for row in ask(capsys, "stock", *season[1])["lists"]}
    assert set(lists) == {"two of everything", "what last year took", "wanted level of each part"}
    for row in lists.values():
        assert row["same_money_level"] >= row["service_level"] - 0.02


def test_bases_are_compared_with_one_shelf_for_both(season, capsys, tmp_path):
    (row,) = ask(capsys, "stock", *season[1])["sharing"]
    assert row["pieces_shared"] <= row["pieces_apart"]
    assert row["waiting_added"] is None
    settings = tmp_path / "settings.toml"
    settings.write_text("waiting_cost_per_day = 300\ntransfer_days = 2\n")
    (known,) = ask(capsys, "stock", *season[1], "--settings", settings)["sharing"]
    assert known["waiting_added"] == pytest.approx(known["transfers"] * 600)
    assert known["advice"] in ("share one shelf", "hold at each base")


def test_waiting_is_told_in_money_or_said_not_to_be_known(season, capsys, tmp_path):
    told = by_part(ask(capsys, "stock", *season[1]))
    assert told[("P1", "South")]["waiting_cost_unordered"] > told[("P1", "South")]["waiting_cost"] >= 0
    assert told[("P2", None)]["waiting_cost"] is None
    settings = tmp_path / "settings.toml"
    settings.write_text("waiting_cost_per_day = 300\n")
    assert by_part(ask(capsys, "stock", *season[1], "--settings", settings))[("P2", None)]["waiting_cost"] > 0


def test_odd_parts_get_an_answer_with_its_reason(season, capsys):
    told = ask(capsys, "stock", *season[1])
    rows = by_part(told)
    assert rows[("P4", None)]["obsolete"]
    assert "nothing will ask for it" in rows[("P4", None)]["note"]
    assert "No life of moon sail is known, nor how long it should last" in rows[("P5", None)]["note"]
    assert "Where it is fitted is assumed" in rows[("P5", None)]["note"]
    for part in ("P4", "P5"):
        assert rows[(part, None)]["mean_demand"] == pytest.approx(0, abs=1e-6)
        assert rows[(part, None)]["order_quantity"] == 0
        assert rows[(part, None)]["surplus"] == rows[(part, None)]["on_hand"]
    belt = rows[("P3", None)]
    assert belt["positions"] == BOATS
    assert belt["reorder_point"] == 0
    assert "no lead time" in belt["note"]
    assert {"component": "thermostat", "base": "North", "positions": BOATS // 2} in told["unserved"]


def test_the_part_of_engines_that_are_all_gone_is_obsolete_and_says_since_when(tmp_path, capsys):
    folder = make_records(tmp_path / "records")
    engines = (folder / "engines.csv").read_text().splitlines()
    gone = [f"{line},{'2025-09-30' if 'M40' in line else ''}" for line in engines[1:]]
    (folder / "engines.csv").write_text("\n".join([f"{engines[0]},withdrawn_on", *gone]))
    (folder / "parts.csv").write_text(
        "part_id,component,engine_model,on_hand,lead_time_d,unit_cost\nP1,raw-water pump impeller,M40,4,30,40\n"
    )
    assert main(["intake", str(folder), "--ledger", str(tmp_path / "f.duckdb")]) == 0
    capsys.readouterr()
    (row,) = ask(capsys, "stock", "--ledger", tmp_path / "f.duckdb")["rows"]
    assert row["obsolete"]
    assert "withdrawn, the last on 2025-09-30" in row["note"]


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("P9,drive belt,,,Shop,-2,0,10,25,,", "on_hand: '-2'"),
        ("P9,drive belt,,,Shop,2,-1,10,25,,", "on_order: '-1'"),
        ("P9,drive belt,,,Shop,2,0,,25,,", "lead_time_d: empty"),
        ("P9,drive belt,,,Shop,2,0,-5,25,,", "lead_time_d: '-5'"),
        ("P9,,,,Shop,2,0,5,25,,", "component: empty"),
        ("P9,drive belt,,,Shop,2,0,5,25,0,", "pack_size: '0'"),
        ("P9,drive belt,,,Shop,two,0,5,25,,", "on_hand: 'two'"),
    ],
)
def test_a_part_with_a_fault_is_left_out_with_the_value_and_the_rest_is_stocked(line, said, tmp_path, capsys):
    folder = make_records(tmp_path / "records", PARTS + line + "\n")
    assert main(["intake", str(folder), "--ledger", str(tmp_path / "f.duckdb")]) == 0
    assert said in capsys.readouterr().err
    told = ask(capsys, "stock", "--ledger", tmp_path / "f.duckdb")
    assert "P9" not in {row["part_id"] for row in told["rows"]}
    assert told["left_out"] >= 1


def test_a_component_with_no_life_has_its_reason(tmp_path, capsys):
    parts = "part_id,component,on_hand,lead_time_d,unit_cost\nP1,sterndrive bellows,0,30,40\n"
    folder = make_records(tmp_path / "records", parts)
    (folder / "fitted.csv").write_text("component,drive\nraw-water pump impeller,outboard\nsterndrive bellows,outboard\n")
    (folder / "engines.csv").write_text((folder / "engines.csv").read_text().replace("2022-04-01", "2005-04-01"))
    assert main(["intake", str(folder), "--ledger", str(tmp_path / "f.duckdb")]) == 0
    capsys.readouterr()
    (row,) = ask(capsys, "stock", "--ledger", tmp_path / "f.duckdb")["rows"]
    assert row["note"]
    assert row["mean_demand"] >= 0


@pytest.mark.parametrize(
    ("words", "said"), [(["--budget", "-5"], "'-5'"), (["--service-level", "1.2"], "'1.2'"), (["--horizon", "0d"], "'0d'")]
)
def test_a_budget_level_or_season_that_cannot_be_is_refused(words, said, shelf, capsys):
    with pytest.raises(SystemExit) as ended:
        main(["stock", "--ledger", str(shelf), *words])
    assert ended.value.code == 2
    assert said in capsys.readouterr().err


def test_a_part_filter_that_is_not_known_names_the_nearest(shelf, capsys):
    assert "The nearest is 'drive belt'" in refuse(capsys, 2, "stock", "--ledger", shelf, "--component", "drive blt")
