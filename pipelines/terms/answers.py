"""The columns of the answers that people and programs take away: each with its unit and meaning, said once.

In: nothing. Out: `ANSWERS`, from the verb that gives it to its columns in the order of the contract. The JSON, the CSV, the dictionary
of the export and the hovers of the dashboard are made from them.
Elsewhere: the tables that the answers are made from (`derived`).
"""

from dataclasses import dataclass
from enum import StrEnum


class Kind(StrEnum):
    """How a figure of an answer is held."""

    WORD = "string"
    FIGURE = "number"
    COUNT = "integer"
    DAY = "date"
    YES_NO = "boolean"
    NESTED = "object"
    LIST = "array"


@dataclass(frozen=True)
class Told:
    """One column of an answer: name, kind, unit and meaning."""

    name: str
    kind: Kind
    unit: str
    meaning: str


def _word(name: str, meaning: str) -> Told:
    return Told(name, Kind.WORD, "", meaning)


def _count(name: str, unit: str, meaning: str) -> Told:
    return Told(name, Kind.COUNT, unit, meaning)


def _figure(name: str, unit: str, meaning: str) -> Told:
    return Told(name, Kind.FIGURE, unit, meaning)


H, MONTHS, MONEY_YEAR = "engine hours", "months", "money per position and year"
GROUP = Told("group", Kind.NESTED, "", "The group the row is about; empty: the whole fleet.")
COMPONENT = _word("component", "The part.")
ENGINE_ID = _word("engine_id", "The engine; empty for a part the boat carries.")
VESSEL_ID = _word("vessel_id", "The boat.")
POSITION = _word("position", "Which of several like parts; empty: there is one.")
NOTE = _word("note", "What to know about this row; why a figure is missing.")

RATES = (
    GROUP,
    _count("events", "calls or failures", "How many were counted."),
    _figure("share", "0 to 1", "Of all that were counted."),
    _figure("exposure_h", H, "Hours watched; empty: unknown, and then there is no rate."),
    _figure("rate", "per 1,000 engine hours", "Events over hours watched."),
    _figure("low", "per 1,000 engine hours", "Exact lower limit (Garwood)."),
    _figure("high", "per 1,000 engine hours", "Exact upper limit (Garwood)."),
    _figure("shrunken_rate", "per 1,000 engine hours", "The rate drawn towards the fleet's by a gamma prior fitted to the groups."),
    _figure("per_boat_day", "per boat and day", "Events over boat-days watched."),
    _figure("per_trip", "per trip", "Events over trips, where trips are recorded."),
    NOTE,
    _figure("share_low", "0 to 1", "Exact lower limit of the share."),
    _figure("share_high", "0 to 1", "Exact upper limit of the share."),
)

LIVES = (
    _word("life_id", "The life: one stay of one part in one position."),
    ENGINE_ID,
    VESSEL_ID,
    COMPONENT,
    POSITION,
    _word("engine_model", "Model of the engine."),
    _word("base", "The base the boat works from."),
    Told("began_on", Kind.DAY, "date", "Day it was fitted."),
    Told("ended_on", Kind.DAY, "date", "Day it ended, or the last day known."),
    _figure("entry_h", H, "Age when it came under observation; 0: seen from new."),
    _figure("low_h", H, "Age it surely reached; empty: hours unknown."),
    _figure("high_h", H, "Age by which it had failed; equal to low: failed there; empty: had not failed."),
    _figure("entry_months", MONTHS, "Age when it came under observation."),
    _figure("low_months", MONTHS, "Age it surely reached."),
    _figure("high_months", MONTHS, "Age by which it had failed; empty: had not failed."),
    _word("ending", "failed, found failed, planned, condition, opportunistic, outside damage, withdrawn or running."),
    Told("doubtful", Kind.YES_NO, "yes or no", "Rests on a doubtful match, a lost ticket or a reason not given."),
    _word("cause", "Cause of the failure, where coded."),
    Told("evidence", Kind.LIST, "row numbers", "The rows of the ledger it came from."),
)

