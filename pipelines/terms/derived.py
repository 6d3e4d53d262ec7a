"""The tables made from records: their columns, units and meanings, each said once.

In: nothing. Out: `DERIVED_TABLES` (made by one SQL file each in `lives`) and `ESTIMATE_TABLES` (made by `fits` and `advice`).
Elsewhere: the tables that come in (`tables`).
"""

from dataclasses import dataclass

from pipelines.terms.columns import Column, date, number, text, whole, yes_no


@dataclass(frozen=True)
class DerivedTable:
    """One table that is made, never written by a person.

    Attributes
    ----------
    name
        Table in the schema `derived`.
    grain
        What one row is.
    columns
        In order.
    """

    name: str
    grain: str
    columns: tuple[Column, ...]


_ENGINE = text("engine_id", "The engine; empty for a part the boat carries.")
_VESSEL = text("vessel_id", "The boat.")
_COMPONENT = text("component", "The part.")
_POSITION = text("position", "Which of several like parts; empty: there is one.")
_GROUPS = (
    text("engine_model", "Model of the engine."),
    text("drive", "Outboard, inboard or sterndrive."),
    text("fuel", "Petrol, diesel or electric."),
    text("base", "The base the boat works from."),
    text("vessel_class", "Group of like boats."),
    text("water", "Fresh, brackish or salt."),
)

PARAMETERS = DerivedTable(
    "parameters",
    "one row",
    (
        date("as_of", "Last day that is known; running parts are suspended here."),
        number("condition_fraction", "share", "A part renewed on condition at age x would have failed between x and x over this."),
        whole("match_days", "days", "A ticket up to this many days after a call can be of the same breakdown."),
    ),
)

ENGINE_PLACES = DerivedTable(
    "engine_places",
    "one row per stay of an engine on a boat",
    (
        text("engine_id", "The engine."),
        _VESSEL,
        text("place", "Where it sits."),
        date("from_on", "First day there."),
        date("to_on", "Day it left; empty: still there."),
    ),
)

CLEAN_HOURS = DerivedTable(
    "clean_hours",
    "one row per engine and day with a trusted reading",
    (
        text("engine_id", "The engine."),
        date("on_date", "Day of the reading."),
        number("hours", "engine hours", "Since commissioning, added up across meter changes."),
        text("source", "commissioned, reading, ticket or call."),
        whole("row_id", "row", "The row it came from; empty for commissioning."),
    ),
)

HOURS_SET_ASIDE = DerivedTable(
    "hours_set_aside",
    "one row per reading that was not believed",
    (
        text("engine_id", "The engine."),
        date("on_date", "Day of the reading."),
        number("meter_h", "engine hours", "What was written."),
        text("reason", "Why it was set aside."),
        whole("row_id", "row", "The row it came from."),
        text("source", "reading, ticket or call: where it was written."),
        date("before_on", "Day of the last believed reading of that meter before it; empty: none."),
        number("before_h", "engine hours", "What the meter showed then."),
        date("after_on", "Day of the first believed reading of that meter after it; empty: none."),
        number("after_h", "engine hours", "What the meter showed then."),
        number("believed_meter_h", "engine hours", "What it would have shown, on the line between the two; empty: not between two."),
        text("looks_like", "The slip, where it can be told; empty: it cannot."),
    ),
)

HOURS_AT = DerivedTable(
    "hours_at",
    "one row per engine and day on which its hours are needed",
    (
        text("engine_id", "The engine."),
        date("on_date", "Day of a ticket, a call, a move, the first of a month, or the last day known."),
        number("hours", "engine hours", "Since commissioning; empty: unknown."),
        text("source", "same-day reading, trips, interpolated or beyond readings; empty: unknown."),
    ),
)

ENGINE_MONTHS = DerivedTable(
    "engine_months",
    "one row per engine, boat and calendar month in which calls are watched",
    (
        text("engine_id", "The engine."),
        _VESSEL,
        date("month", "First day of the month."),
        number("days", "days", "Days of the month that were watched."),
        number("engine_h", "engine hours", "Run in those days; empty where hours are unknown."),
        *_GROUPS,
    ),
)

ENGINE_USE = DerivedTable(
    "engine_use",
    "one row per engine and month of the year (1 to 12)",
    (
        text("engine_id", "The engine."),
        whole("month_of_year", "month", "1 January to 12 December."),
        number("hours_per_day", "engine hours per day", "Expected, from the engine's own record; its base's where it has none."),
    ),
)

POSITIONS = DerivedTable(
    "positions",
    "one row per part as fitted in one place, whether or not a ticket names it",
    (
        _ENGINE,
        _VESSEL,
        _COMPONENT,
        _POSITION,
        text("carried_by", "engine or vessel."),
        text("hours_engine_id", "Engine whose hours the part lives on; empty: months only."),
        yes_no("assumed", "From the catalogue's defaults or a ticket, not from the fleet's own `fitted` records."),
        *_GROUPS,
        text("source", "fitted, catalogue or ticket: what says that it is there."),
    ),
)

MATCHES = DerivedTable(
    "matches",
    "one row per rescue call with the ticket line of the same breakdown, if any",
    (
        whole("call_row_id", "row", "The call."),
        whole("ticket_row_id", "row", "The ticket line; empty: none."),
        number("score", "0 to 1", "How well they fit."),
        text("certainty", "certain, doubtful or none."),
    ),
)

