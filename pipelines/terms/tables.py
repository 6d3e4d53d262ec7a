"""The record kinds that come in: their columns, keys and meanings, each said once.

In: nothing. Out: `RECORD_KINDS`, one `RecordKind` a kind of the contract. The ledger's tables, the intake checks, the
glossary and the export headers are made from them.
Elsewhere: the tables made from records (`derived`), the words a coded column may hold (`codes`).
"""

from dataclasses import dataclass

from pipelines.terms.columns import Column, date, moment, number, text, whole, yes_no


@dataclass(frozen=True)
class RecordKind:
    """One kind of record that is taken in.

    Attributes
    ----------
    name
        As in `--as KIND`.
    grain
        What one row is.
    columns
        In the order of the contract.
    key
        Columns that identify a row when all that are required of them are filled; empty: the whole row is the key.
    made_id
        Column that is made from file and line when it is absent; empty: none.
    """

    name: str
    grain: str
    columns: tuple[Column, ...]
    key: tuple[str, ...] = ()
    made_id: str = ""

    @property
    def column_names(self) -> tuple[str, ...]:
        """Names in order."""
        return tuple(column.name for column in self.columns)

    def column(self, name: str) -> Column:
        """Return the column called `name`; `KeyError` if there is none."""
        return {column.name: column for column in self.columns}[name]


VESSEL_ID = text("vessel_id", "The boat.")
ENGINE_ID = text("engine_id", "The engine.")
COMPONENT = text("component", "The part, as a trade word.", required=True, coded_as="component")
ENGINE_MODEL = text("engine_model", "Model of the engine; as a condition, empty means any.")
BASE = text("base", "The base the boat works from.")


def _needed(column: Column) -> Column:
    return text(column.name, column.meaning, required=True, coded_as=column.coded_as)


VESSELS = RecordKind(
    "vessels",
    "one row per boat",
    (
        _needed(VESSEL_ID),
        text("name", "What the boat is called."),
        text("vessel_class", "Group of like boats in the hire list."),
        BASE,
        text("water", "Water it lies in.", coded_as="water"),
        text("bottom", "Bottom it works over.", coded_as="bottom"),
        number("tank_l", "litres", "Fuel tank."),
        date("in_service_on", "First day in service."),
        date("withdrawn_on", "Day it left the fleet; empty: still here."),
        date("tickets_from_on", "Service tickets of this boat exist from this day on."),
        date("calls_from_on", "Rescue calls of this boat exist from this day on."),
    ),
    key=("vessel_id",),
)

ENGINES = RecordKind(
    "engines",
    "one row per engine",
    (
        _needed(ENGINE_ID),
        _needed(VESSEL_ID),
        text("place", "Where it sits: single, port, starboard.", coded_as="place"),
        text("drive", "Outboard, inboard or sterndrive.", coded_as="drive"),
        text("fuel", "Petrol, diesel or electric.", coded_as="fuel"),
        ENGINE_MODEL,
        number("power_kw", "kW", "Rated power."),
        date("commissioned_on", "Day it was first put to use.", required=True),
        number("commissioned_h", "engine hours", "Meter reading that day; empty: 0."),
        date("withdrawn_on", "Day it left the fleet; empty: still here."),
        number("planned_h_next_season", "engine hours", "Use planned for the next season."),
    ),
    key=("engine_id",),
)

ENGINE_MOVES = RecordKind(
    "engine_moves",
    "one row per move of an engine to a boat",
    (
        _needed(ENGINE_ID),
        _needed(VESSEL_ID),
        text("place", "Where it sits there.", coded_as="place"),
        date("moved_on", "First day on that boat.", required=True),
    ),
)

COMPONENTS = RecordKind(
    "components",
    "one row per component that is added to the catalogue or overrides it",
    (
        COMPONENT,
        text("label", "How it is written on screens and paper."),
        text("carried_by", "Engine (moves with it) or vessel.", coded_as="carried_by"),
        yes_no("safety", "Its failure can hurt someone: never run to failure."),
        yes_no("hidden", "Its failure shows only when it is needed or tested."),
        yes_no("wear_visible", "Wear can be seen or measured before it fails."),
        yes_no("crew_can_fit", "A crew can change it afloat, safely."),
        number("weight_kg", "kg", "One spare."),
    ),
    key=("component",),
)

FITTED = RecordKind(
    "fitted",
    "one row per rule saying which engines or boats have a component",
    (
        COMPONENT,
        text("drive", "Only on this drive.", coded_as="drive"),
        text("fuel", "Only with this fuel.", coded_as="fuel"),
        ENGINE_MODEL,
        text("engine_id", "Only on this engine."),
        text("vessel_class", "Only on this class."),
        text("vessel_id", "Only on this boat."),
        text("positions", "Positions with ; between; empty: one."),
    ),
)

HOUR_READINGS = RecordKind(
    "hour_readings",
    "one row per reading of an hour meter",
    (
        _needed(ENGINE_ID),
        date("read_on", "Day it was read.", required=True),
        number("meter_h", "engine hours", "What the meter showed (the new meter, if it was changed).", required=True),
        yes_no("meter_changed", "The meter was replaced or reset that day."),
        number("old_meter_h", "engine hours", "Last reading of the old meter."),
    ),
)

