"""The bytes of a file, their SHA-256, and their text.

In: a path. Out: `Source` (name, bytes, hash) and `decode` (text with plain line ends).
Elsewhere: how the text is cut into cells (`delimited`, `columnar`).
"""

import hashlib
import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import BinaryIO

from charset_normalizer import from_bytes

from pipelines.errors import UnreadableFile
from pipelines.intake.parts import opened

BYTE_ORDER_MARKS = (
    (b"\xef\xbb\xbf", "utf-8-sig"),
    (b"\xff\xfe\x00\x00", "utf-32"),
    (b"\x00\x00\xfe\xff", "utf-32"),
    (b"\xff\xfe", "utf-16"),
    (b"\xfe\xff", "utf-16"),
)
WESTERN = "cp1252"
OTHER_ENCODINGS = ["cp1252", "cp1250", "cp850", "mac_roman", "iso8859_15", "cp1251", "iso8859_2"]
LIKELY_LETTERS = re.compile(r"[À-ÖØ-öø-ÿŠšŽžŒœŸ°£€§µ½¼¾²³ºª«»¿¡–—‘’“”„…•·´`\xa0]")
CONTROLS = bytes(set(range(32)) - set(b"\t\n\r\f\v\x1a\x1b"))
FEW_CONTROLS, MOST_CONTROLS = 8, 0.005
"""Control bytes, and beyond those few the share, above which a file is not text: stray ones are a torn row, many a picture or a program."""
SAMPLE = 1 << 18
MOST_ACCENTS, FEW_ACCENTS = 0.3, 5
"""Letters with accents for each without, beyond a few, from which on a text is not in a western language."""
PACKED = {
    b"PK": "a packed archive",
    b"\x1f\x8b": "a packed file",
    b"7z\xbc\xaf": "a packed archive",
    b"%PDF": "a PDF",
    b"\xd0\xcf\x11\xe0": "an old workbook or one locked with a password",
}
WHOLE_ONLY = (b"PK", b"PAR1", b"\xff\xfe", b"\xfe\xff")
"""Beginnings of files that say nothing unless they are read whole, or whose line ends are more than one byte."""
ASCII = bytes(range(128))
Decoder = Callable[[bytes], str]
"""Reads whole lines."""
GIVE = "Give it as CSV, XLSX, Parquet or JSON lines."


@dataclass(frozen=True)
class Source:
    """One file as it came.

    Attributes
    ----------
    name
        File name without its folder, as it stands in messages and made ids.
    data
        All bytes.
    """

    name: str
    data: bytes

    @cached_property
    def sha256(self) -> str:
        """Hash of the bytes in hex; the same file again is known by it."""
        return hashlib.sha256(self.data).hexdigest()


def read_source(path: Path, at_most: int | None = None) -> Source:
    """Read the bytes of a file; with `at_most`, of a file of lines that is larger only whole lines of so many first bytes.

    Raises
    ------
    UnreadableFile
        If it cannot be opened, holds nothing, or was changed while it was read.
    """
    with opened(path) as file:
        data = _first_lines(file, at_most) if at_most else file.read()
    if not data.strip(b" \t\r\n\x00\xef\xbb\xbf\xfe\xff"):
        raise UnreadableFile(f"{path.name}: the file is empty. Save the records again and give the new file.")
    return Source(path.name, data)


def _first_lines(file: BinaryIO, at_most: int) -> bytes:
    first = file.read(at_most)
    if len(first) < at_most or first.startswith(WHOLE_ONLY):
        return first + file.read()
    return first[: first.rfind(b"\n") + 1] or first


def is_lines_of_text(source: Source) -> bool:
    """Whether first bytes are lines of text that are no JSON and end in one byte each, so that the rest can be read line by line.

    Raises
    ------
    UnreadableFile
        If the bytes are not text.
    """
    data = source.data
    if data.startswith(WHOLE_ONLY) or _wide(data[:SAMPLE]) or data.lstrip()[:1] in (b"{", b"[") or b"\n" not in data:
        return False
    _refuse_packed(source.name, data)
    _refuse_controls(source.name, _controls(data), len(data))
    return True


