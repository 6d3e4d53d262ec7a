"""What tells who somebody is, masked in a text: e-mail addresses, telephone numbers, registration marks, names.

In: a text, the words of the fleet's own records. Out: the text with masks, and what was masked.
Telephone numbers are told by libphonenumber's rules of length (the phonenumbers package). Craft identification numbers are those of
ISO 10087: country, maker, serial, month, year, model year. Not masked: dates, hours, part, serial and order numbers, boats, bases, models.
Elsewhere: names (`personal_names`), which columns (`masking`).
"""

import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from functools import cache

import phonenumbers

from pipelines.intake.names import fold
from pipelines.intake.personal_names import CUES, might_name, names_in

NAME, TELEPHONE, EMAIL, MARK = "name", "telephone number", "e-mail address", "registration mark"
SORTS = (NAME, TELEPHONE, EMAIL, MARK)
REGIONS = ("GB", "US", "DE", "FR", "NL", "SE", "NO", "FI", "PL", "ES", "IT", "AU", "NZ")
"""Countries whose lengths of national numbers are tried; a number with + needs none."""

AT = re.compile(r"[\w.+-]+@[\w-]+(?:\.[\w-]+)+|[\w.+-]+ ?[(\[]at[)\]] ?[\w-]+(?:\.[\w-]+)+")
DIGITS = re.compile(r"(?<![\w.,/\-])(?:\+|\()?\d[\d \u00a0().\-/]{4,18}\d(?![\w%])")
DATE = re.compile(r"^(?:\d{4}[-./]\d{1,2}[-./]\d{1,2}|\d{1,2}[-./]\d{1,2}[-./]\d{2,4})(?:[ T]|$)")
PART_BEFORE = re.compile(
    r"(?i)(?:\bp/?n|\bparts?(?: n(?:o|umber)s?)?|\bno|\bnr|\bs/?n|\bserial(?: no)?|\border|\binv(?:oice)?|\bpo|\bticket|\bjob|\bbatch|"
    r"\bref|\bitem|#|\bmeter|\bhours|\bhrs|\bat|\bfiche|\bquote|\bsku)\.?[ :#]*$"
)
UNIT_AFTER = re.compile(r"(?i)^ ?(?:h|hrs?|hours|nm|l|litres|km|mm|rpm|v|kw|eur|gbp|usd)\b")
PHONE_BEFORE = re.compile(
    r"(?i)(?:\btel(?:ephone)?|\bphone[ds]?|\bph|\bmob(?:ile)?|\bcell|\bfax|\brings?|\brang|\bcall(?:ed)?(?: (?:him|her|them|back))?|"
    r"\btext|\bnumber|\bwhatsapp|\bcontact|\breach(?:ed)?(?: (?:him|her|them))?)(?: (?:on|from|is|back on))?\.?[ :]*$"
)
AMERICAN = re.compile(r"^\(?\d{3}\)?[ .\-]\d{3}[ .\-]\d{4}$")
CRAFT = re.compile(r"\b[A-Z]{2}[ \-]?[A-Z0-9]{3}[A-Z0-9]{5}[A-L]\d{3}\b|\b[A-Z]{3}[A-HJ-NP-Z0-9]{2}\d{3}[A-L]\d{3}\b")
PLATES = re.compile(
    r"\b[A-Z]{2}\d{2} ?[A-Z]{3}\b|\b[A-Z]{2}[ \-]\d{3}[ \-][A-Z]{2}\b|\b[A-ZÄÖÜ]{1,3}-[A-Z]{1,2} \d{2,4}\b|"
    r"\b[A-Z]{2}[ \-]?\d{4}[ \-]?[A-Z]{2}\b|\bSSR[ \-]?\d{5,6}\b"
)
MARKED = re.compile(
    r"(?i)\b(?:reg(?:istration|\.?n)?(?: (?:mark|no|number|plate))?|(?:number ?)?plates?|rego|hin|cin|craft id|mmsi|call ?sign)"
    r"\b\.?(?: is)?[ :#]*((?-i:[A-Z]{1,4}[ \-]?\d[\dA-Z]*(?:[ \-][\dA-Z]{1,6})?|\d[\dA-Z]*[ \-]?[A-Z]{1,4}[ \-]?[\dA-Z]*|\d{6,9})|\w*\d\w*)"
)
_CUE_WORDS = "reg|registration|plate|plates|rego|hin|cin|craft id|mmsi|call ?sign"
MIGHT = (
    rf"@|[(\[]at[)\]]|(?:\d[ \u00a0().\-/]{{0,2}}){{5,}}\d|\b[A-Z]{{2,3}}[ \-]?\d{{2}}|\b[A-Z]{{1,3}}-[A-Z]{{1,2}} \d|"
    rf"\b[A-Z]{{2}}[ \-]?[A-Z0-9]{{8}}[A-L]\d|(?i:\b(?:{_CUE_WORDS})\b)"
)


