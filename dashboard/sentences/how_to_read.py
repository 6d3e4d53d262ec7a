"""How to read each picture: what the marks are, what the bars mean, what not to conclude.

In: nothing. Out: Markdown by the name of the picture. Plain words first, the statistical term after them.
"""

RATES = """
**Dot:** events for every 1,000 engine hours watched. **Bar:** the rates that could well have given this count by chance
(exact 95 % limits for a Poisson count).

- Bars that overlap widely may differ by chance alone.
- A hollow grey dot is a row whose cause nobody knows, or whose word nobody has coded. It is never shared out among the others.
- No dot: the hours are unknown, so there is no rate, only the count.
- A bar that reaches the edge goes on beyond it.
- Right: how many, and in how many engine hours. Calls on a boat with two engines count once, against the hours of both.
"""

MONTHS = """
**Dot:** events for every 1,000 engine hours of that month. **Bar:** its exact 95 % limits.

- Months with few hours say little: a bar that runs off the top is thin, and a hollow triangle is a rate beyond the picture.
- A drop can also be a new form or code list: ask what changed in the records before crediting the boats.
"""

SURVIVAL = """
**Steps:** the share of parts still running at each age, as seen (Kaplan-Meier, with parts that were already in use counted only from then
on). **Shaded:** its 95 % limits. **Red line:** the fitted Weibull; dashed where it goes past the ages that were seen, which is a guess.

- *Watched:* how many parts were under watch at that age. Where it is small, trust the curve little.
- Parts renewed in good time or still running count as having lasted at least that long; they are not failures.
- The average age of the parts that failed is not shown: it forgets those that did not.
"""

LIFE_RANGES = """
**Dot:** the age by which one part in ten has failed (B10 life), by the fitted Weibull. **Bar:** its 95 % limits.

- Compare rows by their bars. If they overlap widely, the records do not show a difference.
- No dot: too few failures for a fit. A bar that reaches the edge goes on beyond it. B10 is not a "safe until".
"""

INTERVALS = """
**◆ filled diamond:** the interval advised; the green bar is every interval that costs within 2 % of the best.
**○ hollow circle:** what you do now. **❘ upright stroke:** the maker's or another limit.

- A row without marks has nothing on this clock: switch between hours and months.
- A binding limit is a ceiling, whatever the records say.
"""

COST = """
**Line:** what one position costs a year, on average, if the part is renewed at that age: renewals and failures together.
**Shaded:** where that cost lies with 90 % chance, given these records.

- To the left you renew too often, to the right you wait for failures. The flatter the valley, the less it matters.
- *Dotted line:* renewing only when it fails. If the valley hardly dips below it, keep a spare instead.
- *Green:* intervals that cost within 2 % of the best.
"""

DUE = """
One line a boat. **◀ filled triangle:** overdue. **○ hollow circle:** still to come. The upright line is the day the list was made for.

- Days are forecast from how that engine is used; a job overdue for more than 60 days stands at the left edge.
- A number beside a mark: so many jobs in one place.
- Boats with most overdue come first; the table below holds every boat.
"""

SHELF = """
**Broad bar:** pieces on the shelf. **Dot:** expected use over the season, with its 90 % range. **❘ upright stroke:** order when hand and
order together fall to this.

- Use is whole pieces: 2.3 is an average over many seasons like this one.
- A part whose stroke lies right of its bar is due to be ordered.
"""

BUDGET = """
Each step buys the piece that adds most for its price. The height is the chance that a part asked for is on the shelf.
"""

RECONCILIATION = """
Read each line as a sum. **Repeated:** the same row came again. **Superseded:** a later row with the same key corrects it.
**Left out:** a fault; the row is kept as it came, with its reason, and can be put right and taken in again.

- The length of a bar is its share of the rows in.
"""

BOAT_HOURS = """
**Line and dots:** the readings that are believed, as engine hours since commissioning: across a change of meter they are added up.
**✕ cross:** a reading that was set aside, at the figure that was written; **▲ triangle:** one that lies beyond the picture.

- Nothing is thrown away: a reading set aside stands in the table with its reason, its file and its line, and can be put right.
- Between two readings the hours follow the season of the base; that is not drawn.
"""

BOAT_LINE = """
A lane for each sort. **▼ triangle:** a rescue call. **◆ diamond:** a part found failed. **● dot:** a part fitted or renewed.
**○ hollow dot:** looked at, cleaned, adjusted. A number below a mark: so many on that day.

- Touch a mark for what was written. The table below says the same, line by line.
- Nothing written is not the same as nothing done: records begin and stop.
"""

PART_AGES = """
**Dot:** how much of its interval the part has used, on hours or months, whichever is further. **❘ upright stroke:** due.
**▶ triangle:** past it; what is older than twice its interval stands at the edge.

- The interval is the adopted plan, or the maker's limit where there is no plan or the limit must be kept.
- Parts without an interval, or whose age nobody knows, are not drawn: they stand in the figures.
"""

PARTS_OF_RECORDS = {
    "left_out_rows": "Each is kept as it came, with what is wrong and the way out. Put it right in your file and take the file in again.",
    "uncoded": "Words that no list knows. Their rows count as uncoded until someone says what they mean, once for all rows.",
    "near_misses": "Words that are one slip away from a known word and were read as that word. Look them over.",
    "left_out_of_lives": "Accepted rows and positions that no life could be made from, with the reason.",
    "imports": "Each can be undone by its number: `towless intake --undo NUMBER`.",
}

TERMS = {
    "rate": "A rate with exact Poisson limits (Garwood 1936), over all engine hours that were watched.",
    "wear": (
        "Wears out: the hazard rises over the ages the records support; the chance is its posterior probability, with the prior printed by "
        "`towless fits`. One in ten: the B10 life of the Weibull fitted by maximum likelihood, with 95 % profile-likelihood limits."
    ),
    "saving": (
        "Age replacement (Barlow and Proschan 1965), averaged over everything the records leave open (posterior expected cost); "
        "the range holds 90 % of it."
    ),
    "order": "Reorder point: the smallest stock that meets the demand of the lead time with the wanted chance (service level).",
}
"""The statistical term behind a plain sentence, for whoever asks."""
