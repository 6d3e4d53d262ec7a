"""The tables of the data package: what one row is, every column with unit and meaning, keys, and what a cell may be; said once.

In: nothing. Out: `PACKAGE_TABLES`. The descriptor, the dictionary for people and the screen that takes figures away are made from them.
Elsewhere: the columns of the answers (`answers`), the tables made of the records (`derived`), the standard's columns (`exchange_codes`).
"""

from dataclasses import dataclass

from pipelines.terms.answers import (
    COMPONENT,
    DUE,
    ENGINE_ID,
    FITS,
    INTERVALS,
    LIVES,
    RATES,
    STOCK,
    VESSEL_ID,
    Kind,
    Told,
)
from pipelines.terms.columns import Column, ColumnType
from pipelines.terms.derived import CALLS, ENGINE_MONTHS, LIFE_EVIDENCE
from pipelines.terms.exchange_codes import FROM_MEMORY, MECHANISM_GROUPS

VERDICTS = (
    "renew at interval",
    "renew on condition",
    "run to failure, keep a spare",
    "keep the maker's interval",
    "improve the fitting",
    "test for hidden failure",
    "too little to say",
)
ENDINGS = ("failed", "found failed", "planned", "condition", "opportunistic", "outside damage", "withdrawn", "running")
WHOLE_FLEET = "whole fleet"

_KINDS = {
    ColumnType.TEXT: Kind.WORD,
    ColumnType.DATE: Kind.DAY,
    ColumnType.NUMBER: Kind.FIGURE,
    ColumnType.WHOLE: Kind.COUNT,
    ColumnType.YES_NO: Kind.YES_NO,
}


@dataclass(frozen=True)
class Reference:
    """Columns of a table whose words stand in the key columns of another; a row where they are empty refers to nothing."""

    columns: tuple[str, ...]
    table: str
    keys: tuple[str, ...]


@dataclass(frozen=True)
class PackageTable:
    """One table of the package.

    Attributes
    ----------
    name
        Of its files, and of the resource.
    title
        In plain words.
    grain
        What one row is.
    columns
        In order.
    key
        Columns that are filled in every row and tell it from every other.
    references
        To other tables of the package.
    """

    name: str
    title: str
    grain: str
    columns: tuple[Told, ...]
    key: tuple[str, ...]
    references: tuple[Reference, ...] = ()

    @property
    def names(self) -> list[str]:
        """Names of the columns, in order."""
        return [told.name for told in self.columns]


def _word(name: str, meaning: str) -> Told:
    return Told(name, Kind.WORD, "", meaning)


def _figure(name: str, unit: str, meaning: str) -> Told:
    return Told(name, Kind.FIGURE, unit, meaning)


def _count(name: str, unit: str, meaning: str) -> Told:
    return Told(name, Kind.COUNT, unit, meaning)


def _told(column: Column) -> Told:
    return Told(column.name, _KINDS[column.type], column.unit, column.meaning)


def _of(columns: tuple[Told, ...], *left: str) -> tuple[Told, ...]:
    return tuple(told for told in columns if told.name not in left)


GROUP_NAME = _word("group_name", f"The group in a word, such as engine_model: TP-20; '{WHOLE_FLEET}' where rows are not grouped.")
MODE = _word("iso_failure_mode", f"How it shows, in the words of ISO 14224; {FROM_MEMORY}.")
MECHANISM = (
    _word("iso_mechanism_group", "Group of failure mechanisms by ISO 14224; which group a cause belongs to is our reading."),
    _word("iso_failure_mechanism", f"What happened in the part, in the words of ISO 14224; {FROM_MEMORY}."),
    _word("iso_failure_cause", f"Why, in the words of ISO 14224; {FROM_MEMORY}."),
)
DETECTION = _word("iso_detection_method", f"How it was noticed, in the words of ISO 14224; {FROM_MEMORY}.")
ACTIVITY = _word("iso_maintenance_activity", f"What was done, in the words of ISO 14224; {FROM_MEMORY}.")

_TO_PART = Reference(("component",), "components", ("component",))
_TO_BOAT = Reference(("vessel_id",), "boats", ("vessel_id",))
_TO_ENGINE = Reference(("engine_id",), "engines", ("engine_id",))

_QUANTITIES = (
    ("shape", "", "Shape"),
    ("scale", "hours or months", "Age by which 63.2 % have failed,"),
    ("b10", "hours or months", "Age by which 10 % have failed,"),
)
_ENDS = (("", ""), ("_low", ", lower limit"), ("_high", ", upper limit"))
_BELIEVED = (
    *(
        _figure(f"posterior_{quantity}{end}", unit, f"{meaning} after prior and data{said}.")
        for quantity, unit, meaning in _QUANTITIES
        for end, said in _ENDS
    ),
    _figure("posterior_level", "0 to 1", "Level of the limits after prior and data."),
)

_GROUPS = tuple(_told(column) for column in ENGINE_MONTHS.columns if column.name in ("drive", "fuel", "vessel_class", "water"))

