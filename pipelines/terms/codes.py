"""The code lists: which words a coded column may hold, and the trade's other ways of writing them.

In: the catalogue and the cause tree. Out: `CODE_LISTS`, from list name to {code: other words}. All words are lower case.
Open lists (component, cause, symptom, finding, action, outcome) take a word they do not know as `uncoded`, for a person to settle.
Elsewhere: how a word is folded and matched (`intake`).
"""

from pipelines.terms.causes import CAUSES, SYMPTOMS
from pipelines.terms.components import CATALOGUE

ACTIONS: dict[str, tuple[str, ...]] = {
    "fit": ("fitted", "installed", "first fit", "new fit", "install"),
    "renew": ("renewed", "replace", "replaced", "changed", "change", "r/r", "new", "swapped", "c/o", "changed out", "exchange"),
    "inspect": ("inspected", "check", "checked", "look", "looked at", "insp", "insp."),
    "test": ("tested", "load test", "load-test", "function test"),
    "clean": ("cleaned", "flushed", "flush", "cleared", "drained", "drain"),
    "adjust": ("adjusted", "tightened", "tighten", "adj", "adj.", "set"),
    "repair": ("repaired", "mended", "fixed", "rep", "rep."),
    "top up": ("topped up", "top-up", "filled", "topup"),
}

REASONS: dict[str, tuple[str, ...]] = {
    "planned": ("scheduled", "service", "routine", "plan", "interval", "planned service", "annual service", "due"),
    "condition": ("on condition", "worn", "looked bad", "cbm", "going"),
    "failed": ("failure", "breakdown", "broken", "corrective", "u/s", "broke down", "defect"),
    "opportunistic": ("while we were in there", "opportunity", "opp", "same time", "while open"),
}

FINDINGS: dict[str, tuple[str, ...]] = {
    "sound": ("ok", "good", "fine", "serviceable", "as new", "g", "pass", "passed"),
    "worn": ("wear", "some wear", "tired", "glazed", "cracked"),
    "failed": ("broken", "u/s", "dead", "torn", "seized", "fail", "kaput", "unserviceable"),
    "outside damage": ("strike", "debris", "damaged from outside", "outside", "struck", "ran dry aground", "impact"),
    "no fault found": ("nff", "no fault", "works on test", "tested ok"),
}

OUTCOMES: dict[str, tuple[str, ...]] = {
    "fixed aboard": ("fixed", "fixed afloat", "got going", "repaired aboard", "talked through"),
    "towed": ("tow", "tow in", "towed in", "recovered", "towed home"),
    "swapped boat": ("boat swapped", "exchange boat", "swap"),
    "returned alone": ("came back alone", "limped home", "returned under own power"),
    "nothing done": ("stood down", "cancelled", "false alarm"),
}

WATERS: dict[str, tuple[str, ...]] = {
    "fresh": ("freshwater", "river", "lake"),
    "brackish": ("estuary",),
    "salt": ("sea", "saltwater", "saline"),
}
BOTTOMS: dict[str, tuple[str, ...]] = {"clear": ("clean", "rock", "gravel"), "silty": ("silt", "mud", "muddy", "sandy", "sand")}
PLACES: dict[str, tuple[str, ...]] = {
    "single": ("only", "one"),
    "port": ("p", "left", "lh"),
    "starboard": ("s", "stbd", "right", "rh", "starbord"),
    "centre": ("center", "mid"),
}
DRIVES: dict[str, tuple[str, ...]] = {
    "outboard": ("o/b", "ob", "out board"),
    "inboard": ("i/b", "ib", "shaft"),
    "sterndrive": ("stern drive", "i/o", "outdrive"),
}
FUELS: dict[str, tuple[str, ...]] = {
    "petrol": ("gasoline", "gas", "unleaded"),
    "diesel": ("derv", "gas oil"),
    "electric": ("battery", "elec"),
}
CARRIERS: dict[str, tuple[str, ...]] = {"engine": ("motor",), "vessel": ("boat", "hull")}
TASKS: dict[str, tuple[str, ...]] = {
    "renew": ("replace", "renewal", "change"),
    "inspect": ("inspection", "check"),
    "test": ("function test", "testing"),
}

CODE_LISTS: dict[str, dict[str, tuple[str, ...]]] = {
    "component": {code: component.words for code, component in CATALOGUE.items()},
    "cause": {code: cause.words for code, cause in CAUSES.items()},
    "symptom": SYMPTOMS,
    "action": ACTIONS,
    "reason": REASONS,
    "finding": FINDINGS,
    "outcome": OUTCOMES,
    "water": WATERS,
    "bottom": BOTTOMS,
    "place": PLACES,
    "drive": DRIVES,
    "fuel": FUELS,
    "carried_by": CARRIERS,
    "task": TASKS,
}

YES = ("yes", "y", "true", "t", "1", "-1", "x", "ja", "oui", "si", "sí", "on")
NO = ("no", "n", "false", "f", "0", "nein", "non", "off")
MISSING = (
    "",
    "na",
    "n/a",
    "none",
    "null",
    "nan",
    "-",
    "--",
    "?",
    "#name?",
    "#n/a",
    "#value!",
    "#ref!",
    "unknown",
    "n/k",
    "tba",
    "tbc",
    "nil",
)
