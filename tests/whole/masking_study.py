"""How well masking finds who somebody is in notes, and how often it masks what it should not; notes are invented from a seed.

    python -m tests.whole.masking_study [--notes 5000] [--seed 9]

Prints precision and recall by sort and over all, and the cost of a million lines. Names are put together from syllables after a first name
of the lists, so that none is a real person; telephone numbers are of ranges set aside for fiction (+44 20 7946 0000 to 0999, 555-0100 to
555-0199); addresses are of example.org (RFC 2606).
"""

import argparse
import random
import time
from dataclasses import dataclass

import polars as pl

from pipelines.intake.masks import EMAIL, MARK, NAME, SORTS, TELEPHONE, Known, masked, might_tell

BOATS = ("Anna Blue", "Ingrid", "Reed Warbler", "Port Lights", "Old Tom Bowline")
KNOWN = Known.of([*BOATS, "Brantholm", "Wellick Mouth", "Tarn 40"])
FIRST = ("Tom", "Sophie", "Ingrid", "Pedro", "Anneliese", "Lars", "Mark", "Rose", "Oskar", "Zdzislaw", "Oona", "Quill")
SYLLABLES = ("vos", "trel", "quil", "bram", "ock", "fen", "dor", "mas", "kel", "thwe", "sto", "rin")
WITH_NAME = (
    "spoke to {}",
    "called by {}",
    "{} rang from the pontoon",
    "Mr {} not happy",
    "skipper {} says it cut out",
    "belt squeals, {} to look again",
    "fitted by {} at the yard",
    "{} collected the keys",
    "refund for {} agreed",
    "as told to {} last week",
    "{} and crew brought in",
)
WITH_PHONE = ("ring on {}", "tel {} after five", "mobile {}", "call back {}", "he is on {} all day")
WITH_EMAIL = ("send to {}", "{} wants photos", "invoice {} please")
WITH_MARK = ("trailer reg {}", "towed by van {}", "alongside {}", "HIN {} checked")
PLAIN = (
    "Impeller worn, renewed",
    "No water from tell-tale. Hose off",
    "{boat} lost drive off Wellick Mouth",
    "part no {n} on order",
    "p/n {n}-{n} fitted",
    "done at {h} h",
    "back {d}",
    "out {d} to {d}",
    "Mark on shaft, polished out",
    "Rod bearing noisy",
    "ticket {n} closed",
    "Tested OK at 3000 rpm",
    "Port Engine Overheating",
    "STARBOARD PUMP SEIZED",
    "moved to Brantholm",
    "Tarn 40 swapped in",
    "batch {n}B, 15W40",
    "Rose coloured oil",
    "Customer rang, boat dead",
    "Yard checked, Charge light on",
    "called at 08:15 and 09:45",
    "Jack stand bent",
    "serial {n}",
    "art of the lever bent",
)


LINES = 100_000


@dataclass(frozen=True)
class Note:
    """A note and what of it tells who somebody is."""

    text: str
    tells: tuple[tuple[str, str], ...]


def invented(count: int, seed: int) -> list[Note]:
    """Make notes, half of them with something to mask."""
    draw = random.Random(seed)
    return [_note(draw) if draw.random() < 0.5 else Note(_plain(draw), ()) for _ in range(count)]


def _plain(draw: random.Random) -> str:
    day = f"{draw.randint(2019, 2025)}-{draw.randint(1, 12):02}-{draw.randint(1, 28):02}"
    number = str(draw.randint(10**5, 10**10))
    return draw.choice(PLAIN).format(boat=draw.choice(BOATS), n=number, h=f"{draw.random() * 9000:.1f}", d=day)