FITS = (
    COMPONENT,
    GROUP,
    _word("clock", "hours or months."),
    _count("lives", "lives", "Failures, found failed and suspended together."),
    _count("failures", "lives", "Failed at a known age."),
    _count("suspended", "lives", "Had not failed when last seen."),
    _count("interval_censored", "lives", "Failed between two ages; condition renewals are counted here."),
    _count("delayed", "lives", "Already in use when the records begin."),
    _figure("shape", "", "Weibull shape by maximum likelihood: below 1 fails young, 1 random, above 1 wears out."),
    _figure("shape_low", "", "Profile-likelihood limit."),
    _figure("shape_high", "", "Profile-likelihood limit."),
    _figure("scale", "hours or months", "Weibull characteristic life: the age by which 63.2 % have failed."),
    _figure("scale_low", "hours or months", "Profile-likelihood limit."),
    _figure("scale_high", "hours or months", "Profile-likelihood limit."),
    _figure("b10", "hours or months", "Age by which 10 % have failed."),
    _figure("b10_low", "hours or months", "Profile-likelihood limit."),
    _figure("b10_high", "hours or months", "Profile-likelihood limit."),
    _figure("median", "hours or months", "Age by which half have failed."),
    _figure("log_likelihood", "", "Of the Weibull at its maximum."),
    Told("posterior", Kind.NESTED, "hours or months", "Shape, scale and B10 after prior and data, with limits; decisions rest on these."),
    _figure("wears_out_probability", "0 to 1", "That the hazard rises over the ages the data support."),
    _word("best_family", "The family the data and prior favour."),
    NOTE,
    Told("curve", Kind.LIST, "", "Survival curve: age, at risk, events, surviving, low, high."),
)

INTERVALS = (
    COMPONENT,
    GROUP,
    _count("positions", "positions", "Where it is fitted."),
    _word("verdict", "What to do about the part."),
    _figure("renew_h", H, "Renew at this age; empty with empty months: only when it fails."),
    _figure("renew_months", MONTHS, "Renew at this age, whichever comes first."),
    _figure("inspect_h", H, "Look at it every so many hours."),
    _figure("inspect_months", MONTHS, "Look at it every so many months."),
    _figure("test_months", MONTHS, "Test a hidden function every so many months."),
    Told("range_h", Kind.LIST, H, "Ages whose expected cost is within 2 % of the best."),
    Told("range_months", Kind.LIST, MONTHS, "Ages whose expected cost is within 2 % of the best."),
    _figure("year_h", "engine hours a year", "The group's own use, at which costs are reckoned."),
    _figure("cost_rate", MONEY_YEAR, "Expected cost of the advice."),
    _figure("cost_rate_low", MONEY_YEAR, "Lower limit."),
    _figure("cost_rate_high", MONEY_YEAR, "Upper limit."),
    _figure("current_h", H, "Today's interval, from the plan or else the maker's limit."),
    _figure("current_months", MONTHS, "Today's interval, from the plan or else the maker's limit."),
    _figure("current_cost_rate", MONEY_YEAR, "Expected cost of today's interval."),
    _figure("run_to_failure_cost_rate", MONEY_YEAR, "Expected cost of renewing only when it fails."),
    _figure("saving_per_year", "money a year", "For all positions of the row, against today's interval."),
    _figure("saving_low", "money a year", "Lower limit."),
    _figure("saving_high", "money a year", "Upper limit."),
    _figure("pays_probability", "0 to 1", "That the advised interval costs less than 0.98 of run to failure."),
    _count("failures", "lives", "Failures the verdict rests on."),
    _count("lives", "lives", "Lives the verdict rests on."),
    _figure("limit_h", H, "The maker's or another limit."),
    _figure("limit_months", MONTHS, "The maker's or another limit."),
    Told("limit_binding", Kind.YES_NO, "yes or no", "Whether the limit must be kept."),
    _word("basis", "What the verdict rests on."),
    _word("reason", "Why, in a sentence."),
    _figure("saving_over_failure", "money a year", "For all positions, against renewing only when it fails."),
    _figure("saving_over_failure_low", "money a year", "Lower limit."),
    _figure("saving_over_failure_high", "money a year", "Upper limit."),
    _figure("saving_over_limit", "money a year", "For the positions that have a limit, against renewing at it; empty: none has."),
    _figure("saving_over_limit_low", "money a year", "Lower limit."),
    _figure("saving_over_limit_high", "money a year", "Upper limit."),
    Told(
        "evidence", Kind.LIST, "row numbers", "The rows of the ledger its failures and condition renewals came from; `lives` has the rest."
    ),
)

