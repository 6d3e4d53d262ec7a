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
    Told("deferred_until", Kind.DAY, "date", "Put off until then, by the last put-off that stands, also where that day is over."),
    _figure("failure_probability", "0 to 1", "That it fails before the yard's next visit (the end of the look-ahead unless told)."),
    _word("caution", "What can hurt someone at this work."),
    _word("because", "Why it is due: by which rule and whose, how far over, what was put off, the chance of failing."),
    _word("state", "running; down: failed and not renewed; unknown: no fitting is recorded."),
    Told("ceiling_on", Kind.DAY, "date", "Day past which it may not be put off; empty: none binds, or it is not known."),
    _count("times_put_off", "put-offs", "How often this task was put off since it was last done."),
    _word("put_off_by", "Who put it off last."),
    _word("put_off_because", "Why."),
    _count("put_off_import", "import", "Import that takes the last put-off back when undone."),
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
    _word("supplier", "Who it is ordered from."),
    _count("on_order", "pieces", "Ordered, not yet here; counted as if it were."),
    _figure("lead_time_d", "days", "From order to shelf."),
    _count("pack_size", "pieces", "Sold in packs of."),
    _figure("unit_cost", "money", "One piece."),
    _count("positions", "positions", "Where it is fitted now."),
    _figure("failing_demand", "pieces", "Of the expected use: for parts that fail, or are seen to be failing."),
    _figure("planned_demand", "pieces", "Of the expected use: for renewals by plan, when the yard does them."),
    _figure("damage_demand", "pieces", "Of the expected use: for damage from outside."),
    Told("season_use", Kind.LIST, "pieces", "Use over the season: chance (0 to 1) that no more than so many pieces are used."),
    _figure("lead_demand", "pieces", "Expected use over the lead time."),
    Told("lead_use", Kind.LIST, "pieces", "Use over the lead time: chance (0 to 1) that no more than so many pieces are used."),
    _count("last_year_use", "pieces", "What the same days of the year before took; empty: the records do not reach back so far."),
    Told("running_out", Kind.LIST, "0 to 1", "By the end of each month: chance of having run out, if nothing more is ordered."),
    Told("runs_out_early_on", Kind.DAY, "date", "Day on which that chance passes 1 - the wanted level; empty: not so soon."),
    Told("runs_out_even_on", Kind.DAY, "date", "Day on which that chance passes one half; empty: not so soon."),
    _count("surplus", "pieces", "On the shelf beyond what the season asks for at the wanted level."),
    _figure("stock_value", "money", "What lies on the shelf."),
    _figure("holding_cost", "money", "Cost of holding through the season with that order, at `carrying_rate` a year."),
    _figure("renewals_missed", "renewals", "Expected to find no part in the season, with that order and no further one."),
    _figure("waiting_cost", "money", "Cost of boats that wait for it in the season, with that order; empty: nobody said."),
    _figure("waiting_cost_unordered", "money", "The same if nothing is ordered."),
    _word("hold", "one or none: whether money is for holding one of a part that moves slowly; empty: it moves, or cannot be told."),
    _word("hold_reason", "Why, in money."),
    Told("obsolete", Kind.YES_NO, "yes or no", "Nothing takes it, or nothing takes it any more."),
    Told("order_by", Kind.DAY, "date", "A lead time before runs_out_early_on, today at the earliest; empty: not so soon."),
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

_FORETOLD = (
    _word("season", "The season that was foretold."),
    Told("known_on", Kind.DAY, "date", "The last day that was known when it was foretold."),
    Told("begins", Kind.DAY, "date", "First day that was foretold."),
    Told("ends", Kind.DAY, "date", "Last day that was foretold."),
    _word("sort", "failures (found failed ones too) or condition renewals."),
    _word("component", "The part; empty: all of the fleet."),
    _word("base", "The base the boat worked from when it was foretold."),
    _figure("expected", "failures or renewals", "Foretold."),
    _count("low", "failures or renewals", "Lower end of the 90 % range."),
    _count("high", "failures or renewals", "Upper end of the 90 % range."),
)

COMING = _FORETOLD

KEPT_FORECASTS = (
    _count("forecast", "import", "The forecast, by the import it is."),
    _word("kept_by", "Who kept it."),
    *_FORETOLD,
    _count("actual", "failures or renewals", "What came; empty: its days are not over."),
    _count("so_far", "failures or renewals", "What came up to the last day that is known."),
    _word("state", "runs, over or taken back."),
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
    _word("vessel_id", "The boat, where it is about one."),
    Told("evidence", Kind.LIST, "row numbers", "The rows of the ledger that were counted."),
)

