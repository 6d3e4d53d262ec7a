"""Files and words damaged at random, always the same for the same seed.

In: bytes or words, a seeded source of chance. Out: the same with cells cut, doubled, swapped, or filled with what readers stumble over.
Elsewhere: who reads them (`tests.intake.test_damaged_files`, `tests.command.test_damaged_words`).
"""

from random import Random

STUMBLES = (
    b'"',
    b",",
    b";",
    b"\n",
    b"\r",
    b"\x00",
    b"\xff\xfe",
    b"\xef\xbb\xbf",
    b"=1+1",
    b"9" * 400,
    b"\xc3\x28",
    b"1e999",
    b"-",
    b"nan",
    b'{"',
    b"[" * 3000,
    b"2024-13-45",
    b"<script>",
    "\u202e".encode(),
    b"\t" * 50,
    b'"' * 999,
)
OFTEN = (1, 1, 2, 5, 30)


def damaged(data: bytes, chance: Random) -> bytes:
    """Return bytes with one to thirty things wrong."""
    held = bytearray(data)
    for _ in range(chance.choice(OFTEN)):
        place = chance.randrange(len(held) + 1)
        held[place : place + chance.choice((0, 0, 0, 1, 3, 50, 1000))] = _put_in(held, chance)
    return bytes(held[: chance.randrange(len(held) + 1)] if chance.random() < 0.1 else held)


def _put_in(held: bytearray, chance: Random) -> bytes:
    way = chance.randrange(4)
    if way == 0:
        return b""
    if way == 1:
        return chance.choice(STUMBLES)
    if way == 2:
        return chance.randbytes(chance.choice((1, 8, 200)))
    first, last = sorted(chance.randrange(len(held) + 1) for _ in range(2))
    return bytes(held[first : min(last, first + 5000)])
