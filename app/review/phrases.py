"""Phrases of one's own: words often said, with places in braces that are filled as they go in.

They stand in a small TOML file beside the settings. No Qt.
"""

from __future__ import annotations

import re
import tomllib
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import tomli_w

from annotate.tags import Leaning
from app.places import settings_file

LONGEST_PHRASE = 1_000
MOST_PHRASES = 500
BLANK = re.compile(r"\{[^{}\n]{1,40}\}")
"""A place in braces that nothing has filled; Tab goes from one to the next."""
_SENTENCE_START = re.compile(r"(?:^|[.!?]\s+|\n\s*)\Z")
FILLED = ("phase", "time", "operator", "event")
"""Places that are filled by themselves, where the case has something for them."""
_LARGEST_BYTES = 1_000_000


@dataclass(frozen=True, slots=True)
class Phrase:
    """Words to be put into a comment; `leaning` goes with them where there is one."""

    words: str
    leaning: Leaning | None = None


STARTERS = (
    Phrase("Good {phase}: {...} was exactly right. Go on like this.", Leaning.COMMEND),
    Phrase("Eye well centred here, microscope in focus.", Leaning.COMMEND),
    Phrase("In {phase}: slow down before {...}; there is time.", Leaning.CORRECT),
    Phrase("{event} here. What led to it: {...}. Next time: {...}.", Leaning.CORRECT),
    Phrase("The instrument leans on the wound and the view folds; lift it to neutral.",
           Leaning.CORRECT),
    Phrase("{operator}, pause at {time}: what would you do next, and why?", Leaning.NEUTRAL),
)  # fmt: skip
"""Ours, invented; they stand until the user keeps or changes one."""


class Phrases:
    """The user's phrases, read when first asked for and written whole at each change.

    Parameters
    ----------
    path : Path or None
        The file; None for the one beside the settings.

    Attributes
    ----------
    trouble : str
        A sentence where the file could not be read or written; empty where all is well.
    """

    def __init__(self, path: Path | None = None) -> None:
        self._path = path
        self._held: tuple[Phrase, ...] | None = None
        self.trouble = ""
        self._is_left_alone = False

    @property
    def path(self) -> Path:
        """Where they are kept."""
        return self._path or settings_file().with_name("phrases.toml")

    @property
    def all(self) -> tuple[Phrase, ...]:
        """Every phrase, in the user's order."""
        if self._held is None:
            self._held = self._read()
        return self._held

    def matching(self, typed: str) -> tuple[Phrase, ...]:
        """Phrases in which every word typed begins a word; accents and capitals do not matter."""
        wanted = _words(typed)
        return tuple(
            phrase
            for phrase in self.all
            if all(any(w.startswith(want) for w in _words(phrase.words)) for want in wanted)
        )

    def keep(self, phrase: Phrase) -> bool:
        """Keep one more phrase, first; False where it is there already, is empty or too long."""
        words = phrase.words.strip()
        if not words or any(words == known.words for known in self.all):
            return False
        if len(words) > LONGEST_PHRASE or len(self.all) >= MOST_PHRASES:
            self.trouble = (
                f"A phrase has at most {LONGEST_PHRASE:,} characters, and at most "
                f"{MOST_PHRASES} are kept. This one was not kept."
            )
            return False
        return self.change([Phrase(words, phrase.leaning), *self.all])

    def change(self, phrases: Sequence[Phrase]) -> bool:
        """Put these in the place of all; False, with `trouble`, where they cannot be written."""
        held = tuple(phrases)
        if self._is_left_alone:
            self._held = held
            self.trouble = "This holds until you leave: the file of phrases cannot be written."
            return False
        document = {"phrase": [_row_of(phrase) for phrase in held]}
        part = self.path.with_suffix(".part")
        try:
            self.path.parent.mkdir(parents=True, exist_ok=True)
            part.write_text(tomli_w.dumps(document), encoding="utf-8")
            part.replace(self.path)
        except OSError as fault:
            self.trouble = (
                f"The phrases could not be kept ({fault.strerror}); they hold until you leave."
            )
            self._held = held
            return False
        self._held, self.trouble = held, ""
        return True

    def _read(self) -> tuple[Phrase, ...]:
        """Read the file; one that cannot be understood is put aside, whole, and said."""
        try:
            with self.path.open("rb") as file:
                raw = file.read(_LARGEST_BYTES + 1)
            return _phrases_in(raw)
        except FileNotFoundError:
            return STARTERS
        except (OSError, ValueError, RecursionError):
            self.trouble = self._put_aside()
        return STARTERS

    def _put_aside(self) -> str:
        """Give a file that is no list of phrases another name, so that nothing writes over it."""
        aside = next(
            place
            for n in range(1, 10_000)
            if not (place := self.path.with_name(f"phrases-unread-{n}.toml")).exists()
        )
        try:
            self.path.replace(aside)
        except OSError:
            self._is_left_alone = True
            return (
                "Your phrases cannot be read; their file was left as it is, and nothing is "
                "written over it. The ones that came along stand in for them."
            )
        return (
            f"Your phrases cannot be read; their file is kept as {aside.name}. The ones "
            "that came along stand in for them. Mend the file and call it phrases.toml again."
        )


def filled(words: str, places: Mapping[str, str]) -> str:
    """A phrase with its places filled; one that has nothing to fill it stays a blank.

    What fills one at the start of a sentence begins with a capital.
    """

    def fill(found: re.Match[str]) -> str:
        put = places.get(found[0][1:-1].strip().lower(), "")
        if put and _SENTENCE_START.search(words[: found.start()]):
            put = put[0].upper() + put[1:]
        return put or found[0]

    return BLANK.sub(fill, words)


def next_blank(text: str, start: int = 0) -> tuple[int, int] | None:
    """From where to where the next blank lies, from a place on, then from the start."""
    found = BLANK.search(text, start) or BLANK.search(text)
    return found.span() if found else None


def without_blanks(text: str) -> str:
    """The text with its unfilled blanks left out, and no gap where they were."""
    left = BLANK.sub("", text)
    left = re.sub(r"[ \t]{2,}", " ", left)
    return re.sub(r"[ \t]+([.,;:!?])", r"\1", left).strip()


def _phrases_in(raw: bytes) -> tuple[Phrase, ...]:
    if len(raw) > _LARGEST_BYTES:
        raise ValueError("larger than any list of phrases")
    rows = tomllib.loads(raw.decode("utf-8-sig")).get("phrase", [])
    return tuple(_phrase_of(row) for row in (rows if isinstance(rows, list) else [rows]))


def _phrase_of(row: object) -> Phrase:
    words = row.get("words") if isinstance(row, dict) else None
    leaning = row.get("leaning") if isinstance(row, dict) else None
    if not isinstance(words, str) or not words.strip() or len(words) > LONGEST_PHRASE:
        raise ValueError("a phrase without words")
    return Phrase(words.strip(), Leaning(leaning) if leaning else None)


def _row_of(phrase: Phrase) -> dict[str, str]:
    leaning = {"leaning": phrase.leaning.value} if phrase.leaning else {}
    return {"words": phrase.words, **leaning}


def _words(text: str) -> list[str]:
    plain = unicodedata.normalize("NFD", text.casefold())
    return re.findall(r"\w+", "".join(c for c in plain if not unicodedata.combining(c)))