WEEK = (
    _word("matter", "stay tied up, overdue, due soon, call, alarm, runs out or waits for a person."),
    _word("vessel_id", "The boat; empty: not about one boat."),
    _word("name", "Its name."),
    _word("what", "The cause, part, batch, fitter, engine or queue."),
    Told("on", Kind.DAY, "date", "Day of the call; day the first job is or was due; day the alarm began."),
    _count("count", "jobs, calls, parts or rows", "How many the line tells of."),
    _word("sentence", "The line."),
    _word("look_at", "What to do."),
    Told("evidence", Kind.LIST, "row numbers", "The rows of the ledger that were counted, of a call or an alarm."),
)

FIND = (
    _word("found", "boat, engine, part, stocked part, ticket or call."),
    _word("id", "Its id; of a part its code."),
    _word("label", "What it is called; of a ticket or call what it says."),
    _word("met_by", "What the words met: id, name, old name, a column of your own, trade word, note; or a near word."),
    _word("vessel_id", "The boat it is about."),
    _word("component", "The part it is about."),
    Told("on", Kind.DAY, "date", "Day of the ticket or call."),
)

KIT = (
    _word("boat_type", "Class of boat and engine models."),
    _count("boats", "boats", "Boats of this type in service."),
    _word("item", "What may be carried."),
    _word("form", "In which form."),
    Told("aboard", Kind.YES_NO, "yes or no", "Whether it belongs aboard within the limits given."),
    _count("pieces", "pieces", "Pieces that one fitting takes."),
    _figure("price", "money", "Of those pieces; empty: not recorded."),
    _figure("weight_kg", "kg", "Of those pieces; empty: not recorded."),
    _figure("tows_stopped", "tows a boat and season", "That a crew which fits it would have spared."),
    _figure("low", "tows a boat and season", "Lower limit."),
    _figure("high", "tows a boat and season", "Upper limit."),
    _figure("saved", "money a boat and season", "Those tows at the mean cost of a tow; empty: no tow has a cost."),
    _word("tools", "Tools a crew needs for it."),
    _word("only", "When it may be fitted at all."),
    _word("note", "Why it is not aboard."),
    Told("safety", Kind.YES_NO, "yes or no", "A safety part: law or maker may demand one, whatever the count says."),
    _word("caution", "What can hurt someone at this work."),
)

VISITS = (
    Told("visit_on", Kind.DAY, "date", "Day of the visit."),
    VESSEL_ID,
    _word("base", "The base the boat works from."),
    _count("jobs", "jobs", "How many are done on it."),
    _count("overdue", "jobs", "Of them overdue."),
    Told("tasks", Kind.LIST, "", "The jobs: task, part, engine and position."),
    _word("why", "What sets the day, and what was brought forward or put back to it."),
    _figure("visit_cost", "money", "A visit to this boat, whatever is done on it; empty: not known."),
    _figure("moving_cost", "money", "What moving jobs from their own days costs: parts used for less, failures added."),
    _figure("cost", "money", "Visit and moving together; the jobs themselves cost the same on any day."),
    _figure("saving", "money", "Against each job on its own day; jobs due on one day share a visit there too."),
    Told("caution", Kind.LIST, "", "What can hurt someone at this work."),
)

SPARE_BOATS = (
    GROUP,
    Told("month", Kind.DAY, "date", "First day of the month; of this month only the days to come are told."),
    _count("boats", "boats", "In service, all taken to be booked."),
    _figure("stoppages", "stoppages", "Expected over the days told: failures, calls, and planned work whose downtime is recorded."),
    _figure("boats_down", "boats", "Expected number out of use at once."),
    _figure("low", "boats", "Lower limit of that expected number."),
    _figure("high", "boats", "Upper limit of that expected number."),
    _count(
        "spares_needed", "boats", "So many spare boats replace every boat that is down, with the wanted chance, at a moment of the month."
    ),
    _figure("chance_enough", "0 to 1", "That so many are enough."),
    _figure("boat_days_lost", "boat-days", "Expected days out of use, before any spare boat."),
    _figure("boat_days_short", "boat-days", "Expected days not covered by so many spare boats."),
    _figure("one_more_covers", "boat-days", "What one more spare boat would cover."),
    NOTE,
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
    "coming": COMING,
    "kept_forecasts": KEPT_FORECASTS,
    "alarms": ALARMS,
    "visits": VISITS,
    "spare_boats": SPARE_BOATS,
    "kit": KIT,
    "week": WEEK,
    "find": FIND,
}


def names_of(verb: str) -> list[str]:
    """Return the column names of the answer to `verb`, in the order of the contract."""
    return [told.name for told in ANSWERS[verb]]