def _note(draw: random.Random) -> Note:
    sort, forms, value = draw.choice(
        (
            (NAME, WITH_NAME, _name(draw)),
            (TELEPHONE, WITH_PHONE, _telephone(draw)),
            (EMAIL, WITH_EMAIL, f"{draw.choice(SYLLABLES)}.{draw.choice(SYLLABLES)}@example.org"),
            (MARK, WITH_MARK, _mark(draw)),
        )
    )
    said = draw.choice(forms).format(value)
    return Note(f"{said}; {_plain(draw)}" if draw.random() < 0.4 else said, ((sort, value),))


def _name(draw: random.Random) -> str:
    family = (draw.choice(SYLLABLES) + draw.choice(SYLLABLES)).title()
    return draw.choice((draw.choice(FIRST), f"{draw.choice(FIRST)} {family}", f"{draw.choice(FIRST)[0]}. {family}", family))


def _telephone(draw: random.Random) -> str:
    last = draw.randint(0, 99)
    return draw.choice(
        (f"+44 20 7946 00{last:02}", f"020 7946 00{last:02}", f"(212) 555-01{last:02}", f"01632 9600{last:02}", f"+4420794600{last:02}")
    )


def _mark(draw: random.Random) -> str:
    n, two = draw.randint(10, 99), draw.choice(("QZ", "XK", "VB"))
    return draw.choice((f"{two}{n} {two[0]}XW", f"{two}-{n}1-{two}", f"FL {n}{n} {two}", f"{two}-{two}C{n}123D6{n}"))


def score(notes: list[Note]) -> pl.DataFrame:
    """Count by sort: `there`, `found` (of those, masked whole), `masked` (all that was), `wrongly` (masked, but tells nobody)."""
    counts = {sort: {"there": 0, "found": 0, "masked": 0, "wrongly": 0} for sort in SORTS}
    for note in notes:
        text, found = masked(note.text, KNOWN)
        for sort, value in note.tells:
            counts[sort]["there"] += 1
            counts[sort]["found"] += value not in text and not (sort == NAME and value.split()[-1] in text)
        for sort, stretch in found:
            counts[sort]["masked"] += 1
            counts[sort]["wrongly"] += not any(stretch in value or value in stretch for _, value in note.tells)
    return pl.DataFrame([{"sort": sort, **each} for sort, each in counts.items()])


def rates(counts: pl.DataFrame) -> tuple[float, float]:
    """Return precision and recall over all sorts."""
    there, found, masks, wrongly = counts.select(pl.col("there", "found", "masked", "wrongly").sum()).row(0)
    return 1 - wrongly / masks, found / there


def cost_of_a_million(notes: list[Note]) -> tuple[float, float]:
    """Seconds of processor for a million lines, from a tenth: all distinct, one in twenty telling somebody; and the quick look alone."""
    telling, plain = [n.text for n in notes if n.tells], [n.text for n in notes if not n.tells]
    texts = pl.Series(
        [f"{telling[k % len(telling)]} {_letters(k)}" if k % 20 == 0 else f"{plain[k % len(plain)]}, {_letters(k)}" for k in range(LINES)]
    )
    masked("Tom", KNOWN)
    might_tell()
    began = time.process_time()
    looked = texts.filter(texts.str.contains(might_tell()))
    quick = time.process_time() - began
    for text in looked.to_list():
        masked(text, KNOWN)
    whole = time.process_time() - began
    return whole * 1_000_000 / LINES, quick * 1_000_000 / LINES


def _letters(number: int) -> str:
    return "".join(chr(97 + int(digit)) for digit in str(number))


def main(arguments: list[str] | None = None) -> None:
    """Print the study."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--notes", type=int, default=5000)
    parser.add_argument("--seed", type=int, default=9)
    given = parser.parse_args(arguments)
    notes = invented(given.notes, given.seed)
    counts = score(notes)
    print(counts)
    precision, recall = rates(counts)
    print(f"precision {precision:.3f}, recall {recall:.3f} on {len(notes):,} notes, seed {given.seed}")
    whole, quick = cost_of_a_million(notes)
    print(f"a million distinct notes: {whole:.1f} s of processor, {quick:.1f} s of it the quick look")


if __name__ == "__main__":
    main()