@dataclass(frozen=True)
class Known:
    """Words of the fleet's own records that are never masked: names of boats, bases, models.

    Attributes
    ----------
    phrases
        {first part of a folded phrase: the folded phrases that begin with it or hold it}.
    """

    phrases: dict[str, frozenset[str]]

    @classmethod
    def of(cls, words: Iterable[str]) -> "Known":
        """Make them from words as written."""
        by_part: dict[str, set[str]] = {}
        for phrase in {fold(word) for word in words}:
            for part in phrase.split():
                by_part.setdefault(part, set()).add(phrase)
        return cls({part: frozenset(phrases) for part, phrases in by_part.items()})

    def holds(self, found: str, text: str) -> bool:
        """Whether a stretch of a text is part of a known phrase that stands there."""
        parts = fold(found).split()
        near = {phrase for part in parts for phrase in self.phrases.get(part, ())}
        return bool(near) and any(f" {phrase} " in f" {fold(text)} " for phrase in near)


NAMING = re.compile(rf"\b[A-Z][A-Za-z’'\-]|\b[A-Z]\.|{CUES}")
"""What a text that names a person holds at least: a capital, or a word that introduces."""
Found = tuple[str, str]
"""Sort of what was found, and the stretch of text."""


@cache
def might_tell() -> str:
    """Return a pattern, for a quick look over many texts, of what must stand in a text that anything is masked in."""
    return f"{MIGHT}|{might_name()}"


def masked(text: str, known: Known) -> tuple[str, list[Found]]:
    """Mask a text.

    Returns
    -------
    tuple[str, list[Found]]
        The text with `[name]`, `[telephone number]` and so on, and what stood there, in order of sort.
    """
    found: list[Found] = []
    naming = bool(NAMING.search(text)) or not text.isascii()
    for sort, finder in FINDERS if naming else FINDERS[:-1]:
        for stretch in sorted(set(finder(text)), key=len, reverse=True):
            if not known.holds(stretch, text):
                text, times = bounded(stretch).subn(f"[{sort}]", text)
                found += [(sort, stretch)] * times
    return text, found


def bounded(stretch: str) -> re.Pattern[str]:
    """Return the pattern of a stretch that is not part of a longer word, whatever spaces stand in it."""
    words = r"[ \t\u00a0]+".join(map(re.escape, stretch.split()))
    return re.compile(rf"(?<![\w\[]){words}(?!\w)")


def _emails(text: str) -> Iterator[str]:
    if "@" in text or "at" in text:
        yield from (match.group() for match in AT.finditer(text))


def _telephones(text: str) -> Iterator[str]:
    for match in DIGITS.finditer(text):
        written = match.group().rstrip(" .-/(")
        before, after = text[: match.start()], text[match.start() + len(written) :]
        if DATE.match(written) or PART_BEFORE.search(before) or UNIT_AFTER.match(after):
            continue
        if _is_telephone(written, bool(PHONE_BEFORE.search(before))):
            yield written


def _is_telephone(written: str, said: bool) -> bool:
    count = sum(sign.isdigit() for sign in written)
    if said:
        return 6 <= count <= 15
    if not (written.startswith(("+", "0", "(0")) or AMERICAN.match(written)) or not 8 <= count <= 15 or DATE.search(written[-10:]):
        return False
    return any(_possible(written, region) for region in ((None,) if written.startswith("+") else REGIONS))


def _possible(written: str, region: str | None) -> bool:
    try:
        return phonenumbers.is_possible_number(phonenumbers.parse(written, region))
    except phonenumbers.NumberParseException:
        return False


def _marks(text: str) -> Iterator[str]:
    for pattern in (CRAFT, PLATES):
        yield from (match.group() for match in pattern.finditer(text) if not PART_BEFORE.search(text[: match.start()]))
    yield from (match.group(1).strip() for match in MARKED.finditer(text) if any(sign.isdigit() for sign in match.group(1)))


def is_craft_number(value: str) -> bool:
    """Whether a value has the form of a craft identification number of ISO 10087 or of the North American one."""
    return bool(CRAFT.fullmatch(value.strip().upper()))


FINDERS: tuple[tuple[str, Callable[[str], Iterator[str]]], ...] = (
    (EMAIL, _emails),
    (MARK, _marks),
    (TELEPHONE, _telephones),
    (NAME, names_in),
)
