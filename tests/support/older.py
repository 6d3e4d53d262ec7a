"""Ledgers as the first release made them, filled by plain SQL and not by anything of this program."""

from pathlib import Path

import duckdb

LAYOUT_1 = Path(__file__).parents[1] / "ledger" / "layout_1.sql"

FILLED = """
insert into received.state values (1, 3, '2025-04-01 08:00:00');
insert into received.imports values (1, 'A. Tester', '2025-04-01 08:00:00', '[words]', null, null), (2, null, '2025-05-01 08:00:00', null, 'A. Tester', '2025-05-02');
insert into received.files values (1, 1, 'boats.csv', null, 'aa', 'vessels', '["vessel_id","name"]', {rows} + 1), (2, 2, 'more.csv', null, 'bb', 'vessels', '[]', 1);
insert into received.rows select n, 1, 1, n + 1, 'vessels', 'W' || n || ',name ' || n, n, n, 'accepted' from range(1, {rows} + 1) r(n);
insert into received.rows values ({rows} + 1, 1, 1, {rows} + 2, 'vessels', ',nobody', null, null, 'left_out'), ({rows} + 2, 2, 2, 2, 'vessels', 'W1,other', 1, 7, 'undone');
insert into received.faults values ({rows} + 1, 'vessel_id', null, 'boats.csv, the last line, vessel_id: empty. Name the boat.');
insert into held.vessels (row_id, vessel_id, name, tank_l) select n, 'W' || n, 'name ' || n, 90.5 from range(1, {rows} + 1) r(n);
insert into received.settled_words values ('component', 'imp.', 'raw-water pump impeller', 'A. Tester', '2025-04-02');
"""  # noqa: E501


def older_ledger(path: Path, rows: int = 3) -> Path:
    """Make a ledger of layout 1 with so many boats, a row left out, an import undone and a word settled."""
    with duckdb.connect(str(path)) as made:
        made.execute(LAYOUT_1.read_text(encoding="utf-8"))
        made.execute(FILLED.format(rows=rows))
    return path
