"""Our codes told in the columns of ISO 14224, for figures that go to someone who keeps records by that standard.

In: nothing. Out: `SYMPTOM_CODES`, `CAUSE_CODES`, `ENDING_CODES`, `ACTION_CODES`, `FINDING_CODES`: one row for each of our codes.
ISO 14224:2016 keeps five lists apart: how a failure shows (mode), what happened in the part (mechanism), why (cause), how it was
noticed (detection) and what was done (maintenance activity). Its six groups of mechanisms are named as in the standard; every other
word here is FROM MEMORY OF THE STANDARD'S LISTS, NOT CHECKED against its text, and says so in a column of its own. They stand
beside our codes and never in their place.
Elsewhere: our own codes (`causes`, `codes`), the tables they leave in (`package_tables`).
"""

from dataclasses import dataclass

from pipelines.terms.causes import UNCODED, UNKNOWN

FROM_MEMORY = "from memory of the standard's lists, not checked"

MECHANICAL, MATERIAL, INSTRUMENT = "mechanical failure", "material failure", "instrument failure"
ELECTRICAL, EXTERNAL, MISCELLANEOUS = "electrical failure", "external influence", "miscellaneous"
MECHANISM_GROUPS = (MECHANICAL, MATERIAL, INSTRUMENT, ELECTRICAL, EXTERNAL, MISCELLANEOUS)

WEAR, OPERATING, MAINTENANCE = "expected wear and tear", "operating error", "maintenance error"
OFF_DESIGN, NOT_KNOWN, OTHER_CAUSE = "off-design service", "unknown", "other"
NO_CAUSE = "no cause found"


@dataclass(frozen=True)
class ExchangeCode:
    """One code of ours in the standard's columns; a column that does not apply to its list is empty.

    Attributes
    ----------
    mode, mechanism_group, mechanism, cause, detection, activity
        Failure mode, group of failure mechanisms, failure mechanism, failure cause, detection method, maintenance activity.
    """

    mode: str = ""
    mechanism_group: str = ""
    mechanism: str = ""
    cause: str = ""
    detection: str = ""
    activity: str = ""


def _found(group: str, mechanism: str, cause: str) -> ExchangeCode:
    return ExchangeCode(mechanism_group=group, mechanism=mechanism, cause=cause)


def _shown(mode: str) -> ExchangeCode:
    return ExchangeCode(mode=mode)


_NOTHING_KNOWN = _found(MISCELLANEOUS, "unknown", NOT_KNOWN)

SYMPTOM_CODES: dict[str, ExchangeCode] = {
    "won't start, no crank": _shown("failure to start on demand"),
    "won't start, cranks": _shown("failure to start on demand"),
    "stops under way": _shown("spurious stop"),
    "loses power": _shown("low output"),
    "overheats": _shown("overheating"),
    "revs, no drive": _shown("failure to function as intended"),
    "no gear or throttle": _shown("failure to function on demand"),
    "no steering": _shown("failure to function on demand"),
    "taking water": _shown("external leakage, utility medium"),
    "fire, smoke or fuel smell": _shown("external leakage, fuel"),
    "aground or adrift": _shown("other"),
    "lost, late or unwell": _shown("other"),
    "precaution": _shown("minor in-service problems"),
    UNKNOWN: _shown("unknown"),
    UNCODED: _shown("unknown"),
}

