"""Words and numbers as a surgeon would say them, and foreign text made fit for any page."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence

from annotate.clock import US_PER_S

_COUNTS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
_LINE_ENDS = re.compile("\r\n|[\r\x0b\x0c\x85\u2028\u2029]")
_DIRECTION_MARKS = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")


def clean_text(text: str) -> str:
    """Take out of a text what no page can show, and keep its line breaks.

    Control characters, halves of surrogate pairs, characters that Unicode reserves, and marks
    that turn the direction of what follows are dropped; blank lines are kept at most singly.
    """
    lined = _LINE_ENDS.sub("\n", text).replace("\t", " ")
    kept = "".join(c for c in lined if c == "\n" or _can_stand(c))
    return re.sub(r"\n[ \n]*\n", "\n\n", kept).strip()


def _can_stand(char: str) -> bool:
    if char in _DIRECTION_MARKS or unicodedata.category(char) in ("Cc", "Cs"):
        return False
    code = ord(char)
    return not (0xFDD0 <= code <= 0xFDEF or code & 0xFFFE == 0xFFFE)


def one_line(text: str) -> str:
    """Put a text on one line."""
    return " ".join(text.split())


def shorten(text: str, most: int = 180) -> str:
    """Cut a text at a word so that it has at most `most` characters; an ellipsis shows the cut."""
    flat = one_line(text)
    if len(flat) <= most:
        return flat
    head = flat[: most - 1]
    at_word = head.rsplit(" ", 1)[0]
    return (at_word if len(at_word) > most // 2 else head).rstrip(" ,;:") + "…"


def spoken(span_us: int) -> str:
    """Say a length of time: ``4.2 seconds``, ``24 seconds``, ``3 min 10 s``, ``1 h 2 min``."""
    if span_us < 9_950_000:
        text = f"{span_us / US_PER_S:.1f}".removesuffix(".0")
        return f"{text} second" if text == "1" else f"{text} seconds"
    total = (span_us + US_PER_S // 2) // US_PER_S
    minutes, rest = divmod(total, 60)
    if minutes == 0:
        return f"{total} seconds"
    hours, minutes_left = divmod(minutes, 60)
    if hours:
        return f"{hours} h {minutes_left} min"
    return f"{minutes} min {rest} s" if rest else f"{minutes} min"


def percent(share: float) -> str:
    """Say a share: ``22 %``, ``under 1 %``."""
    if 0 < share < 0.01:
        return "under 1 %"
    return f"{share * 100:.0f} %"


def number(value: int) -> str:
    """Say a number: in a word up to ten."""
    return _COUNTS[value] if value < len(_COUNTS) else str(value)


def count(value: int, one: str, many: str = "") -> str:
    """Say how many: ``no events``, ``one event``, ``12 events``."""
    return f"{number(value)} {one if value == 1 else many or one + 's'}"


def listed(words: Sequence[str]) -> str:
    """Join words as a sentence does: ``a, b and c``."""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} and {words[-1]}"


def within(label: str) -> str:
    """Write a label as it stands within a sentence; a word in capitals stays so."""
    if len(label) > 1 and label[1].isupper():
        return label
    return label[:1].lower() + label[1:]


def opening(sentence: str) -> str:
    """Write a sentence with its first letter large."""
    return sentence[:1].upper() + sentence[1:]