def decode(source: Source) -> str:
    r"""Return the text of a file with `\n` or `\r\n` as line ends, whatever its encoding.

    A byte-order mark decides; without one UTF-16 shows by its zero bytes, UTF-8 by being valid, and the rest is Windows-1252 where
    that gives letters, else what `charset_normalizer` finds most likely. Lines of another encoding amid UTF-8 are read as Windows-1252.

    Raises
    ------
    UnreadableFile
        If the bytes are not text.
    """
    encoding = _marked(source.data) or _wide(source.data[:SAMPLE])
    if encoding:
        text = _as_marked(source, encoding)
    else:
        _refuse_packed(source.name, source.data)
        text = _unmarked(source)
    return text if "\n" in text else text.replace("\r", "\n")


def _marked(data: bytes) -> str:
    return next((encoding for mark, encoding in BYTE_ORDER_MARKS if data.startswith(mark)), "")


def _wide(sample: bytes) -> str:
    """Tell UTF-16 without a mark by which half of each pair of bytes is zero."""
    half = max(len(sample) // 2, 1)
    if sample[1::2].count(0) > 0.4 * half and sample[0::2].count(0) < 0.05 * half:
        return "utf-16-le"
    if sample[0::2].count(0) > 0.4 * half and sample[1::2].count(0) < 0.05 * half:
        return "utf-16-be"
    return ""


def _as_marked(source: Source, encoding: str) -> str:
    try:
        return source.data.decode(encoding)
    except UnicodeDecodeError as fault:
        raise UnreadableFile(f"{source.name}: begins as {encoding} but is damaged at byte {fault.start:,}. Save it again.") from fault


def _refuse_packed(name: str, data: bytes) -> None:
    packed = next((what for mark, what in PACKED.items() if data.startswith(mark)), "")
    if packed:
        raise UnreadableFile(f"{name}: is {packed}, not a table. {GIVE}")


def _controls(data: bytes) -> int:
    return len(data) - len(data.translate(None, CONTROLS))


def _refuse_controls(name: str, controls: int, size: int) -> None:
    if controls > FEW_CONTROLS + MOST_CONTROLS * size:
        raise UnreadableFile(f"{name}: is not text ({controls:,} control bytes of {size:,}). {GIVE}")


def _unmarked(source: Source) -> str:
    _refuse_controls(source.name, _controls(source.data), len(source.data))
    try:
        return source.data.decode("utf-8")
    except UnicodeDecodeError:
        return decoder_of(source.name, [source.data])(source.data)


def decoder_of(name: str, parts: Iterable[bytes]) -> Decoder:
    """Return how the lines of a file that is not all UTF-8 are decoded, by what all of it shows.

    Parameters
    ----------
    name
        File name, for messages.
    parts
        Its bytes from first to last, by whole lines.

    Raises
    ------
    UnreadableFile
        If the bytes are not text.
    """
    first, sound, accents, controls, size = b"", "", b"", 0, 0
    for data in parts:
        first += data[: SAMPLE - len(first)]
        sound += data.decode("utf-8", "ignore")[: SAMPLE - len(sound)] if len(sound) < SAMPLE else ""
        accents += data.translate(None, ASCII)[: SAMPLE - len(accents)] if len(accents) < SAMPLE else b""
        controls, size = controls + _controls(data), size + len(data)
    _refuse_controls(name, controls, size)
    letters = sum(not character.isascii() for character in sound)
    if letters > first.decode("utf-8", "replace").count("\ufffd"):
        return _line_by_line
    encoding = _legacy(first, accents)
    return lambda data: data.decode(encoding, "replace")


def _line_by_line(data: bytes) -> str:
    return "\n".join(_one_line(line) for line in data.split(b"\n"))


def _one_line(line: bytes) -> str:
    try:
        return line.decode("utf-8")
    except UnicodeDecodeError:
        return line.decode(WESTERN, "replace")


def _legacy(sample: bytes, accents: bytes) -> str:
    """Name the one-byte encoding: Windows-1252 if its letters are likely ones and few, else the best guess among the usual others."""
    read = accents.decode(WESTERN, "replace")
    plain = sum(sample.count(letter) for letter in b"abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ")
    if len(LIKELY_LETTERS.findall(read)) >= 0.9 * len(read) and len(read) <= MOST_ACCENTS * max(plain, 1) + FEW_ACCENTS:
        return WESTERN
    best = from_bytes(sample, cp_isolation=OTHER_ENCODINGS).best()
    return best.encoding if best else WESTERN
