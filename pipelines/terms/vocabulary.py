"""The tables that say how words were coded, what the codes mean and what people settled, kept beside the accepted records.

In: nothing. Out: `VOCABULARY_TABLES`, in the schema `accepted` of every published copy.
Elsewhere: the built-in lists they start from (`codes`, `components`, `causes`), the coding itself (`intake`).
"""

from pipelines.terms.columns import moment, text, whole, yes_no
from pipelines.terms.derived import DerivedTable

WORDS = DerivedTable(
    "words",
    "one row per code list and word as it was written",
    (
        text("list", "The code list."),
        text("word", "The word as written in the records."),
        text("code", "The code it stands for; uncoded: nobody has said yet."),
        text("how", "own word, catalogue, near miss, settled, mapping or uncoded."),
    ),
)

CATALOGUE_TABLE = DerivedTable(
    "catalogue",
    "one row per component, built in or named by the fleet",
    (
        text("component", "The part."),
        text("label", "How it is written on screens and paper."),
        text("system", "System it belongs to."),
        text("carried_by", "Engine (moves with it) or vessel."),
        yes_no("safety", "Its failure can hurt someone: never run to failure."),
        yes_no("hidden", "Its failure shows only when it is needed or tested."),
        yes_no("wear_visible", "Wear can be seen or measured before it fails."),
        yes_no("crew_can_fit", "A crew can change it afloat, safely."),
        text("clock", "h engine hours, m months, hm whichever comes first, c condition only."),
        text("drives", "Drives that have it by default, ; between; empty: any."),
        text("fuels", "Fuels that have it by default, ; between; empty: any."),
        yes_no("in_catalogue", "It is, or renames, a part of the built-in catalogue."),
        yes_no("named", "The fleet's own records name it."),
    ),
)

CAUSE_TREE = DerivedTable(
    "cause_tree",
    "one row per cause",
    (
        text("cause", "The cause."),
        text("system", "System it belongs to."),
        text("remedy", "What would have prevented it."),
        text("component", "The part it names; empty: none is at fault."),
        text("effect", "failure, outside damage or goes on: what it does to that part's life."),
    ),
)

SETTLED_PAIRS = DerivedTable(
    "settled_pairs",
    "one row per call and ticket line of which a person said whether they are one breakdown",
    (
        whole("call_row_id", "row", "The call."),
        whole("ticket_row_id", "row", "The ticket line."),
        yes_no("same", "One breakdown; no: never matched."),
        text("settled_by", "Who said so."),
        moment("settled_at", "When (UTC)."),
        text("because", "Why."),
    ),
)

SETTLED_ROWS = DerivedTable(
    "settled_rows",
    "one row per row and column that a person gave a code, because the row came without",
    (
        whole("row_id", "row", "The row."),
        text("kind", "Its record kind."),
        text("column", "The column."),
        text("code", "The code a person gave it."),
        text("settled_by", "Who said so."),
        moment("settled_at", "When (UTC)."),
    ),
)

VOCABULARY_TABLES: dict[str, DerivedTable] = {
    table.name: table for table in (WORDS, CATALOGUE_TABLE, CAUSE_TREE, SETTLED_PAIRS, SETTLED_ROWS)
}
