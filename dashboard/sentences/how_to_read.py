"""How to read each picture: what the marks are, what the bars mean, what not to conclude.

In: nothing. Out: Markdown by the name of the picture. Plain words first, the statistical term after them, last a link
to the method (`methods`).
"""

RATES = """
**Dot:** events for every 1,000 engine hours watched. **Bar:** the rates that could well have given this count by chance
(exact 95 % limits for a Poisson count). **◇ small hollow diamond:** the rate drawn towards that of all
rows (shrunken), the more, the fewer its events.

- Bars that overlap widely may differ by chance alone.
- A hollow grey dot is a row whose cause nobody knows, or whose word nobody has coded. It is never shared out among the others.
- No dot: the hours are unknown, so there is no rate, only the count.
- A bar that reaches the edge goes on beyond it.
- Right: how many, and in how many engine hours. Calls on a boat with two engines count once, against the hours of both.

[How it is worked out](how-it-is-worked-out#rates)
"""

MONTHS = """
**Dot:** events for every 1,000 engine hours of that month. **Bar:** its exact 95 % limits. **Red line:** what trend and season lead to
expect. **Dashed upright line:** from there on causes seem to have been written down differently.

- Months with few hours say little: a bar that runs off the top is thin, and a hollow triangle is a rate beyond the picture.
- A drop of one cause can also be a new form or code list: ask what changed in the records before crediting the boats. The trend of a
  cause is cut where its coding changed.

[How it is worked out](how-it-is-worked-out#trend)
"""

REMEDIES = """
Each cause has one first remedy, so every call is counted once and the shares add to one. **Dot** and **bar** as in the rates beside it.

- *Nothing known* and *unknown* stay what they are: no share of them is given to another remedy.
- It says what would have prevented the cause as a rule, not that it surely would have on that day.

[How it is worked out](how-it-is-worked-out#preventable)
"""

SEASONS = """
**Dot:** events for every 1,000 engine hours run in that month, all years together. **Bar:** its exact 95 % limits. **Dotted:** the year's
mean.

- Hours are allowed for: a busy month is not worse for having more calls.
- A bar that runs off the top is thin: hardly an hour was run in that month.

[How it is worked out](how-it-is-worked-out#seasons)
"""

ALARMS = """
One line for each thing that wants a look, the surest first.

- **Above its forecast:** more calls of a cause, or failures of a part, came this season than the seasons before let expect by now; a busy
  month and the time of year are allowed for. It is told on the day the count became too many, and no longer once it has fallen back.
- **Early failures:** parts of one batch, or fitted by one hand, failed within three months more often than like parts did.
- **Hours stand still:** the meter shows the same while the boat was surely out, or would have been by its own habit.
- A cause is watched from its last change of coding on: a new form or code list is no alarm. Calls nobody coded are not watched.
- An alarm says where to look. It does not say who is to blame, nor that anything is wrong.

[How it is worked out](how-it-is-worked-out#alarms)
"""

LIKELY = """
**Dot:** the chance that this is behind the call. **Bar:** where it could well lie (90 %). **Hollow grey dot:** of such calls, those whose
cause never came to light.

- It weighs how often such calls had that cause with how old this boat's own part is, and with class, base and month.
- Chances add to one. A cause that is hardly likely stands among *another known cause*, not at nought.
- It ranks causes; it does not rule one out. What the crew sees outranks it.

[How it is worked out](how-it-is-worked-out#likely)
"""

BOATS = """
One mark a boat: its rate against the hours it was watched. Chance alone scatters boats widely where hours are few, and the limits say how
widely. **Shaded:** 95 of 100 like boats. **Dashed:** 99.8 of 100. **● dot:** as the fleet. **◆ hollow diamond:** worth a look. **▲
triangle:** stands out.

- Of 100 boats that are all alike some five lie outside the shaded limits. Look at them; don't blame them.
- A boat that stands out may work harder water or carry another engine: look at what it does before looking at its crew.

[How it is worked out](how-it-is-worked-out#boats)
"""

ADDING_UP = """
**Steps:** how many calls (or how much cost) a boat has had on average since the fleet was first watched. **Shaded:** its 95 % limits,
which hold even where one boat's calls come in clusters.

- A straight climb is a steady rate; one that bends up is getting worse, one that bends down better.
- *Watched:* boats under watch at that time. Boats watched for a part of the time count for that part.

[How it is worked out](how-it-is-worked-out#recurrence)
"""

SURVIVAL = """
**Steps:** the share of parts still running at each age, as seen (Kaplan-Meier, with parts that were already in use counted only from then
on). **Shaded:** its 95 % limits. **Red line:** the fitted Weibull, its 95 % limits as fine dotted lines; dashed where it goes past the
ages that were seen, which is a guess.

- *Watched:* how many parts were under watch at that age. Where it is small, trust the curve little.
- Parts renewed in good time or still running count as having lasted at least that long; they are not failures.
- The average age of the parts that failed is not shown: it forgets those that did not.

[How it is worked out](how-it-is-worked-out#survival)
"""