_TABLES = (
    PackageTable(
        "components",
        "Parts",
        "one row per part that any other table names",
        (
            COMPONENT,
            _word("label", "What it is called in print."),
            _word("system", "System of the engine or boat it belongs to."),
            _word("carried_by", "engine or vessel."),
            Told("safety", Kind.YES_NO, "yes or no", "Its failure can hurt someone."),
            Told("hidden", Kind.YES_NO, "yes or no", "Its failure shows only when it is needed or tested."),
            Told("wear_visible", Kind.YES_NO, "yes or no", "Wear can be seen before it fails."),
            Told("crew_can_fit", Kind.YES_NO, "yes or no", "A crew can fit it afloat."),
        ),
        ("component",),
    ),
    PackageTable(
        "causes",
        "Causes and symptoms, and the same by ISO 14224",
        "one row per code of a list, in our words and in the standard's columns",
        (
            _word("list", "Which list of ours: symptom, cause, ending, action or finding."),
            _word("code", "Our code."),
            _word("system", "System of a cause."),
            _word("remedy", "What would have prevented a cause, the primary one."),
            _word("component", "The part a cause names; empty: none is at fault."),
            MODE,
            *MECHANISM,
            DETECTION,
            ACTIVITY,
            _word("iso_basis", "What the standard's words rest on."),
        ),
        ("list", "code"),
        (_TO_PART,),
    ),
    PackageTable(
        "boats",
        "Boats",
        "one row per boat that any other table names",
        (
            VESSEL_ID,
            _word("vessel_class", "Group of like boats."),
            _word("base", "The base it works from."),
            _word("water", "Fresh, brackish or salt."),
            _word("bottom", "Clear or silty."),
            Told("in_service_on", Kind.DAY, "date", "First day in service."),
            Told("withdrawn_on", Kind.DAY, "date", "Day it left the fleet; empty: still there."),
            Told("tickets_from_on", Kind.DAY, "date", "Service tickets exist from here on."),
            Told("calls_from_on", Kind.DAY, "date", "Rescue calls exist from here on."),
        ),
        ("vessel_id",),
    ),
    PackageTable(
        "engines",
        "Engines",
        "one row per engine that any other table names",
        (
            ENGINE_ID,
            _word("engine_model", "Model of the engine."),
            _word("drive", "Outboard, inboard or sterndrive."),
            _word("fuel", "Petrol, diesel or electric."),
            _figure("power_kw", "kW", "Rated power."),
            Told("commissioned_on", Kind.DAY, "date", "First day in use."),
            Told("withdrawn_on", Kind.DAY, "date", "Day it was withdrawn; empty: still in use."),
        ),
        ("engine_id",),
    ),
    PackageTable(
        "rates",
        "Rates of rescue calls and of failures",
        "one row per group of each breakdown",
        (
            _word("of", "What is counted: calls or failures."),
            _word("by", "What the rows are: cause, system, symptom, component, remedy, class, base, model, vessel or month."),
            _word("group", "The cause, part, base and so on; unknown is a row of its own."),
            *_of(RATES, "group"),
        ),
        ("of", "by", "group"),
    ),
    PackageTable(
        "calls",
        "Rescue calls counted",
        "one row per rescue call, the same call logged twice counted once; notes stay in the ledger",
        (*(_told(column) for column in CALLS.columns), MODE, *MECHANISM),
        ("row_id",),
        (_TO_BOAT, _TO_ENGINE),
    ),
    PackageTable(
        "watched_hours",
        "Engine hours in which calls were watched",
        ENGINE_MONTHS.grain,
        tuple(_told(column) for column in ENGINE_MONTHS.columns),
        ("engine_id", "vessel_id", "month"),
        (_TO_BOAT, _TO_ENGINE),
    ),
    PackageTable(
        "lives",
        "Lives of parts",
        "one row per stay of one part in one position; age zero at fitting",
        (*LIVES, *_GROUPS, *MECHANISM, DETECTION, ACTIVITY),
        ("life_id",),
        (_TO_PART, _TO_BOAT, _TO_ENGINE),
    ),
    PackageTable(
        "life_evidence",
        "The rows of the ledger that lives came from",
        LIFE_EVIDENCE.grain,
        tuple(_told(column) for column in LIFE_EVIDENCE.columns),
        ("life_id", "row_id", "part_played"),
        (Reference(("life_id",), "lives", ("life_id",)),),
    ),
    PackageTable(
        "fits",
        "How long parts last",
        "one row per part, group and clock",
        (COMPONENT, GROUP_NAME, *_of(FITS, "component", "posterior", "curve"), *_BELIEVED),
        ("component", "group_name", "clock"),
        (_TO_PART,),
    ),
    PackageTable(
        "curves",
        "Share still running by age",
        "one row per step of the curve of a row of fits",
        (
            COMPONENT,
            GROUP_NAME,
            _word("clock", "hours or months."),
            _count("step", "steps", "0 where the curve begins, then counted."),
            _figure("age", "hours or months", "Age of the step."),
            _figure("at_risk", "lives", "Watched and running just before; expected number where ages of failure are not known."),
            _figure("events", "lives", "Failed at the step; expected number where ages of failure are not known."),
            _figure("surviving", "0 to 1", "Share still running after the step, of those that reach the age at which the curve begins."),
            _figure("low", "0 to 1", "Lower limit."),
            _figure("high", "0 to 1", "Upper limit."),
        ),
        ("component", "group_name", "clock", "step"),
        (Reference(("component", "group_name", "clock"), "fits", ("component", "group_name", "clock")),),
    ),
    PackageTable(
        "intervals",
        "Verdicts: what to do about each part",
        "one row per part and group",
        (COMPONENT, GROUP_NAME, *_of(INTERVALS, "component")),
        ("component", "group_name"),
        (_TO_PART,),
    ),
    PackageTable(
        "due",
        "What is due",
        "one row per position and task that is overdue or falls due within the look-ahead",
        (_word("due_id", "Carrier, part, position and task."), *DUE),
        ("due_id",),
        (_TO_PART, _TO_BOAT, _TO_ENGINE),
    ),
    PackageTable(
        "stock",
        "What to stock",
        "one row per part on the shelf of a base",
        (_word("stock_id", "Part, component and base."), *STOCK),
        ("stock_id",),
        (_TO_PART,),
    ),
    PackageTable(
        "forecasts",
        "What is to be expected",
        "one row per part, base and sort of event, over the season that stock is planned for",
        (
            COMPONENT,
            _word("base", "The base the boat works from; unknown: not on record."),
            _word("counted", "failures, or condition renewals."),
            Told("begins_on", Kind.DAY, "date", "First day that is foretold."),
            Told("ends_on", Kind.DAY, "date", "Last day that is foretold."),
            _figure("expected", "events", "Expected number."),
            _count("low", "events", "Lower end of the range."),
            _count("high", "events", "Upper end of the range."),
            _figure("level", "0 to 1", "Chance that the range holds."),
        ),
        ("component", "base", "counted"),
        (_TO_PART,),
    ),
    PackageTable(
        "reconciliation",
        "Rows in, and what became of them",
        "one row per kind of record; rows in = accepted + repeated + superseded + left out",
        (
            _word("kind", "Kind of record."),
            *(
                _count(name, "rows", f"Rows {words}.")
                for name, words in (
                    ("rows_in", "that came in"),
                    ("accepted", "that count"),
                    ("repeated", "that were in already"),
                    ("superseded", "that a later row corrected"),
                    ("left_out", "with a fault"),
                )
            ),
        ),
        ("kind",),
    ),
    PackageTable(
        "left_out",
        "Left out, counted",
        "one row per place and reason; the rows themselves stay in the ledger",
        (
            _word("left_out_of", "records: not accepted; lives: accepted, and in no life or rate."),
            _word("kind", "Kind of record; 'any' for what is left out of lives."),
            _word("reason", "The column that was at fault, or why nothing could be made of it."),
            _count("rows", "rows, positions or lives", "How many."),
        ),
        ("left_out_of", "kind", "reason"),
    ),
    PackageTable(
        "sources",
        "Files taken in",
        "one row per file and sheet of each import",
        (
            _count("file_id", "file", "Number of the file in the ledger."),
            _count("import_id", "import", "Number of its import."),
            _word("file", "Its name."),
            _word("sheet", "Its sheet; empty: it has none."),
            _word("sha256", "SHA-256 of the file as it came."),
            _word("kind", "Kind of record."),
            _count("rows_in", "rows", "Rows that came in."),
        ),
        ("file_id",),
    ),
    PackageTable(
        "settings",
        "Settings and prior in force",
        "one row per setting",
        (
            _word("setting", "Its name in a settings file; those of the prior begin with `prior.`."),
            _word("value", "What was used."),
            Told("changed", Kind.YES_NO, "yes or no", "Differs from what is used when a fleet says nothing."),
        ),
        ("setting",),
    ),
)

PACKAGE_TABLES: dict[str, PackageTable] = {table.name: table for table in _TABLES}

ONE_OF: dict[tuple[str, str], tuple[str, ...]] = {
    ("rates", "of"): ("calls", "failures"),
    ("lives", "ending"): ENDINGS,
    ("fits", "clock"): ("hours", "months"),
    ("curves", "clock"): ("hours", "months"),
    ("intervals", "verdict"): VERDICTS,
    ("due", "task"): ("renew", "inspect", "test"),
    ("forecasts", "counted"): ("failures", "condition renewals"),
    ("components", "carried_by"): ("engine", "vessel"),
    ("causes", "list"): ("symptom", "cause", "ending", "action", "finding"),
    ("causes", "iso_mechanism_group"): MECHANISM_GROUPS,
    ("left_out", "left_out_of"): ("records", "lives"),
}
"""{table and column: the only words it can hold}."""
