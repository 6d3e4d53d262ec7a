"""What a crew may look at first, safely, and what to take along, for each cause of a call.

In: nothing. Out: `FIRST_CHECKS` by cause code, `GENERAL_CHECK`. Common practice in yards, no source. A caller is never told to take a
cover off, to reach near a propeller or to open anything hot: that is for whoever comes out.
Elsewhere: the causes (`causes`), the cautions of the work itself (`cautions`).
"""

from dataclasses import dataclass


@dataclass(frozen=True)
class FirstCheck:
    """For one cause: what to have the crew look at, and what to bring."""

    check: str
    bring: str


GENERAL_CHECK = FirstCheck(
    "Everyone in lifejackets, anchor down or made fast; then: kill cord on, lever in neutral, fuel in the tank, cooling water running?",
    "Tow line, tool roll, jump pack, a can of the right fuel, spare kill cord.",
)
_LOOK_ONLY = "Engine off and left off; look for smoke, smell or water and say what you see."

FIRST_CHECKS: dict[str, FirstCheck] = {
    "battery left flat": FirstCheck("Were lights, radio or fridge left on? Switch everything off.", "Jump pack, charged battery."),
    "battery worn out": FirstCheck("Do the lights fade when the key is turned?", "Tested battery, jump pack, terminal brush."),
    "starter or solenoid failed": FirstCheck(
        "One click or none when the key is turned, lights staying bright?", "Starter, jump pack, tow line."
    ),
    "main switch or fuse failed": FirstCheck("Battery switch on? Do lights and gauges come on?", "Fuses, test lamp."),
    "lanyard off or in gear": FirstCheck("Kill cord clipped on, lever in neutral.", "Spare kill cord."),
    "kill switch corroded": FirstCheck("Take the kill cord off and clip it on again, firmly.", "Kill switch, spare kill cord, tow line."),
    "tap shut or hose off": FirstCheck("Fuel tap open, vent open, hose pushed home, bulb pumped firm.", "Hose with connectors."),
    "old or watery fuel": FirstCheck(
        "When and where was it filled? Say how the fuel in the bowl looks; open nothing.", "Clean fuel, filter, container."
    ),
    "plugs fouled": FirstCheck(
        "Neutral, no throttle, wait five minutes with the space aired, then try once.", "Spark plugs, plug spanner."
    ),
    "coil failed": FirstCheck(_LOOK_ONLY, "Ignition coil, tow line."),
    "fuel exhausted": FirstCheck("Look into the tank or dip it; the gauge can lie.", "Can of the right fuel, funnel."),
    "fuel gauge failed": FirstCheck("Look into the tank or dip it.", "Can of fuel, dip stick."),
    "fuel filter blocked": FirstCheck("Does it lose revs under load and recover at idle?", "Filter, container, rags."),
    "engine fuel filter blocked": FirstCheck("Does it lose revs under load and recover at idle?", "Fine filter, tow line."),
    "filter choked by dirty fuel": FirstCheck(
        "Does the fuel in the bowl look dark or cloudy? Open nothing.", "Filters, clean fuel, container."
    ),
    "fuel hose sucking air": FirstCheck(
        "Does the bulb stay soft when pumped? Any smell or drip: engine off.", "Hose with bulb and connectors."
    ),
    "fuel pump failed": FirstCheck(_LOOK_ONLY, "Tow line; lift pump for the yard."),
    "lanyard pulled": FirstCheck("Is the kill cord clipped on? Clip it, neutral, start.", "Spare kill cord."),
    "rope or weed round propeller": FirstCheck(
        "Engine off, kill cord out; look over the stern, reach for nothing. Any rope trailing?", "Knife on a pole, gloves, tow line."
    ),
    "low oil": FirstCheck("Engine off and left off. Look for oil in the bilge.", "Engine oil, funnel, rags."),
    "loose connector or wet plug": FirstCheck("Gauges dead or flickering? Touch nothing wet.", "Contact spray, crimp set, test lamp."),
    "control unit failed": FirstCheck("Read out the lamps or the code on the gauge.", "Code reader, tow line."),
    "sensor failed": FirstCheck("Read out the lamps or the code on the gauge.", "Code reader, sensor."),
    "alternator or regulator failed": FirstCheck("Is the charge lamp on while it runs?", "Charged battery, belt."),
    "regulator failed": FirstCheck("Is the charge lamp on while it runs?", "Charged battery, regulator."),
    "belt broken": FirstCheck("Charge lamp on and temperature up together? Engine off.", "Drive belt, spanners."),
    "timing belt broken": FirstCheck("Stopped at once and turns too easily? Do not turn it again.", "Tow line."),
    "engine seized or valve": FirstCheck("Does it turn at all? If not, leave it.", "Tow line."),
    "overloaded": FirstCheck("How many aboard? Is there water in the bilge?", "Bilge pump, a second boat for people."),
    "injector fault": FirstCheck("What colour is the smoke, and since when?", "Tow line."),
    "weed in intake": FirstCheck("Does water run from the outlet? If not, engine off and let it cool.", "Strainer lid seal, hook, gloves."),
    "seacock left shut": FirstCheck(
        "Engine off. Is the cooling-water seacock open (handle in line with the hose)?", "Impeller with gasket."
    ),
    "impeller burnt, run dry": FirstCheck(
        "Engine off. Was it run without water, or with the seacock shut?", "Impeller with gasket, tow line."
    ),
    "impeller failed": FirstCheck("Does water run from the outlet? If not, engine off and let it cool.", "Impeller with gasket, tow line."),
    "thermostat stuck": FirstCheck("Water runs, yet it is hot? Engine off, open no cap.", "Thermostat with gasket, tow line."),
    "cooling hose failed": FirstCheck(
        "Engine off. Water or steam in the engine space? Shut the seacock if you were shown it.", "Hose, clamps, tape."
    ),
    "exhaust elbow failed": FirstCheck("Engine off, hatches open, everyone in fresh air.", "Tow line."),
    "heat exchanger blocked": FirstCheck("Hot only at high revs? Come home slowly if it stays cool.", "Coolant, tow line."),
    "sand pumped through": FirstCheck("Were you aground or in the shallows? Engine off.", "Impeller with gasket, tow line."),
    "hub slipped after a strike": FirstCheck(
        "Did it hit something? Try dead slow ahead once, nobody in the water.", "Propeller kit, shear pins, tow line."
    ),
    "hub worn": FirstCheck("Does it grip at dead slow? Come home so.", "Propeller with hub, tow line."),
    "propeller struck": FirstCheck("Does it shake? Is there water in the bilge? Dead slow or stop.", "Propeller kit, tow line."),
    "gearbox or coupling failed": FirstCheck("Lever in neutral, engine off. Oil in the bilge?", "Tow line."),
    "universal joint failed": FirstCheck("Knocking before it went? Engine off.", "Tow line."),
    "shift or throttle cable broken": FirstCheck(
        "Engine off if it is stuck in gear. Does the lever move without weight?", "Cable, tow line."
    ),
    "steering cable or hydraulics failed": FirstCheck("Stop, anchor. Does the wheel turn with no weight?", "Tow line, emergency tiller."),
    "rope on rudder": FirstCheck("Engine off, kill cord out; look over the stern, reach for nothing.", "Knife on a pole, tow line."),
    "drain plug out": FirstCheck("Is the drain plug in? Everyone in lifejackets, pump on.", "Drain plugs, portable pump, tow line."),
    "bilge pump failed": FirstCheck("Switch the pump on by hand; bail. Lifejackets on.", "Portable pump, fuses, tow line."),
    "bellows split": FirstCheck("Water rising? Lifejackets on, pump on, head for shallow water.", "Portable pump, tow line."),
    "stern gland leaking": FirstCheck("How fast does the water come? Pump on, lifejackets on.", "Portable pump, packing."),
    "swamped": FirstCheck("Lifejackets on, weight low and forward, bail.", "Portable pump, a second boat for people."),
    "fuel leak": FirstCheck("Engine off, nothing switched, no flame, hatches open, all forward.", "Fire extinguisher, hose, absorbent."),
    "wiring fault": FirstCheck("Battery switch off if you can reach it safely.", "Fire extinguisher, fuses, tow line."),
    "ran aground": FirstCheck(
        "Engine off, everyone seated. Water coming in? Tide rising or falling?", "Tow line, lead line, a second boat."
    ),
    "anchor or mooring let go": FirstCheck("Engine on if it is safe, lifejackets on. Say where you are.", "Anchor with line, tow line."),
    "lost, late, unwell or weather": FirstCheck(
        "Say where you are or what you see; turn on your lights.", "Chart, lamp, first-aid kit, warm clothes."
    ),
    "no fault found": GENERAL_CHECK,
    "mechanical, not further stated": GENERAL_CHECK,
    "unknown": GENERAL_CHECK,
}
