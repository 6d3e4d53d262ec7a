"""Forecasts and what came of them, in sentences.

In: what stands in and beside the rows of `backtest`. Out: Markdown, and rows with a word for each picture.
Elsewhere: the marks (`advice`), their pictures (`charts.foretold`).
"""

from typing import Any

import polars as pl

from dashboard.sentences.plain import counted, day, figure, literal, money, percent


def seasons_of(rows: pl.DataFrame) -> list[str]:
    """Return the seasons that were marked, the latest first."""
    return rows["season"].unique().sort(descending=True).to_list()


def season_lines(totals: pl.DataFrame) -> pl.DataFrame:
    """Add to whole seasons their line and what came, the latest first."""
    told = [f"{row['actual']:,} came, {figure(row['expected'])} foretold" for row in totals.to_dicts()]
    return totals.with_columns(pl.col("season").alias("line"), pl.Series("told", told, pl.String)).sort("season", descending=True)


def part_lines(rows: pl.DataFrame, season: str) -> pl.DataFrame:
    """Add to the rows of one season their line and whether the range missed."""
    here = rows.filter(pl.col("season") == season)
    line = pl.concat_str("component", pl.col("base").fill_null("no base"), separator=" · ")
    return here.with_columns(line.alias("line"), (~pl.col("actual").is_between("low", "high")).alias("missed"))


def how_right(rows: pl.DataFrame, season: str, coverage: dict[str, Any]) -> str:
    """Say how one season went, and how often the ranges of all seasons held."""
    here = part_lines(rows, season)
    missed, expected, came = int(here["missed"].sum()), float(here["expected"].sum()), int(here["actual"].sum())
    first = f"**Season {season}: {counted(came, 'failure', 'failures')} came, {figure(expected)} were foretold.**"
    of = f"{here.height - missed} of {here.height} ranges held"
    return f"{first} {of}; over all seasons {percent(coverage['covered'])} of {coverage['rows']:,}. {whole_counts(coverage)}"


def whole_counts(coverage: dict[str, Any]) -> str:
    """Say what ranges of whole numbers ought to hold."""
    return (
        f"A range of whole numbers holds more than its {percent(coverage['level'])}; with the chance at its ends shared out it is "
        f"{percent(coverage['randomised'])}."
    )


def ahead_words(rows: pl.DataFrame) -> str:
    """Say how many failures of all parts the season that comes will bring."""
    whole = rows.filter(pl.col("component").is_null()).row(0, named=True)
    span = f"from {day(whole['begins'])} to {day(whole['ends'])}"
    return f"**Season {whole['season']}: {figure(whole['expected'])} failures foretold, {whole['low']:,} to {whole['high']:,}**, {span}."


def ahead_lines(rows: pl.DataFrame, sort: str, most: int) -> pl.DataFrame:
    """Return the parts and bases of which most is foretold, each with its line and a few words."""
    here = rows.filter(pl.col("sort") == sort, pl.col("component").is_not_null()).sort("expected", descending=True).head(most)
    line = pl.concat_str("component", pl.col("base").fill_null("no base"), separator=" · ")
    told = [f"{figure(row['expected'])} foretold, {row['low']} to {row['high']}" for row in here.to_dicts()]
    return here.with_columns(line.alias("line"), pl.Series("told", told, pl.String), pl.lit(None, pl.Int64).alias("actual"))


def kept_lines(rows: pl.DataFrame) -> list[str]:
    """Say of each forecast that was kept what it foretold of the whole fleet and what came, the latest first."""
    whole = rows.filter(pl.col("component").is_null()).sort("forecast", descending=True)
    return [_kept(row) for row in whole.to_dicts()]


def _kept(row: dict[str, Any]) -> str:
    foretold = f"**Season {row['season']}**, kept by {literal(row['kept_by'])} on what was known on {day(row['known_on'])}: "
    foretold += f"{figure(row['expected'])} failures foretold ({row['low']:,} to {row['high']:,})"
    if row["actual"] is None:
        return f"{foretold}; {row['so_far']:,} so far, up to {day(row['ends'])} it runs." + _taken_back(row)
    held = "within the range" if row["low"] <= row["actual"] <= row["high"] else "outside the range"
    return f"{foretold}; {row['actual']:,} came, {held}." + _taken_back(row)


def _taken_back(row: dict[str, Any]) -> str:
    return " Taken back since; it counts in no mark." if row["state"] == "taken back" else ""


def score_words(score: dict[str, Any]) -> str:
    """Say whether the forecast gave what came a better chance than a plain count did."""
    ours, plain = score["forecast"], score["naive"]
    better = "better than" if ours > plain else "no better than"
    return f"**The forecast was {better} a plain count of the time before:** log score {ours:.2f} against {plain:.2f}; nearer 0 is better."


def cost_words(costs: pl.DataFrame, currency: str, note: str) -> str:
    """Say what the advice of each season's start would have saved a year."""
    if costs.is_empty() or not costs["parts"].sum():
        return "**The advice cannot be weighed in money:** no part has both costs and an interval in force."
    last = costs.sort("season").row(-1, named=True)
    told = f"**At the start of season {last['season']} the advice was worth {money(last['saving'], currency)} a year**"
    return f"{told} against what was in force, over {counted(last['parts'], 'part', 'parts')}. {literal(note)}"


def adoption_lines(adopted: pl.DataFrame, note: str) -> str:
    """Say what each adopted interval changed, with limits and the caution."""
    if adopted.is_empty():
        return "**No interval was adopted long enough ago** to say whether it changed anything: it takes three months, and a dated plan."
    known = adopted.filter(pl.col("ratio").is_not_null())
    lines = [_adoption(row) for row in known.sort("adopted_on", descending=True).to_dicts()]
    rest = adopted.height - known.height
    first = "other " if lines else ""
    unsaid = [
        f"- {counted(rest, f'{first}interval', f'{first}intervals')} without failures or without records before: no rates to compare."
    ]
    unsaid = unsaid if rest else []
    return "\n".join([*lines, *unsaid, "", literal(note)])


def _adoption(row: dict[str, Any]) -> str:
    where = " · ".join(literal(word) for word in (row["component"], row["engine_model"], row["base"]) if word)
    high = "endless" if row["high"] is None or row["high"] == float("inf") else f"{row['high']:.2f}"
    change = "more than chance" if not row["low"] <= 1 <= (row["high"] or 1) else "chance alone could make the difference"
    counts = f"{row['before']} in {figure(row['before_years'])} part-years before, {row['after']} in {figure(row['after_years'])} since"
    return f"- **{where}**, {day(row['adopted_on'])}: {counts}; {row['ratio']:.2f} times the rate ({row['low']:.2f} to {high}), {change}."