CAUSE_CODES: dict[str, ExchangeCode] = {
    "battery left flat": _found(ELECTRICAL, "no power or voltage", OPERATING),
    "battery worn out": _found(ELECTRICAL, "no power or voltage", WEAR),
    "starter or solenoid failed": _found(MECHANICAL, "sticking", WEAR),
    "main switch or fuse failed": _found(ELECTRICAL, "open circuit", WEAR),
    "lanyard off or in gear": _found(MISCELLANEOUS, "other", OPERATING),
    "kill switch corroded": _found(MATERIAL, "corrosion", WEAR),
    "tap shut or hose off": _found(MISCELLANEOUS, "other", OPERATING),
    "old or watery fuel": _found(EXTERNAL, "contamination", MAINTENANCE),
    "plugs fouled": _found(EXTERNAL, "contamination", WEAR),
    "coil failed": _found(ELECTRICAL, "faulty power or voltage", WEAR),
    "fuel exhausted": _found(MISCELLANEOUS, "other", OPERATING),
    "fuel gauge failed": _found(INSTRUMENT, "faulty signal, indication or alarm", WEAR),
    "fuel filter blocked": _found(EXTERNAL, "blockage or plugged", WEAR),
    "engine fuel filter blocked": _found(EXTERNAL, "blockage or plugged", WEAR),
    "filter choked by dirty fuel": _found(EXTERNAL, "contamination", OFF_DESIGN),
    "fuel hose sucking air": _found(MECHANICAL, "leakage", WEAR),
    "fuel pump failed": _found(MECHANICAL, "general", WEAR),
    "lanyard pulled": _found(MISCELLANEOUS, "other", OPERATING),
    "rope or weed round propeller": _found(EXTERNAL, "miscellaneous external influences", OPERATING),
    "low oil": _found(MISCELLANEOUS, "other", MAINTENANCE),
    "loose connector or wet plug": _found(MECHANICAL, "looseness", MAINTENANCE),
    "control unit failed": _found(INSTRUMENT, "control failure", NOT_KNOWN),
    "sensor failed": _found(INSTRUMENT, "faulty signal, indication or alarm", NOT_KNOWN),
    "alternator or regulator failed": _found(ELECTRICAL, "faulty power or voltage", WEAR),
    "regulator failed": _found(ELECTRICAL, "faulty power or voltage", WEAR),
    "belt broken": _found(MATERIAL, "breakage", WEAR),
    "timing belt broken": _found(MATERIAL, "breakage", WEAR),
    "engine seized or valve": _found(MECHANICAL, "sticking", NOT_KNOWN),
    "overloaded": _found(MISCELLANEOUS, "other", OFF_DESIGN),
    "injector fault": _found(MECHANICAL, "general", WEAR),
    "weed in intake": _found(EXTERNAL, "blockage or plugged", OPERATING),
    "seacock left shut": _found(MISCELLANEOUS, "other", OPERATING),
    "impeller burnt, run dry": _found(MATERIAL, "overheating", OPERATING),
    "impeller failed": _found(MATERIAL, "wear", WEAR),
    "thermostat stuck": _found(MECHANICAL, "sticking", WEAR),
    "cooling hose failed": _found(MATERIAL, "burst", WEAR),
    "exhaust elbow failed": _found(MATERIAL, "corrosion", WEAR),
    "heat exchanger blocked": _found(EXTERNAL, "blockage or plugged", WEAR),
    "sand pumped through": _found(MATERIAL, "erosion", OPERATING),
    "hub slipped after a strike": _found(EXTERNAL, "miscellaneous external influences", OPERATING),
    "hub worn": _found(MATERIAL, "wear", WEAR),
    "propeller struck": _found(EXTERNAL, "miscellaneous external influences", OPERATING),
    "gearbox or coupling failed": _found(MECHANICAL, "general", WEAR),
    "universal joint failed": _found(MATERIAL, "wear", WEAR),
    "shift or throttle cable broken": _found(MATERIAL, "breakage", WEAR),
    "steering cable or hydraulics failed": _found(MECHANICAL, "sticking", WEAR),
    "rope on rudder": _found(EXTERNAL, "miscellaneous external influences", OPERATING),
    "drain plug out": _found(MISCELLANEOUS, "other", MAINTENANCE),
    "bilge pump failed": _found(MECHANICAL, "general", WEAR),
    "bellows split": _found(MATERIAL, "breakage", WEAR),
    "stern gland leaking": _found(MECHANICAL, "leakage", WEAR),
    "swamped": _found(EXTERNAL, "miscellaneous external influences", OPERATING),
    "fuel leak": _found(MECHANICAL, "leakage", WEAR),
    "wiring fault": _found(ELECTRICAL, "general", WEAR),
    "ran aground": _found(MISCELLANEOUS, "other", OPERATING),
    "anchor or mooring let go": _found(MISCELLANEOUS, "other", OPERATING),
    "lost, late, unwell or weather": _found(EXTERNAL, "miscellaneous external influences", OTHER_CAUSE),
    "no fault found": _found(MISCELLANEOUS, "no cause found", NO_CAUSE),
    "mechanical, not further stated": _found(MECHANICAL, "general", NOT_KNOWN),
    UNKNOWN: _NOTHING_KNOWN,
    UNCODED: _NOTHING_KNOWN,
}

ENDING_CODES: dict[str, ExchangeCode] = {
    "failed": ExchangeCode(detection="on demand", activity="replace"),
    "found failed": ExchangeCode(detection="inspection", activity="replace"),
    "planned": ExchangeCode(activity="replace"),
    "condition": ExchangeCode(detection="inspection", activity="replace"),
    "opportunistic": ExchangeCode(activity="replace"),
    "outside damage": ExchangeCode(detection="casual observation", activity="replace"),
    "withdrawn": ExchangeCode(),
    "running": ExchangeCode(),
}

ACTION_CODES: dict[str, ExchangeCode] = {
    "fit": ExchangeCode(activity="modify"),
    "renew": ExchangeCode(activity="replace"),
    "inspect": ExchangeCode(activity="inspection"),
    "test": ExchangeCode(activity="test"),
    "clean": ExchangeCode(activity="service"),
    "adjust": ExchangeCode(activity="adjust"),
    "repair": ExchangeCode(activity="repair"),
    "top up": ExchangeCode(activity="service"),
    UNCODED: ExchangeCode(activity="other"),
}

FINDING_CODES: dict[str, ExchangeCode] = {
    "sound": _found("", "", ""),
    "worn": _found(MATERIAL, "wear", WEAR),
    "failed": _found(MISCELLANEOUS, "unknown", NOT_KNOWN),
    "outside damage": _found(EXTERNAL, "miscellaneous external influences", OTHER_CAUSE),
    "no fault found": _found(MISCELLANEOUS, "no cause found", NO_CAUSE),
    UNCODED: _NOTHING_KNOWN,
}

EXCHANGE_CODES: dict[str, dict[str, ExchangeCode]] = {
    "symptom": SYMPTOM_CODES,
    "cause": CAUSE_CODES,
    "ending": ENDING_CODES,
    "action": ACTION_CODES,
    "finding": FINDING_CODES,
}
"""{list of ours: {code: what the standard's columns say of it}}."""
