"""A call comes in: its likely causes, from the fleet's record, the season and the age of that boat's own parts.

In: a copy, a boat, what the caller says. Out: `Answer` with the columns of `likely`.
Elsewhere: the chances (`advice.likely`), what to check and bring (`terms.first_checks`).
"""

from datetime import date
from difflib import get_close_matches

import polars as pl

from pipelines.advice.likely import PRIOR_CALLS, LikelyCause, Situation, likely_causes
from pipelines.errors import UnknownWord
from pipelines.exports.answer import Answer
from pipelines.fits.believed_share import believed_limits
from pipelines.flow import estimating
from pipelines.flow.answering import stored_rows
from pipelines.flow.sources import Source, known_day, known_source
from pipelines.ledger.reading import Published
from pipelines.terms.answers import names_of
from pipelines.terms.causes import SYMPTOMS
from pipelines.terms.cautions import GENERAL, caution_for
from pipelines.terms.first_checks import FIRST_CHECKS, GENERAL_CHECK
from pipelines.terms.scope import Scope
from pipelines.terms.settings import Settings

WATCHED = "select vessel_id, month, days, vessel_class, base from derived.engine_months order by vessel_id, month, engine_id"
WORDS_FOR = "select word, code from accepted.words where list = 'symptom' and code is not null and code <> 'uncoded'"


def likely(copy: Published, scope: Scope, settings: Settings, boat: str, symptom: str, on: date | None = None) -> Answer:
    """Rank the causes of a call of one boat.

    Parameters
    ----------
    boat
        Its number, or its name where only one boat has it.
    symptom
        What the caller says: a symptom, or a word of the trade or the fleet for one.
    on
        Day of the call; `None`: the last day known.

    Raises
    ------
    UnknownWord
        If no boat or no symptom of that name is known; the nearest is named.
    """
    with known_source(copy, scope, settings) as source:
        vessel = boat_called(source, boat)
        day = on or known_day(source)
        situation = Situation(vessel["vessel_id"], vessel["vessel_class"], vessel["base"], symptom_meant(source, symptom), day)
        calls = source.frame("select * from derived.calls order by row_id")
        watched = source.frame(
            "select vessel_id, month, days, vessel_class, base from derived.engine_months order by vessel_id, month, engine_id"
        )
        chances = stored_rows(copy, "part_chances", scope, settings, True)
        if chances is None:
            wide, believed = estimating.told_apart(estimating.matter_of(source, Scope()), settings)
            chances = estimating.chances_of(believed, wide)
        # In one order, so that the same question has the same answer to the last digit.
        causes = likely_causes(situation, calls, watched, chances.sort("vessel_id", "component", "chance"))
        rows = pl.DataFrame([_row(one, settings) for one in causes], schema=_SCHEMA)
        counted = causes[0].calls
        head = {"as_of": known_day(source), "ledger_version": copy.version, "records": calls.height, "left_out": 0}
        return Answer(head, rows, {"vessel_id": situation.vessel_id, "symptom": situation.symptom, "calls_like_it": counted})


def boat_called(source: Source, boat: str) -> dict:
    """Return number, class and base of a boat by its number or its only name.

    Raises
    ------
    UnknownWord
        If there is none, or more than one of that name.
    """
    vessels = source.frame("select vessel_id, name, vessel_class, base from accepted.vessels order by vessel_id")
    wanted = boat.strip().casefold()
    for column in ("vessel_id", "name"):
        found = vessels.filter(pl.col(column).str.to_lowercase() == wanted)
        if found.height == 1:
            return found.row(0, named=True)
        if found.height > 1:
            numbers = ", ".join(found["vessel_id"])
            raise UnknownWord(f"--boat {boat!r}: {found.height} boats are called that. Give the number: {numbers}.")
    known = [*vessels["vessel_id"].to_list(), *vessels["name"].drop_nulls().to_list()]
    raise UnknownWord(f"--boat {boat!r}: no boat of that number or name in the records. {_nearest(boat, known)}")


def symptom_meant(source: Source, symptom: str) -> str:
    """Return the code of what a caller says.

    Raises
    ------
    UnknownWord
        If it is no symptom that the trade's list or the fleet's words know.
    """
    codes = {word.casefold(): code for code, words in SYMPTOMS.items() for word in (code, *words)}
    codes |= {word.casefold(): code for word, code in source.frame(WORDS_FOR).iter_rows()}
    if (code := codes.get(symptom.strip().casefold())) is not None:
        return code
    raise UnknownWord(f"--symptom {symptom!r}: not a symptom that is known. {_nearest(symptom, list(SYMPTOMS))}")


def _nearest(word: str, known: list[str]) -> str:
    near = get_close_matches(word, known, n=1, cutoff=0.4)
    return f"The nearest is {near[0]!r}." if near else f"Known: {', '.join(known[:16])}."


_SCHEMA = {name: pl.Float64 if name in ("probability", "low", "high") else pl.String for name in names_of("likely")}


def _row(one: LikelyCause, settings: Settings) -> dict:
    low, high = believed_limits(one.probability, one.calls + PRIOR_CALLS, settings.posterior_level)
    first = FIRST_CHECKS.get(one.cause, GENERAL_CHECK)
    return {
        "cause": one.cause,
        "component": one.component or None,
        "probability": one.probability,
        "low": low,
        "high": high,
        "check_first": first.check,
        "bring": first.bring,
        "caution": caution_for(one.component) if one.component else GENERAL,
    }