DOUBTFUL_PAIRS = DerivedTable(
    "doubtful_pairs",
    "one row per rescue call and ticket line that may be one breakdown, for a person to say",
    (
        whole("call_row_id", "row", "The call."),
        whole("ticket_row_id", "row", "The ticket line."),
        _VESSEL,
        text("call_engine_id", "The engine the call is about; empty: not known."),
        text("ticket_engine_id", "The engine the ticket is about; empty: not known."),
        date("called_on", "Day of the call."),
        date("done_on", "Day of the job."),
        whole("days", "days", "From call to job."),
        text("symptom", "What the caller saw; empty: not said."),
        text("call_cause", "Cause by the call; empty: not said."),
        text("call_component", "Part by the call; empty: not said."),
        text("outcome", "How the call ended."),
        text("component", "The part that was worked on."),
        text("work", "What was done to it; renew, or the ticket's action."),
        text("reason", "Why, by the ticket."),
        text("finding", "What was found, by the ticket."),
        number("score", "0 to 1", "How well they fit."),
        text("doubt", "Why it is not sure."),
    ),
)

CALLS = DerivedTable(
    "calls",
    "one row per rescue call, the same call logged twice counted once",
    (
        whole("row_id", "row", "The call's row."),
        text("call_id", "The call."),
        _VESSEL,
        text("engine_id", "The engine, named or the boat's only one; empty: not known."),
        date("called_on", "Day of the call."),
        date("month", "First day of that month."),
        number("engine_h", "engine hours", "Since commissioning, at the call; empty: unknown."),
        text("symptom", "What the caller saw; unknown, uncoded or a code."),
        text("cause", "What the yard found; unknown, uncoded or a code."),
        text("system", "System of the cause."),
        text("remedy", "What would have prevented it."),
        text("component", "The part, from the call or its matched ticket; empty: none."),
        text("outcome", "How it ended."),
        number("downtime_h", "hours", "Time the boat could not be used."),
        number("cost", "money", "Tow, refund and lost hire."),
        *_GROUPS,
    ),
)

LIVES = DerivedTable(
    "lives",
    "one row per stay of one part in one position",
    (
        text("life_id", "Made from carrier, component, position and the day it began."),
        _ENGINE,
        _VESSEL,
        _COMPONENT,
        _POSITION,
        date("began_on", "Day it was fitted."),
        date("ended_on", "Day it ended, or the last day known."),
        number("entry_h", "engine hours", "Age when it came under observation; 0: seen from new."),
        number("low_h", "engine hours", "Age it surely reached; empty: hours unknown."),
        number("high_h", "engine hours", "Age by which it had failed; equal to low: failed there; empty: had not failed."),
        number("entry_months", "months", "Age when it came under observation."),
        number("low_months", "months", "Age it surely reached."),
        number("high_months", "months", "Age by which it had failed; empty: had not failed."),
        text("ending", "failed, found failed, planned, condition, opportunistic, outside damage, withdrawn or running."),
        yes_no("doubtful", "Rests on a doubtful match, a lost ticket or a reason not given."),
        text("cause", "Cause of the failure, where coded."),
        number("began_h", "engine hours", "Engine hours at fitting; empty: unknown."),
        text(
            "hours_source",
            "Where the hours at the end came from: own meter, same-day reading, trips, interpolated, beyond readings; empty: unknown.",
        ),
        *_GROUPS,
    ),
)

LIFE_EVIDENCE = DerivedTable(
    "life_evidence",
    "one row per life and record row that made it",
    (
        text("life_id", "The life."),
        whole("row_id", "row", "A row it came from."),
        text("part_played", "began, ended, sound finding, call or entry."),
    ),
)

LEFT_OUT_OF_LIVES = DerivedTable(
    "left_out_of_lives",
    "one row per position, row or life that could not be used, with its reason",
    (
        _ENGINE,
        _VESSEL,
        _COMPONENT,
        _POSITION,
        text("reason", "Why it was left out."),
        whole("row_id", "row", "The row, where one is to blame."),
    ),
)

FITTED_NOW = DerivedTable(
    "fitted_now",
    "one row per position of an engine or boat that is still here",
    (
        _ENGINE,
        _VESSEL,
        _COMPONENT,
        _POSITION,
        text("carried_by", "engine or vessel."),
        text("hours_engine_id", "Engine whose hours the part lives on; empty: months only."),
        date("fitted_on", "Day the part that is in there now was fitted; empty: not known."),
        number("age_h", "engine hours", "Its age on the last day known; empty: unknown."),
        number("age_months", "months", "Its age on the last day known; empty: unknown."),
        yes_no("down", "Found failed and not renewed yet."),
        *_GROUPS,
    ),
)

DERIVED_TABLES: dict[str, DerivedTable] = {
    table.name: table
    for table in (
        PARAMETERS,
        ENGINE_PLACES,
        CLEAN_HOURS,
        HOURS_SET_ASIDE,
        HOURS_AT,
        ENGINE_MONTHS,
        ENGINE_USE,
        POSITIONS,
        MATCHES,
        DOUBTFUL_PAIRS,
        CALLS,
        LIVES,
        LIFE_EVIDENCE,
        LEFT_OUT_OF_LIVES,
        FITTED_NOW,
    )
}
