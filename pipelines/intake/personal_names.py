"""Names of people in what yards write: by how they are introduced, by a list of first names, by what people do.

In: a text and the words that are no names. Out: the stretches of it that name a person.
The lists of first and family names are Faker's, of European and North American locales. What is a trade word, a word of the fleet's own
records or an everyday word that is also a name (`Mark on shaft`) is no name unless it is introduced as one (`spoke to Mark`).
Elsewhere: the other things that are masked (`masks`), which columns (`masking`).
"""

import re
from collections.abc import Collection, Iterator
from functools import cache
from importlib import import_module

from pipelines.intake.names import fold
from pipelines.terms.codes import CODE_LISTS

LOCALES = ("en_GB", "en_US", "de_DE", "fr_FR", "nl_NL", "es_ES", "it_IT", "sv_SE", "no_NO", "da_DK", "fi_FI", "pl_PL", "pt_PT")
FIRST = ("first_names", "first_names_male", "first_names_female")
FAMILY = ("last_names",)

_EVERYDAY = """
    april art august bill black blue bob brown bud bush can carol chance chase chuck cliff cole dale das dawn dean del dem den der des
    die dock don drew earl eve faith finn flint ford frank gale gene glen gold grace grant green grey guy harbour hazel heath heather
    holly hope hunter iris ivy jack jade jay jet job joy june kit lance lane lea lee lot major mar marina mark marsh mason max may
    miles misty opal page patience pearl penny per pete pierce port ray red reed reef rich river robin rod rose ruby rusty sage sandy
    sky star sterling sue summer sunny tanner teal trip van victor victory violet von wade ward wave west white will windy winter wren
    young
"""
EVERYDAY = frozenset(_EVERYDAY.split())
"""Everyday words that are first names too."""
_NO_NAME = """
    a about above after again all and another any anyone as ashore at back base bench berth black blue boat both brown but by call
    caller came captain check client club coast coastguard cold company contact control crew customer customs day desk diver down dry
    due during each east electrician engine engineer evening everyone fire first fitted fitter fleet for found fresh friday from front
    fuel gold green grey guest guests guy harbour harbourmaster has he her hire hirer his hot hull i in inlet insurance is it its job
    jobs kids lad lads last left lifeboat loose maker man manager marina marine master mate mechanic monday morning most mr mrs my
    navy neither new next night no nobody none north not note now number of office old on one only operator or other our out over
    owner parts people pier police pontoon port previous quay ready reception red replaced rescue returned river runs safety sail
    saturday sea second service she shop shore skipper slip some somebody someone south spare staff starboard still stores student
    sunday supplier tech technician test that the their them then there they this thursday tickets to today tomorrow towed trailer
    tuesday two unit user van visitor water we wednesday wharf when white who will winter with work workshop yard yellow yes yesterday
    you
"""
NO_NAME = frozenset(_NO_NAME.split())
"""Words that begin a sentence or say who somebody is, and are no names."""

_TITLE = r"[A-ZÀ-ÖØ-Þ][\w’'\-]*[a-zà-öø-ÿ]"
_NAME = rf"{_TITLE}(?:[ \u00a0]+(?:de|van|von|der|del|da)?[ \u00a0]?{_TITLE}){{0,2}}"
HONORIFIC = re.compile(rf"\b(?:[Mm]rs?|MRS?|Ms|Miss|Dr|Herr|Frau|Mme|Capt)\.?[ \u00a0]+({_NAME}|[A-Z]{{3,}})")
HONORIFIC_PLAIN = re.compile(r"\b[Mm]rs?\.?[ \u00a0]+(\w{3,})")
_INTRODUCING = (
    "called by|call from|caller|rung by|rang by|phoned by|reported by|spoke to|spoke with|speak to|told by|told|asked|ask for|asked for|"
    "skipper|hirer|customer|client|owner|contact|attn|signed|sgd|regards|cheers|thanks to|thanks|fitted by|done by|checked by|seen by|"
    "found by|according to|name is|name|i am|this is|with crew"
)
INTRODUCED = re.compile(rf"\b(?i:{_INTRODUCING})[ \u00a0]*[:,\-–]?[ \u00a0]+({_NAME})")
INTRODUCED_PLAIN = re.compile(
    r"\b(?i:(?:called|rung|rang|phoned|reported|told) by|sp(?:oke|eak) (?:to|with)|asked? for|signed)[ \u00a0]+(\w{3,})"
)
"""Introductions so plain that a first name in small letters is one, though it is an everyday word too."""
DOING = (
    "rang|phoned|called|says|said|reports|reported|texted|emailed|wants|wanted|complained|collected|paid|asked|insists|thinks|noticed|"
    "is on|was aboard|will ring|to ring|to call"
)
ACTING = re.compile(rf"\b({_NAME})[ \u00a0]+(?:{DOING})\b")
INITIALLED = re.compile(rf"(?<![\w.])((?:[A-Z]\.[ \u00a0]?){{1,2}}{_TITLE})")
WORD = re.compile(r"[^\W\d_][\w’'\-]+")
CUES = rf"(?i:\b(?:mrs?|ms|miss|dr|herr|frau|mme|capt|{_INTRODUCING}|{DOING})\b)"
"""What must stand in a text for the patterns of this module to be worth trying, but for first names and initials."""