SERVICE_TICKETS = RecordKind(
    "service_tickets",
    "one row per line of a service ticket",
    (
        text("ticket_id", "The ticket."),
        text("line_no", "Line on the ticket."),
        ENGINE_ID,
        VESSEL_ID,
        text("place", "Which engine of that boat.", coded_as="place"),
        date("done_on", "Day the work was done.", required=True),
        number("meter_h", "engine hours", "Hour meter that day."),
        COMPONENT,
        text("position", "Which of several like parts."),
        text("action", "What was done.", required=True, coded_as="action"),
        text("reason", "Why it was done.", coded_as="reason"),
        text("finding", "What was found.", coded_as="finding"),
        text("cause", "Why it failed, if it did.", coded_as="cause"),
        number("labour_h", "hours", "Labour."),
        number("parts_cost", "money", "Parts."),
        number("downtime_h", "hours", "Time the boat could not be used."),
        text("done_by", "Who did it, as the yard writes it."),
        text("batch", "Batch of the part."),
        yes_no("warranty", "Done under warranty."),
        text("notes", "Free text."),
    ),
    key=("ticket_id", "line_no"),
    made_id="ticket_id",
)

RESCUE_CALLS = RecordKind(
    "rescue_calls",
    "one row per call for help",
    (
        text("call_id", "The call."),
        _needed(VESSEL_ID),
        ENGINE_ID,
        moment("called_at", "When the call came.", required=True),
        number("meter_h", "engine hours", "Hour meter then."),
        text("symptom", "What the caller saw.", coded_as="symptom"),
        text("cause", "What the yard found.", coded_as="cause"),
        text("component", "The part that failed.", coded_as="component"),
        text("outcome", "How it ended: fixed aboard, towed.", coded_as="outcome"),
        number("downtime_h", "hours", "Time the boat could not be used."),
        number("cost", "money", "Tow, refund and lost hire."),
        text("notes", "Free text."),
    ),
    key=("call_id",),
    made_id="call_id",
)

TRIPS = RecordKind(
    "trips",
    "one row per trip",
    (
        text("trip_id", "The trip."),
        _needed(VESSEL_ID),
        moment("out_at", "When it left.", required=True),
        moment("back_at", "When it came back."),
        number("engine_h", "engine hours", "Run on the trip."),
        number("fuel_l", "litres", "Fuel used."),
        number("distance_nm", "nautical miles", "Distance."),
    ),
    key=("trip_id",),
    made_id="trip_id",
)

PARTS = RecordKind(
    "parts",
    "one row per stocked part and base",
    (
        text("part_id", "The part on the shelf.", required=True),
        COMPONENT,
        ENGINE_MODEL,
        BASE,
        text("supplier", "Who it is ordered from."),
        whole("on_hand", "pieces", "On the shelf.", required=True),
        whole("on_order", "pieces", "Ordered, not yet here."),
        number("lead_time_d", "days", "From order to shelf.", required=True),
        number("unit_cost", "money", "One piece.", required=True),
        whole("pack_size", "pieces", "Sold in packs of; empty: 1.", low=1.0),
        number("quantity_per_fit", "pieces", "Used at one renewal; empty: 1."),
    ),
    key=("part_id", "base"),
)

COSTS = RecordKind(
    "costs",
    "one row per component",
    (
        COMPONENT,
        number("planned_cost", "money per position", "A planned renewal without the visit: part, labour.", required=True),
        number("failure_cost", "money per position", "A failure: part, labour, tow, refund, lost hire.", required=True),
        number("visit_cost", "money", "A visit, whatever is done on it."),
        text("currency", "ISO 4217 code."),
    ),
    key=("component",),
)

LIMITS = RecordKind(
    "limits",
    "one row per component, task and engine model",
    (
        COMPONENT,
        text("task", "Renew, inspect or test.", required=True, coded_as="task"),
        ENGINE_MODEL,
        number("max_h", "engine hours", "Longest allowed interval."),
        number("max_months", "months", "Longest allowed interval."),
        yes_no("binding", "Must be kept; empty: yes."),
        text("approval_note", "Written approval to pass a limit that is not binding."),
        number("expected_life_h", "engine hours", "Life the maker or peers expect."),
        number("expected_life_months", "months", "Life the maker or peers expect."),
        text("source_note", "Where the limit stands."),
    ),
    key=("component", "task", "engine_model"),
)

PLAN = RecordKind(
    "plan",
    "one row per adopted interval; the latest of a component, task, model and base is in force",
    (
        COMPONENT,
        text("task", "Renew, inspect or test; empty: renew.", coded_as="task"),
        ENGINE_MODEL,
        BASE,
        number("every_h", "engine hours", "Interval."),
        number("every_months", "months", "Interval; both empty: only when it fails."),
        date("adopted_on", "Day it was adopted."),
        text("adopted_by", "Who adopted it."),
        text("reason", "Why."),
    ),
)

RECORD_KINDS: dict[str, RecordKind] = {
    kind.name: kind
    for kind in (
        VESSELS,
        ENGINES,
        ENGINE_MOVES,
        COMPONENTS,
        FITTED,
        HOUR_READINGS,
        SERVICE_TICKETS,
        RESCUE_CALLS,
        TRIPS,
        PARTS,
        COSTS,
        LIMITS,
        PLAN,
    )
}
