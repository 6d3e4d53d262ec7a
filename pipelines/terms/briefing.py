"""What a crew is told so that a cause does not strand them: one or two plain sentences a cause.

In: nothing. Out: `ADVICE` by cause code, `ALWAYS`, `WHEN_IT_STOPS`. Common practice in yards, no source. Only what a hirer can do with
bare hands and a clear head stands here; whatever needs a tool or a cover off is the yard's.
Elsewhere: the causes themselves (`causes`), cautions of the yard's work (`cautions`).
"""

from dataclasses import dataclass

BEFORE, UNDER_WAY, AT_REST = "Before you cast off", "Under way", "When you lie still"


@dataclass(frozen=True)
class Advice:
    """What to tell a crew about one cause: when it matters, and the words."""

    when: str
    words: str


ADVICE: dict[str, Advice] = {
    "battery left flat": Advice(AT_REST, "Lights, radio and fridge drain the start battery. Switch them off when the engine is off."),
    "lanyard off or in gear": Advice(BEFORE, "The engine starts only with the kill cord clipped on and the lever in neutral."),
    "tap shut or hose off": Advice(BEFORE, "Fuel tap open, tank vent open, hose pushed home until it clicks, bulb pumped firm."),
    "old or watery fuel": Advice(BEFORE, "Fill only where the yard tells you, keep rain out of the filler, close the cap."),
    "fuel exhausted": Advice(
        BEFORE, "Look into the tank or dip it; do not trust the gauge alone. A third out, a third back, a third kept in hand."
    ),
    "filter choked by dirty fuel": Advice(BEFORE, "If the fuel in the bowl looks cloudy or dark, tell the yard before you leave."),
    "lanyard pulled": Advice(
        UNDER_WAY, "If the engine stops at once, see first whether the kill cord came off. Clip it on, neutral, start."
    ),
    "rope or weed round propeller": Advice(
        UNDER_WAY, "Keep clear of floats, nets and weed. If it shakes or labours: neutral, engine off, kill cord out, then look."
    ),
    "low oil": Advice(BEFORE, "Check the oil as you were shown. At an oil alarm: engine off, call us."),
    "overloaded": Advice(BEFORE, "No more people or gear than the plate allows, spread evenly. A slow boat may be carrying water: look."),
    "weed in intake": Advice(
        UNDER_WAY, "Cooling water must run from the outlet. If it stops or the alarm sounds: neutral, engine off, call us."
    ),
    "seacock left shut": Advice(BEFORE, "Cooling-water seacock open, and water running from the outlet within half a minute of starting."),
    "impeller burnt, run dry": Advice(BEFORE, "Never run the engine without cooling water, not even for a moment."),
    "sand pumped through": Advice(UNDER_WAY, "In the shallows go dead slow; aground, switch off before sand goes through the pump."),
    "hub slipped after a strike": Advice(UNDER_WAY, "After any knock at the propeller go home slowly and tell us, even if it seems well."),
    "propeller struck": Advice(UNDER_WAY, "Keep to the marked water and look ahead. Raise the leg in the shallows only as you were shown."),
    "rope on rudder": Advice(UNDER_WAY, "Stow every rope aboard before you move; none may trail."),
    "drain plug out": Advice(BEFORE, "Drain plug in and tight. Look at the bilge before you leave, and again after ten minutes."),
    "bilge pump failed": Advice(BEFORE, "Switch the bilge pump on by hand and hear it run."),
    "swamped": Advice(UNDER_WAY, "Slow down before a wave from astern reaches you; keep weight out of the stern."),
    "ran aground": Advice(UNDER_WAY, "Look at the chart and the tide table before you leave. Aground: engine off, all seated, call us."),
    "anchor or mooring let go": Advice(
        AT_REST, "Let out at least four times the depth, set the anchor astern, take a mark ashore and watch it."
    ),
    "lost, late, unwell or weather": Advice(
        BEFORE, "Ask for today's weather. Say where you are going and when you will be back; turn back early."
    ),
}

ALWAYS = (
    "Lifejackets on, kill cord clipped to the helm's leg or wrist whenever the engine runs.",
    "Petrol vapour is heavier than air: air the space before starting, no smoking, stop on any smell.",
    "Nobody near the propeller unless the engine is off, out of gear and the kill cord is in your pocket.",
    "Children and people who cannot swim sit down under way; nobody rides on the bow.",
)

WHEN_IT_STOPS = (
    "Anchor first, or make fast; then look.",
    "Kill cord on? Lever in neutral? Fuel in the tank, tap open, hose on?",
    "No cooling water, an alarm, smoke or a smell of fuel: engine off and leave it off.",
    "Take no cover off a hot or running engine, and open no hot cap.",
    "Call the number below and say: boat, where you are, how many aboard, what you saw. In danger, call the coast or water rescue first.",
)
