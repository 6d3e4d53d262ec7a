"""Words that a spreadsheet would run as a formula, and the apostrophe that keeps it from doing so.

In: nothing. Out: the patterns and the mark. A word that begins (after any number of apostrophes) with one of the signs is written with
one apostrophe more, and a word read with such a beginning loses one, so every word comes back as it was. A plain negative number is left
alone: a spreadsheet takes it for the number it is.
Elsewhere: writing (`exports.answer`), reading (`intake`).
"""

import re

QUOTE = "'"
_SIGNS = r"[=+\-@\t\r\n＝＋－＠]"
RUNS = re.compile(rf"^'*{_SIGNS}")
"""What a spreadsheet would run; the wide letters are run where such letters are typed."""
NEGATIVE = re.compile(r"^-[0-9]+(?:[.,][0-9]+)*$")
"""A plain negative number, which nothing has to be done to."""
QUOTED = re.compile(rf"^'('*{_SIGNS})")
"""What loses one apostrophe when it is read; the rest is the first group."""
