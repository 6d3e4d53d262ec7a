"""What lies behind a rate, in sentences: years, seasons, boats, how calls add up, two rows compared.

In: the patterns of the answer `rates`. Out: Markdown. A difference that chance alone could make is said to be one.
Elsewhere: the figures (`fits`), the rates themselves (`calls`).
"""

from collections.abc import Mapping, Sequence
from typing import Any

import polars as pl

from dashboard.sentences.calls import NOUNS
from dashboard.sentences.plain import UNBROKEN, counted, figure, literal, percent

Pattern = Mapping[str, Any]
UNLIKELY = 0.05
CHANCE = "chance alone could make that difference"


def trend_words(trend: Pattern) -> str:
    """Say how the rate of a year compares with that of the year before, and where the coding changed."""
    if trend.get("per_year") is None:
        return f"**No trend can be given.** {literal(trend.get('note') or '')}"
    limits = f"{_change(trend['low'])} to {_change(trend['high'])}"
    if trend["p_value"] >= UNLIKELY:
        first = (
            f"**No steady rise or fall:** from one year to the next the rate changed by {_change(trend['per_year'])} ({limits}); {CHANCE}."
        )
    else:
        way = "rises" if trend["per_year"] > 1 else "falls"
        first = f"**The rate {way}:** by {_change(trend['per_year'])} from one year to the next ({limits})."
    wide = trend.get("dispersion") or 1.0
    more = f" Months differ {figure(wide)} times as much as by chance; the limits allow for that." if wide > 1.5 else ""
    return f"{first}{more}"


def break_words(trend: Pattern) -> list[str]:
    """Say of each change of coding what was written less and more from when on, as Markdown."""
    return [literal(step["told"]) for step in trend["breaks"]]


def moving_causes(trend: Pattern) -> str:
    """Name the causes whose own trend is beyond chance, allowing for how many were looked at; empty where there is none."""
    causes: Sequence[Pattern] = trend["causes"]
    sure = [cause for cause in causes if cause["p_value"] * len(causes) < UNLIKELY]
    if not sure:
        return f"None of {counted(len(causes), 'cause', 'causes')} rises or falls by more than chance." if causes else ""
    told = [f"**{literal(cause['cause'])}** {_change(cause['per_year'])} a year" for cause in sure]
    return f"Beyond chance, of {counted(len(causes), 'cause', 'causes')} looked at: {', '.join(told)}."


def _change(times: float) -> str:
    share = round(100 * (times - 1))
    told = f"{share:+d}" if share else "0"
    return "more than tenfold" if times > 10 else f"{told}{UNBROKEN}%".replace("-", "−")


def _times(ratio: float) -> str:
    return "endless" if ratio == float("inf") else f"{ratio:.2f}" if ratio < 10 else figure(ratio)


def season_words(seasons: Pattern) -> str:
    """Say whether months of the year differ, and which are worst."""
    if seasons.get("p_value") is None:
        return f"**Seasons cannot be told apart.** {literal(seasons.get('note') or '')}"
    rows: pl.DataFrame = seasons["rows"]
    busy = rows.filter(pl.col("exposure_h") >= 0.1 * pl.col("exposure_h").max()).sort("rate", descending=True)
    worst = [MONTHS[month - 1] for month in busy["month_of_year"].head(2)]
    if seasons["p_value"] >= UNLIKELY:
        return f"**The months of the year do not differ by more than chance** (chance of so much difference {percent(seasons['p_value'])})."
    return f"**The months of the year differ** by more than chance; worst, of those with many hours: {' and '.join(worst)}."


MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)


def boats_words(boats: Pattern) -> str:
    """Say which boats stand out, and how many would be worth a look by chance alone."""
    if boats.get("rows") is None:
        return f"**Boats cannot be compared.** {literal(boats.get('note') or '')}"
    rows: pl.DataFrame = boats["rows"]
    out = rows.filter(pl.col("standing") == "stands out high")["name"].to_list()
    well = rows.filter(pl.col("standing") == "stands out low")["name"].to_list()
    look = rows.filter(pl.col("standing").str.starts_with("worth a look")).height
    first = f"**{_listed(out)} {'stands' if len(out) == 1 else 'stand'} out:** more than chance gives boats of their hours."
    first = first if out else "**No boat stands out** after chance is allowed for."
    good = f" Fewer than chance: {_listed(well)}." if well else ""
    by_chance = f"of {rows.height} like boats about {rows.height * 0.05:.0f} are by chance alone"
    usual = f" {counted(look, 'boat is', 'boats are')} worth a look; {by_chance}."
    return f"{first}{good}{usual}"


def _listed(names: Sequence[str]) -> str:
    told = [literal(name) for name in names[:6]]
    return ", ".join(told) + (f" and {len(names) - 6} more" if len(names) > 6 else "")


def adding_up_words(recurrence: Pattern) -> str:
    """Say how many calls a boat has had by the end, and whether they come faster or slower."""
    if recurrence.get("rows") is None:
        return f"**Calls cannot be added up.** {literal(recurrence.get('note') or '')}"
    last = recurrence["rows"].row(-1, named=True)
    mean = f"**{figure(last['mean'])} calls a boat** ({figure(last['low'])} to {figure(last['high'])}) in {last['age'] / 365.25:.1f} years."
    law = recurrence["power_law"]
    limits = f"growth {law['growth']:.2f}, {law['growth_low']:.2f} to {law['growth_high']:.2f}; 1 is steady"
    if recurrence["laplace"]["p_value"] >= UNLIKELY:
        return f"{mean} They come neither faster nor slower as time goes by ({limits})."
    return f"{mean} They come **{'faster' if recurrence['laplace']['statistic'] > 0 else 'slower'}** as time goes by ({limits})."


def cost_words(costs: Pattern, currency: str) -> str:
    """Say what calls have cost a boat by the end."""
    if costs.get("rows") is None:
        return f"**Costs cannot be added up.** {literal(costs.get('note') or '')}"
    last = costs["rows"].row(-1, named=True)
    money = [f"{last[name]:,.0f}" for name in ("mean", "low", "high")]
    told = f"**{money[0]} {currency or 'money'} a boat** ({money[1]} to {money[2]}) in {last['age'] / 365.25:.1f} years."
    return f"{told} {literal(costs['note'])}" if costs.get("note") else told


def ratio_words(ratio: Pattern) -> str:
    """Say how the rates of two rows compare."""
    one, other = literal(ratio["group"]), literal(ratio["other"])
    if ratio["ratio"] is None:
        return f"**{one} against {other}:** {literal(ratio['note'])}"
    value, low, high = (_times(ratio[name]) for name in ("ratio", "low", "high"))
    doubt = f" {CHANCE.capitalize()}." if ratio["low"] <= 1 <= ratio["high"] else " That is more than chance."
    return f"**{one}: {value} times the rate of {other}** ({low} to {high}).{doubt}"


def preventable_words(rows: pl.DataFrame, of: str) -> str:
    """Say what share each remedy would have prevented, with limits, the largest first; the shares add to one."""
    told = rows.filter(pl.col("events") > 0).sort("events", descending=True).to_dicts()
    lines = [
        f"- {literal(row['group'])}: **{percent(row['share'])}** ({percent(row['share_low'])} to {percent(row['share_high'])})"
        for row in told
    ]
    return "\n".join([f"Of {counted(int(rows['events'].sum()), *NOUNS[of])}, each counted once under its first remedy:", "", *lines])