LIFE_RANGES = """
**● dot:** the age by which one part in ten has failed (B10 life), by the fitted Weibull. **Bar:** its 95 % limits. **◇ hollow diamond:**
the same with what is known beforehand (posterior), with its 90 % limits as a fine line; decisions rest on it.

- Compare rows by their bars. If they overlap widely, the records do not show a difference.
- No dot: too few failures for a fit. A bar that reaches the edge goes on beyond it. B10 is not a "safe until".

[How it is worked out](how-it-is-worked-out#weibull)
"""

GROUPS = """
One line a group, as in the list beside it. **● dot:** from the group's own failures alone. **◇ hollow diamond:** drawn towards what is
known beforehand; where the group has few failures it moves far.

- Compare groups by their bars. The sentence below says whether chance alone could make the difference.

[How it is worked out](how-it-is-worked-out#groups)
"""

PAPER = """
Failures on scales that turn a Weibull into a straight line. **Dots:** the share failed by each age, with limits. **Red line:** the fitted
Weibull, its 95 % limits as fine dotted lines, dashed beyond what was seen. The steeper, the more it wears out; a slope of one is pure
chance.

- Dots that bend away from the line say that one Weibull does not describe them: two causes, or bad fits that fail early.
- The lowest dots rest on single failures and scatter most.

[How it is worked out](how-it-is-worked-out#paper)
"""

HAZARD = """
**Line:** how readily a part of that age fails, averaged over everything the records and the prior leave open. **Shaded:** where it lies
with 90 % chance. **Dotted:** its mean over these ages.

- Rising: old ones fail more readily, so renewing in time helps. Level: age does not matter. Falling: bad fits fail first.
- It is drawn to the last age seen; where few were watched the band is wide.

[How it is worked out](how-it-is-worked-out#hazard)
"""

ENDINGS = """
**Each band:** the share of parts that has failed from that cause by each age (Aalen-Johansen); the bands together are all that failed.
Below, each cause at the last age with its 95 % limits.

- A part can fail once: a cause would claim more if the others were cured.
- *unknown* is a band of its own and is not shared out.

[How it is worked out](how-it-is-worked-out#endings)
"""

TURNS = """
**○ hollow circle:** the value now. **The bar:** every value at which the verdict stays what it is. **❘ upright stroke:** there it turns.

- One assumption is moved at a time, from a quarter of its value to four times; a bar without a stroke does not turn within that.
- A stroke close to the circle is worth a second look: settle that figure before you adopt.

[How it is worked out](how-it-is-worked-out#interval)
"""

INTERVALS = """
**◆ filled diamond:** the interval advised; the green bar is every interval that costs within 2 % of the best.
**○ hollow circle:** what you do now. **❘ upright stroke:** the maker's or another limit.

- A row without marks has nothing on this clock: switch between hours and months.
- A binding limit is a ceiling, whatever the records say.

[How it is worked out](how-it-is-worked-out#interval)
"""

COST = """
**Line:** what one position costs a year, on average, if the part is renewed at that age: renewals and failures together.
**Shaded:** where that cost lies with 90 % chance, given these records.

- To the left you renew too often, to the right you wait for failures. The flatter the valley, the less it matters.
- *Dotted line:* renewing only when it fails. If the valley hardly dips below it, keep a spare instead.
- *Green:* intervals that cost within 2 % of the best.

[How it is worked out](how-it-is-worked-out#interval)
"""

DUE = """
One line a boat. **◀ filled triangle:** overdue. **○ hollow circle:** still to come. The upright line is the day the list was made for.

- Days are forecast from how that engine is used; a job overdue for more than 60 days stands at the left edge.
- A number beside a mark: so many jobs in one place.
- Boats with most overdue come first; the table below holds every boat.

[How it is worked out](how-it-is-worked-out#due)
"""

WEEKS = """
One line a week, named by its Monday. **Broad bar:** hours of labour laid into it. **❘ upright stroke:** hours the yard has.

- Jobs of boats that are tied up come first, then what is overdue, then by day, then what risks most money.
- A full week sends a job to an earlier one with room, else to the next; a job that would pass what must be kept goes before the others.
- Hours a job are the median of the fleet's own tickets; where there are fewer than three, it is said so in the list.

[How it is worked out](how-it-is-worked-out#due)
"""