@cache
def listed(kinds: tuple[str, ...]) -> frozenset[str]:
    """Return the names of Faker's lists in lower case; one-word names only."""
    providers = [import_module(f"faker.providers.person.{locale}").Provider for locale in LOCALES]
    names = {name for provider in providers for kind in kinds for name in getattr(provider, kind, ())}
    return frozenset(name.lower() for name in names if name.isalpha() and len(name) > 2)


@cache
def trade_words() -> frozenset[str]:
    """Return every single word of the code lists."""
    phrases = (word for codes in CODE_LISTS.values() for code, words in codes.items() for word in (code, *words))
    return frozenset(part for phrase in phrases for part in fold(phrase).split() if len(part) > 2)


@cache
def first_names() -> frozenset[str]:
    """Return first names that are no everyday or trade words, in lower case."""
    return listed(FIRST) - EVERYDAY - NO_NAME - trade_words()


def is_no_name(word: str) -> bool:
    """Whether a word is one of the trade or of everyday talk."""
    return word.lower() in NO_NAME or fold(word) in trade_words()


def names_in(text: str) -> Iterator[str]:
    """Give the stretches of a text that name a person, as they stand there; some may overlap."""
    for pattern in (HONORIFIC, HONORIFIC_PLAIN, INTRODUCED, ACTING, INITIALLED):
        for match in pattern.finditer(text):
            yield from _trimmed(match.group(1))
    for match in INTRODUCED_PLAIN.finditer(text):
        if match.group(1).lower() in listed(FIRST) and not is_no_name(match.group(1)):
            yield match.group(1)
    yield from _by_list(text)


def _trimmed(words: str) -> Iterator[str]:
    """Give the leading words that can be a name: up to the first that is one of the trade or of everyday talk."""
    parts = words.split()
    kept = next((place for place, part in enumerate(parts) if is_no_name(part)), len(parts))
    if kept:
        yield " ".join(parts[:kept])


def _by_list(text: str) -> Iterator[str]:
    words = list(WORD.finditer(text))
    for place, match in enumerate(words):
        word, following = match.group(), words[place + 1 : place + 2]
        if not (word.istitle() or word.isupper()):
            continue
        surname = following[0].group() if following and text[match.end() : following[0].start()] in (" ", "\u00a0") else ""
        surname = surname if (surname.istitle() or surname.isupper()) and not is_no_name(surname) else ""
        if word.lower() in first_names():
            yield text[match.start() : following[0].end()] if surname else word
        elif word.lower() in EVERYDAY and word.lower() in listed(FIRST) and surname.lower() in listed(FAMILY) - EVERYDAY:
            yield text[match.start() : following[0].end()]


def initials(value: str) -> str:
    """Put initials in the place of a personal name in a column of who did it; codes, benches and initials stay.

    Two people of the same initials become one; who wants them apart gives them codes.
    """
    parts = re.split(r"(\s*[/,&+;]\s*)", value)
    return "".join(part if place % 2 else _initials(part) for place, part in enumerate(parts))


def _initials(who: str) -> str:
    bare = re.sub(r"^(?:[Mm]rs?|Ms|Miss|Dr)\.?\s+", "", who.strip())
    words = bare.split()
    if not words or any(sign.isdigit() for sign in who) or any(is_no_name(word) for word in words):
        return who
    named = bare != who.strip() or words[0].lower() in listed(FIRST) or (len(words) in (2, 3) and all(map(_is_title, words)))
    return "".join(f"{word[0].upper()}." for word in words) if named and any(len(word.strip(".")) > 2 for word in words) else who


def _is_title(word: str) -> bool:
    return word[:1].isupper() and (len(word.strip(".")) == 1 or word[1:2].islower())


def might_name(known: Collection[str] = ()) -> str:
    """Return a pattern, for a quick look over many texts, of what must stand in a text that names a person."""
    names = sorted(first_names() - set(known))
    titled = "|".join(name.title() for name in names) + "|" + "|".join(name.upper() for name in names)
    everyday = "|".join(sorted(name.title() for name in EVERYDAY & listed(FIRST)))
    return rf"{CUES}|\b(?:{titled})\b|\b(?:{everyday})[ \u00a0][A-Z]|\b[A-Z]\.[ \u00a0]?[A-Z]"