DUE = (
    ENGINE_ID,
    VESSEL_ID,
    COMPONENT,
    POSITION,
    _word("task", "renew, inspect or test."),
    Told("fitted_on", Kind.DAY, "date", "Day the part now in place was fitted, as far as is known."),
    _figure("age_h", H, "Its age."),
    _figure("age_months", MONTHS, "Its age."),
    _figure("due_in_h", H, "Hours left; below 0: overdue."),
    Told("due_on", Kind.DAY, "date", "Forecast from how that engine is used."),
    Told("overdue", Kind.YES_NO, "yes or no", "Whether the interval has passed."),
    Told("deferred_until", Kind.DAY, "date", "Put off until then."),
    _figure("failure_probability", "0 to 1", "That it fails before the end of the look-ahead."),
    _word("caution", "What can hurt someone at this work."),
)

STOCK = (
    _word("part_id", "The part on the shelf."),
    COMPONENT,
    _word("base", "The base that holds it."),
    _count("on_hand", "pieces", "On the shelf."),
    _figure("mean_demand", "pieces", "Expected use over the season."),
    _figure("demand_low", "pieces", "5 % of seasons use no more than this."),
    _figure("demand_high", "pieces", "95 % of seasons use no more than this."),
    _figure("probability_of_stock_out", "0 to 1", "That what is on hand and on order runs out over the lead time."),
    _count("reorder_point", "pieces", "Order when hand and order together fall to this."),
    _count("order_up_to", "pieces", "Order up to this."),
    _count("order_quantity", "pieces", "Order now, in whole packs."),
    _figure("order_cost", "money", "What that order costs."),
    NOTE,
)

LIKELY = (
    _word("cause", "What may be behind the call; unknown: what never came to light in calls like it."),
    _word("component", "The part it names; empty: none is at fault."),
    _figure("probability", "0 to 1", "Its chance; all rows add to one."),
    _figure("low", "0 to 1", "Lower limit."),
    _figure("high", "0 to 1", "Upper limit."),
    _word("check_first", "What to have the crew look at first, safely."),
    _word("bring", "What to take along."),
    _word("caution", "What can hurt someone at this work."),
)

BACKTEST = (
    _word("season", "The season, foretold from what was known before it."),
    COMPONENT,
    _word("base", "The base the boat worked from when the season began."),
    _figure("expected", "failures", "Foretold; found failed ones too, condition renewals apart."),
    _count("low", "failures", "Lower end of the 90 % range."),
    _count("high", "failures", "Upper end of the 90 % range."),
    _count("actual", "failures", "What came."),
)

ALARMS = (
    _word("alarm", "Cause above forecast, part above forecast, early failures or hours stand still."),
    _word("what", "The cause, part, batch, fitter or engine."),
    _word("where", "The part of the fleet, the part, or the boat."),
    Told("since", Kind.DAY, "date", "Day the count became too many; day the hours stand still since."),
    _figure("seen", "events or hours", "What was counted by now."),
    _figure("expected", "events or hours", "What was to be expected by now."),
    _figure("chance", "0 to 1", "Chance of so many where nothing has changed; empty: not a matter of chance."),
    _word("sentence", "The alarm in a sentence."),
    _word("look_at", "What to look at."),
)

ANSWERS: dict[str, tuple[Told, ...]] = {
    "rates": RATES,
    "lives": LIVES,
    "fits": FITS,
    "intervals": INTERVALS,
    "due": DUE,
    "stock": STOCK,
    "likely": LIKELY,
    "backtest": BACKTEST,
    "alarms": ALARMS,
}


def names_of(verb: str) -> list[str]:
    """Return the column names of the answer to `verb`, in the order of the contract."""
    return [told.name for told in ANSWERS[verb]]
