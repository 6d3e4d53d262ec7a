"""What people write in the remarks when something broke: what was seen and found, in the loose words of a yard.

In: true causes. Out: remarks, many of them empty or vague. No remark has a figure, a name or a code of ours.
Elsewhere: the remarks about anything else (`mess_calls`, `mess_tickets`).
"""

import polars as pl

from sample_fleet.chance import Chance

VAGUE = (
    "would not go, brought in",
    "something wrong below, see bench",
    "same trouble as the sister boat",
    "crew could not say",
    "sorted in the end",
)
SAID = {
    "impeller failed": (
        "hardly any water from the tell-tale",
        "vanes gone from the pump",
        "pump had no vanes left, ran hot",
        "bits of rubber in the hose",
    ),
    "impeller burnt, run dry": ("pump ran dry", "started up on the trailer, pump cooked", "rubber melted in the pump"),
    "belt broken": ("belt in shreds", "charge light on then hot, belt gone", "found belt lying in the bilge"),
    "fuel filter blocked": ("bowl full of muck", "starved, separator clogged", "died at speed, picked up on tickover, dirty bowl"),
    "filter choked by dirty fuel": ("dirty diesel from the barge", "sludge in the tank, bowl black", "water and muck after filling up"),
    "injector fault": ("smoky and rough", "down on power, white smoke", "one cylinder not firing, smoke"),
    "hub worn": ("prop spins on its bush", "screams but no push, bush gone", "slipping when you open her up"),
    "hub slipped after a strike": ("hit a log, now slips", "touched the weir and prop spins", "bush let go after a bang"),
    "propeller struck": ("blades bent on a rock", "shakes badly, blade missing", "clouted something, vibration"),
    "battery worn out": ("turns slowly then just clicks, batt past it", "will not hold charge", "cells dead, jump pack got them home"),
    "battery left flat": ("lights left on overnight", "fridge ran it down", "flat, master not turned off"),
    "fuel hose sucking air": ("bulb keeps collapsing", "air in the line, perished", "bulb soft, bubbles in the line"),
    "bellows split": ("water in the back end, rubber boot torn", "filling slowly from the leg", "boot torn on the leg"),
    "exhaust elbow failed": ("steam and water from the manifold", "rusted through at the bend", "salt water out of the riser"),
    "shift or throttle cable broken": ("lever goes slack", "stuck ahead, inner wire snapped", "lever moves, nothing happens"),
    "plugs fouled": ("oily plugs, cleaned and went", "black and wet plugs", "misfires when cold, plugs sooty"),
    "thermostat stuck": ("stat jammed shut", "hot at once though tell-tale good", "stat full of scale"),
    "coil failed": ("no spark on one bank", "cuts when warm, spark gone", "no spark, swapped over and fired"),
    "sensor failed": ("goes into go-home mode, reader says sender", "alarm light but all cool", "reader shows a dead sender"),
    "alternator or regulator failed": ("not charging, volts dropping", "charge warning all day then dead", "no output at the terminals"),
    "cooling hose failed": ("hose burst, bilge full and hot", "clip let go, spraying", "split near the clip"),
    "bilge pump failed": ("water over the boards, pump silent", "float up but pump not running", "pump seized solid"),
    "kill switch corroded": ("wiggle the cord switch and it fires", "green contacts at the cord switch", "cord switch plays up in the wet"),
    "fuel exhausted": ("tank dry", "gauge said some left, none there", "took a can out to them"),
    "lanyard pulled": ("cord off the switch", "someone knocked the cord", "talked them through clipping the cord"),
    "rope or weed round propeller": ("rope cut off the prop", "weed ball on the prop", "line from a buoy wound round"),
    "ran aground": ("on the sandbank till the flood", "stuck on the bar", "pulled off the mud"),
    "tap shut or hose off": ("fuel tap was off", "connector not pushed home", "tank vent screwed down"),
    "lost, late, unwell or weather": ("wanted showing the way home", "one of them poorly", "too rough for them to come back"),
    "no fault found": ("ran fine at the pontoon", "could not make it do it again", "nothing wrong when we got there"),
    "drain plug out": ("bung still in the locker", "bung left out after the wash", "no bung in"),
    "loose connector or wet plug": ("plug had come apart", "dried a connector and away", "lead off its post"),
}
"""Remarks by cause; invented, and none of them a word of the code lists."""
CALL_SAID, TICKET_SAID, VAGUE_SHARE, MISTAKEN = 0.5, 0.4, 0.15, 0.03


def remarks(causes: pl.Series, otherwise: pl.Series, chance: Chance, share: float) -> pl.Series:
    """Return remarks: of this share of rows what was seen or found, sometimes vague or of another cause; else `otherwise`."""
    size, every = len(causes), list(SAID)
    said, vague, mistaken = chance.whether(size, share), chance.whether(size, VAGUE_SHARE), chance.whether(size, MISTAKEN)
    other, draw = chance.whole(size, 0, len(every) - 1), chance.uniform(size)
    told = []
    for row, (cause, kept) in enumerate(zip(causes, otherwise, strict=True)):
        phrases = VAGUE if vague[row] else SAID.get(every[other[row]] if mistaken[row] else cause, ())
        told.append(phrases[int(draw[row] * len(phrases))] if said[row] and phrases else kept)
    return pl.Series("notes", told, dtype=pl.String)
