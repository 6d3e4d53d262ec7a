"""The cautions that stand wherever work is suggested.

In: nothing. Out: `CAUTIONS` by key, `DEFERENCE`, `caution_for`. Common practice in yards, no source.
"""

from pipelines.terms import components
from pipelines.terms.components import CATALOGUE

DEFERENCE = (
    "The maker's manual, local codes, warranty terms and a licensed technician come first. "
    "towless advises; it does not certify a boat as fit for sea."
)

CAUTIONS: dict[str, str] = {
    components.PETROL_VAPOUR: (
        "Petrol vapour is heavier than air: air the space, run the blower, sniff, then switch. No smoking, no sparks. Stop on any smell."
    ),
    components.PROPELLER: (
        "Before going near the propeller: engine stopped, out of gear, kill cord off and in your pocket, key out, people told."
    ),
    components.HOT_MOVING: (
        "Engine stopped and cool, key out: no sleeves or hair near belts and pulleys. "
        "Oil, exhaust and coolant are hot; never open a hot pressure cap."
    ),
    components.BATTERY: (
        "Batteries hold gas and acid: eye protection, rings off, earth lead off first and on last. "
        "High-voltage and lithium packs only by trained people."
    ),
    components.CARBON_MONOXIDE: "Carbon monoxide kills: never run the engine in a shed or under a closed cover.",
    components.HIGH_PRESSURE: "Injection lines hold high pressure: a licensed technician only.",
    components.LIFTING: "Rated gear for lifting and chocking; nobody under a load or under a leg held only by its ram.",
    components.BELOW_WATERLINE: "Below the waterline: know how you will stop the water before you start. Shut the seacock first.",
    components.STEERING: "Steering keeps people safe: work by a competent technician, tried lock to lock before the boat leaves.",
    components.AFLOAT: "Afloat: lifejacket on, a second person aboard, someone told. In a seaway anchor first, then look.",
}

GENERAL = CAUTIONS[components.AFLOAT]


def caution_for(component: str) -> str:
    """Return the cautions for work on `component`; a part not in the catalogue gets the general one."""
    known = CATALOGUE.get(component)
    if known is None:
        return GENERAL
    return " ".join(CAUTIONS[key] for key in known.cautions)