CALENDAR = """
One field a day, weeks from Monday. **○ hollow circle with a number:** so many jobs fall due. **◀ filled triangle:** some of them are
overdue; they stand on the day of the list, which has a ring.

- A job that was put off stands on the day it is put off to.
- A touch on a day names its jobs.

[How it is worked out](how-it-is-worked-out#due)
"""

SHELF = """
**Broad bar:** pieces on the shelf. **Dot:** expected use over the season, with its 90 % range. **❘ upright stroke:** order when hand and
order together fall to this.

- Use is whole pieces: 2.3 is an average over many seasons like this one.
- A part whose stroke lies right of its bar is due to be ordered.

[How it is worked out](how-it-is-worked-out#stock)
"""

RECONCILIATION = """
Read each line as a sum. **Repeated:** the same row came again. **Superseded:** a later row with the same key corrects it.
**Left out:** a fault; the row is kept as it came, with its reason, and can be put right and taken in again.

- The length of a bar is its share of the rows in.

[How it is worked out](how-it-is-worked-out#account)
"""

BOAT_HOURS = """
**Line and dots:** the readings that are believed, as engine hours since commissioning: across a change of meter they are added up.
**✕ cross:** a reading that was set aside, at the figure that was written; **▲ triangle:** one that lies beyond the picture.

- Nothing is thrown away: a reading set aside stands in the table with its reason, its file and its line, and can be put right.
- Between two readings the hours follow the season of the base; that is not drawn.

[How it is worked out](how-it-is-worked-out#boat)
"""

BOAT_LINE = """
A lane for each sort. **▼ triangle:** a rescue call. **◆ diamond:** a part found failed. **● dot:** a part fitted or renewed.
**○ hollow dot:** looked at, cleaned, adjusted. A number below a mark: so many on that day.

- Touch a mark for what was written. The table below says the same, line by line.
- Nothing written is not the same as nothing done: records begin and stop.

[How it is worked out](how-it-is-worked-out#boat)
"""

PART_AGES = """
**Dot:** how much of its interval the part has used, on hours or months, whichever is further. **❘ upright stroke:** due.
**▶ triangle:** past it; what is older than twice its interval stands at the edge.

- The interval is the adopted plan, or the maker's limit where there is no plan or the limit must be kept.
- Parts without an interval, or whose age nobody knows, are not drawn: they stand in the figures.

[How it is worked out](how-it-is-worked-out#boat)
"""

FORETOLD = """
**Across:** failures foretold of a part at a base. **Up:** failures that came. **Upright bar:** the 90 % range foretold. **Dot:** what came,
within its range. **Red cross:** what came, outside it. On the **dashed line** as many came as were foretold. Scales are square roots.

- All parts that could be foretold are drawn, good and bad. Of ten ranges one may miss; with hardly any expected, fewer do.
- The range is foretold from what was known before the season: nothing of the season itself is in it.
- Parts renewed because they looked worn (condition renewals) are counted apart.

[How it is worked out](how-it-is-worked-out#forecast)
"""

SEASONS_FORETOLD = """
**Dot:** failures foretold of the whole season. **Bar:** its 90 % range. **Ring:** what came. A season that still runs is told up to the
last record.

- All parts share how much the boats were out, so the range of the whole is wider than those of the parts would make it.

[How it is worked out](how-it-is-worked-out#forecast)
"""

SEASON_AHEAD = """
**Dot:** failures foretold of a part at a base, from the day after the last record to the end of the season. **Bar:** its 90 % range.

- Parts are foretold by their laws, their present ages and each engine's use, and renewed as the yard has renewed so far.
- **Kept**, a forecast stands in the ledger as it is. When its days are over it is marked against what came; nobody can change it, and one
  that is taken back stays in the list.

[How it is worked out](how-it-is-worked-out#forecast)
"""

CALIBRATION = """
**Bar:** what share of the counts that came fell into that tenth of their forecast. **Dashed line:** a tenth, where all bars end if chances
are what they say.

- High at both ends: ranges are too narrow. High in the middle: too wide. High to the left: too many foretold; to the right: too few.
- With few counts bars differ by chance alone.

[How it is worked out](how-it-is-worked-out#forecast)
"""

PARTS_OF_RECORDS = {
    "left_out_rows": "Each is kept as it came, with what is wrong and the way out. Put it right in your file and take the file in again.",
    "uncoded": "Words that no list knows. Their rows count as uncoded until someone says what they mean, once for all rows.",
    "near_misses": "Words that are one slip away from a known word and were read as that word. Look them over.",
    "left_out_of_lives": "Accepted rows and positions that no life could be made from, with the reason.",
    "imports": "Each can be undone by its number: `towless intake --undo NUMBER`.",
}

TERMS = {
    "foretold": (
        "Predictive distribution of the count over everything the records before the season left open; the range runs from its 5 % to its "
        "95 % quantile. Shared out: randomised probability integral transform."
    ),
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
