"""Which tables are shown beneath the rows of an answer, each with its heading and columns.

In: nothing. Out: `SECTIONS` by verb or listing, then by what stands beside the rows.
Elsewhere: the rows themselves (`listings`), how a table is written (`text_table`).
"""

from pipelines.exports.shown import WHOLE, Shown, limits, one

SECTIONS: dict[str, dict[str, tuple[str, tuple[Shown, ...]]]] = {
    "stock": {
        "lists": (
            "Plain rules against the best buys: share of the season's renewals that find their part",
            (
                one("list", "rule"),
                one("spend", "costs", 2),
                one("service_level", "finds", 3),
                one("same_money_level", "best buys for that money", 3),
                one("same_service_spend", "best buys for that service", 2),
            ),
        ),
        "sharing": (
            "One shelf for several bases instead of one at each",
            (
                one("part_id", "part"),
                one("component", "component"),
                one("shelf_at", "shelf at"),
                one("pieces_apart", "pieces apart"),
                one("pieces_shared", "shared"),
                one("advice", "advice"),
                one("reason", "because"),
            ),
        ),
        "unserved": (
            "Positions that no part on the shelf is for",
            (one("component", "component"), one("base", "base"), one("positions", "positions")),
        ),
    },
    "look_over": {
        "columns": (
            "Your columns, and what each is taken for",
            (
                one("file", "file"),
                one("sheet", "sheet"),
                one("kind", "read as"),
                one("yours", "your column"),
                one("ours", "is"),
                one("settled", "read with"),
                one("example", "such as"),
            ),
        ),
        "left_out_rows": ("Rows that would be left out", (one("file", "file"), one("line", "line"), one("reason", "because"))),
        "words": (
            "Words nobody knows yet (uncoded), and near misses",
            (one("file", "file"), one("list", "of"), one("word", "word"), one("code", "taken as"), one("rows", "rows")),
        ),
    },
    "due": {
        "tied_up": (
            "Boats that should stay tied up until a person has looked (a licensed technician decides whether a boat may go out)",
            (
                one("vessel_id", "boat"),
                one("since", "since"),
                one("jobs", "jobs"),
                Shown("why, the gravest first", ("reason",), widest=WHOLE),
            ),
        ),
        "week_totals": (
            "The yard's weeks (each begins on the Monday told)",
            (
                one("week", "week"),
                one("jobs", "jobs"),
                one("labour_h", "hours", 1),
                one("slipped", "slipped from an earlier week"),
                one("past_ceiling", "past what must be kept"),
            ),
        ),
        "does_not_fit": (
            "What does not fit in its week",
            (
                one("vessel_id", "boat"),
                one("engine_id", "engine"),
                one("component", "component"),
                one("task", "task"),
                one("labour_h", "hours", 1),
                one("week", "week"),
                Shown("what happens", ("note",), widest=WHOLE),
            ),
        ),
    },
    "backtest": {
        "totals": (
            "Failures of a whole season",
            (
                one("season", "season"),
                one("until", "up to"),
                one("expected", "foretold", 1),
                limits("low", "high", "90 % range"),
                one("actual", "came"),
            ),
        ),
        "by_base": (
            "By base: share of ranges that held; log score of the forecast and of a plain count, nearer 0 is better",
            (
                one("base", "base"),
                one("expected", "foretold", 1),
                one("actual", "came"),
                one("covered", "held", 2),
                one("log_score", "log score", 2),
                one("naive_log_score", "plain count", 2),
            ),
        ),
        "advice_cost": (
            "Money a year at the advice of each season's start and at what was in force, by what is believed today",
            (one("season", "season"), one("advised_cost", "advice"), one("done_cost", "in force"), one("saving", "saving")),
        ),
        "adopted": (
            "Failures before and after an interval was adopted (a hint, no proof: after a bad spell things get better by themselves)",
            (
                one("component", "component"),
                one("base", "base"),
                one("adopted_on", "adopted"),
                one("before", "before"),
                one("before_years", "part-years", 1),
                one("after", "after"),
                one("after_years", "part-years", 1),
                one("ratio", "ratio", 2),
                limits("low", "high", "limits", 2),
            ),
        ),
    },
    "kit": {
        "of_types": (
            "Tows a boat and season, and how many of them the kit could spare",
            (
                one("boat_type", "type of boat"),
                one("boats", "boats"),
                one("calls", "calls counted"),
                one("tows", "tows", 2),
                one("tows_stopped", "spared", 2),
                one("share_stopped", "share", 2),
                one("spend", "price", 2),
                one("weight_kg", "known kg", 2),
            ),
        ),
        "uncovered": (
            "What no kit covers, and what covers it instead",
            (
                one("boat_type", "type of boat"),
                one("fault", "fault"),
                one("tows", "tows", 3),
                one("share", "share", 2),
                one("why_not", "why not"),
                one("covered_by", "instead"),
            ),
        ),
    },
    "records": {
        "imports": (
            "Imports",
            (
                one("import_id", "import"),
                one("taken_by", "taken in by"),
                one("taken_at", "when (UTC)"),
                one("undone_by", "undone by"),
                one("undone_at", "undone (UTC)"),
                one("rows_in", "rows in"),
                one("accepted", "accepted"),
                one("files", "files"),
                one("sha256", "hashes of the files"),
            ),
        ),
        "uncoded": (
            "Words that nobody has given a code yet",
            (one("list", "list"), one("word", "word"), one("rows", "rows")),
        ),
        "near_misses": (
            "Words taken for a near one, to be looked over",
            (one("list", "list"), one("word", "word"), one("code", "taken for")),
        ),
        "left_out_of_lives": (
            "Accepted, and in no life",
            (one("rows", "rows"), one("reason", "reason")),
        ),
    },
}
"""{verb: {key beside the rows: (heading, columns)}}: what else is shown below the rows of a verb."""
