"""Make the main figures of this package again, and say how far they are from those it holds.

Needs Python with numpy and scipy, and nothing of the program that wrote the package. Run in the folder of the package, or name it:

    python recompute.py [FOLDER]

Made again, from lives.csv, calls.csv and watched_hours.csv alone:
  rates of failures by part, rates of calls by cause   events over hours, exact limits (Garwood 1936)
  curves whose every age of failure is known            product limit (Kaplan and Meier 1958) with delayed entry, log-log limits
  fits                                                  Weibull by maximum likelihood: failures at an age and between two ages, lives
                                                        that had not failed, delayed entry; shape, scale, B10, median, log-likelihood
The settings in force are read from settings.csv. Ends with 1 if any figure differs by more than one part in a hundred thousand.
"""

import csv
import math
import sys
from collections import defaultdict
from pathlib import Path

import numpy as np
from scipy.optimize import minimize
from scipy.stats import chi2, norm

TOLERANCE = 1e-5
FAILED = ("failed", "found failed")
CLOCKS = {"hours": "h", "months": "months"}


def read(folder, name):
    """Return the rows of a table, each {column: word}."""
    with open(folder / f"{name}.csv", encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def number(word):
    """Return a number; empty is not known."""
    return float(word) if word else None


def apart(ours, theirs):
    """Return how far two figures are apart, relative to the greater of them."""
    return abs(ours - theirs) / max(abs(ours), abs(theirs), 1e-300) if ours != theirs else 0.0


def count_limits(events, level):
    """Return the exact limits of a Poisson mean (Garwood 1936)."""
    cut = (1 - level) / 2
    return (chi2.ppf(cut, 2 * events) / 2 if events else 0.0), chi2.ppf(1 - cut, 2 * events + 2) / 2


def rate(events, hours, level):
    """Return events per 1,000 hours with limits."""
    low, high = count_limits(events, level)
    return {"rate": 1000 * events / hours, "low": 1000 * low / hours, "high": 1000 * high / hours}


def hours_watched(life):
    """Return for how many hours a life was watched; a part renewed on condition was watched until then."""
    end = number(life["low_h"]) if life["ending"] == "condition" else number(life["high_h"] or life["low_h"])
    entry = number(life["entry_h"])
    return None if end is None or entry is None else end - entry


def failure_rates(lives, level):
    """Rates of failures by part: {part: figures}."""
    events, hours = defaultdict(int), defaultdict(float)
    for life in lives:
        watched = hours_watched(life)
        if watched is not None:
            hours[life["component"]] += watched
            events[life["component"]] += life["ending"] in FAILED
    return {part: rate(events[part], hours[part], level) for part in hours if hours[part] > 0}


def call_rates(calls, months, level):
    """Rates of calls by cause: {cause: figures}. A boat's month counts where the hours of all its engines are known."""
    boats = defaultdict(list)
    for month in months:
        if (number(month["days"]) or 0) > 0:
            boats[month["vessel_id"], month["month"]].append(number(month["engine_h"]))
    known = {place: sum(hours) for place, hours in boats.items() if None not in hours}
    events = defaultdict(int)
    for call in calls:
        events[call["cause"] or "unknown"] += (call["vessel_id"], call["month"]) in known
    hours = sum(known.values())
    return {cause: rate(count, hours, level) for cause, count in events.items()} if hours > 0 else {}


def ages(lives, clock):
    """Lives of one part on one clock as arrays entry, low, high; high infinite: had not failed. No lives of no length."""
    end = CLOCKS[clock]
    rows = []
    for life in lives:
        entry, low, high = (number(life[f"{name}_{end}"]) for name in ("entry", "low", "high"))
        if low is None or entry is None:
            continue
        if (low if high is None else high) > entry:
            rows.append((entry, max(low, entry), math.inf if high is None else high))
    return np.array(rows, dtype=float).reshape(-1, 3).T


def product_limit(entry, low, high, begins, level):
    """Return age, surviving and its limits of the parts that reach the age `begins`; every failure has its age."""
    finish = np.where(np.isinf(high), low, high)
    kept = (low >= begins) & (finish > begins)
    entry, low, high, finish = np.maximum(entry[kept], begins), low[kept], high[kept], finish[kept]
    at = np.unique(low[low == high])
    failed = np.array([np.sum((low == high) & (low == age)) for age in at])
    at_risk = np.array([np.sum((entry < age) & (finish >= age)) for age in at])
    surviving = np.cumprod(1 - failed / at_risk)
    with np.errstate(divide="ignore", invalid="ignore"):
        spread = np.sqrt(np.cumsum(failed / (at_risk * (at_risk - failed))))
        fold = np.exp(norm.ppf((1 + level) / 2) * spread / -np.log(surviving))
        return at, surviving, surviving**fold, surviving ** (1 / fold)


def log_likelihood(parameters, entry, low, high):
    """Weibull with failures at an age (low = high), between two ages, not yet (high infinite), delayed entry."""
    shape, scale = np.exp(parameters)
    exact, running = low == high, np.isinf(high)
    between = ~exact & ~running
    hazard = lambda age: (age / scale) ** shape  # noqa: E731
    total = np.sum(hazard(entry))
    total += np.sum(np.log(shape / scale) + (shape - 1) * np.log(low[exact] / scale) - hazard(low[exact]))
    total -= np.sum(hazard(low[running]))
    gained = hazard(high[between]) - hazard(low[between])
    return total + np.sum(-hazard(low[between]) + np.log(-np.expm1(-gained)))


def most_likely(entry, low, high):
    """Return shape, scale, B10, median and log-likelihood of the most likely Weibull."""
    typical = np.mean(np.where(np.isinf(high), low, high))

    def loss(parameters):
        with np.errstate(all="ignore"):
            value = -log_likelihood(parameters, entry, low, high)
        return value if math.isfinite(value) else 1e300

    found = np.array([0.3, math.log(typical) + 0.5])
    for _ in range(4):
        found = minimize(loss, found, method="Nelder-Mead", options={"xatol": 1e-11, "fatol": 1e-13, "maxiter": 4000}).x
    shape, scale = np.exp(found)
    return {
        "shape": shape,
        "scale": scale,
        "b10": scale * (-math.log(0.9)) ** (1 / shape),
        "median": scale * math.log(2) ** (1 / shape),
        "log_likelihood": -loss(found),
    }


def compare_rates(told, of, by, made):
    """Return how far the rates of a breakdown are from those made again."""
    rows = {row["group"]: row for row in told if row["of"] == of and row["by"] == by and row["rate"]}
    return [apart(made[group][name], float(row[name])) for group, row in rows.items() for name in ("rate", "low", "high")]


def compare_curves(curves, fits, by_part, level):
    """Return how far the curves are from those made again, where every age of failure is known."""
    steps = defaultdict(list)
    for row in curves:
        steps[row["component"], row["group_name"], row["clock"]].append(row)
    found = []
    for fit in fits:
        told = steps.get((fit["component"], fit["group_name"], fit["clock"]), [])
        if not told or int(fit["interval_censored"]):
            continue
        entry, low, high = ages(by_part[fit["component"]], fit["clock"])
        at, surviving, low, high = product_limit(entry, low, high, float(told[0]["age"]), level)
        for row in told[1:]:
            place = np.searchsorted(at, float(row["age"]), side="right") - 1
            names = {"surviving": surviving, "low": low, "high": high}
            found += [apart(values[place], float(row[name])) for name, values in names.items() if surviving[place] > 0]
    return found


def compare_fits(fits, by_part):
    """Return how far the fits are from those made again."""
    found = []
    for fit in fits:
        if fit["shape"]:
            made = most_likely(*ages(by_part[fit["component"]], fit["clock"]))
            found += [apart(value, float(fit[name])) for name, value in made.items() if fit[name]]
    return found


def main():
    """Make the figures again, print how far apart they are, and return the exit code."""
    folder = Path(sys.argv[1] if len(sys.argv) > 1 else ".")
    level = float(next(row["value"] for row in read(folder, "settings") if row["setting"] == "level"))
    rates, lives, fits = read(folder, "rates"), read(folder, "lives"), read(folder, "fits")
    by_part = defaultdict(list)
    for life in lives:
        by_part[life["component"]].append(life)
    calls = call_rates(read(folder, "calls"), read(folder, "watched_hours"), level)
    found = {
        "rates of failures by part": compare_rates(rates, "failures", "component", failure_rates(lives, level)),
        "rates of calls by cause": compare_rates(rates, "calls", "cause", calls),
        "curves": compare_curves(read(folder, "curves"), fits, by_part, level),
        "Weibull fits": compare_fits(fits, by_part),
    }
    for name, differences in found.items():
        print(f"{name}: {len(differences)} figures, largest relative difference {max(differences, default=0.0):.1e}")
    largest = max((max(differences) for differences in found.values() if differences), default=0.0)
    print(f"largest relative difference of all {largest:.1e}")
    return 0 if largest <= TOLERANCE else 1


if __name__ == "__main__":
    sys.exit(main())
