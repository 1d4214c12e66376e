"""How hard a text is to read. A hint to the writer, never a gate."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable
from dataclasses import dataclass

WARN_ABOVE_GRADE = 9.0  # paperwork.md section 7: warn the writer above this, never block.
LONG_SENTENCE_WORDS = 25  # The aim is 15 to 20 words on average (same section); this one is worth splitting.

_WORD = re.compile(r"[^\W\d_]+(?:['’\-][^\W\d_]+)*")
_TOKEN = re.compile(r"\S+")
_SENTENCE_END = re.compile(r"(?<=[.!?])[\"”’)]*\s+|\n+")
_SOUNDED_END = re.compile(r"[^aeiouy]le$|[ey]e$")  # table, three, eye
_VOWELS = re.compile(r"[aeiouyàáâäèéêëìíîïòóôöùúûü]+")


@dataclass(frozen=True, slots=True)
class Readability:
    """Counts of a text and its two scores."""

    words: int
    sentences: int
    syllables: int

    @property
    def grade(self) -> float:
        """School grade; see `grade`."""
        return grade(self.words, self.sentences, self.syllables)

    @property
    def ease(self) -> float:
        """Reading ease; see `ease`."""
        return ease(self.words, self.sentences, self.syllables)

    @property
    def is_hard(self) -> bool:
        """Whether the writer should be told."""
        return self.grade > WARN_ABOVE_GRADE


def grade(words: int, sentences: int, syllables: int) -> float:
    """Return the school grade that reads a text with ease. [school years]

    Parameters
    ----------
    words, sentences, syllables : int
        Counts, each 1 or more. [1]

    Raises
    ------
    ValueError
        If a count is below 1.

    References
    ----------
    .. [1] Kincaid, Fishburne, Rogers and Chissom 1975, Naval Technical Training Command report 8-75:
       0.39 W/S + 11.8 Y/W - 15.59. From memory; coefficients as in paperwork.md section 7.
    """
    _refuse_empty(words, sentences, syllables)
    return 0.39 * words / sentences + 11.8 * syllables / words - 15.59


def ease(words: int, sentences: int, syllables: int) -> float:
    """Return the reading ease: 100 is easy, 0 is hard. [1]

    Parameters
    ----------
    words, sentences, syllables : int
        Counts, each 1 or more. [1]

    Raises
    ------
    ValueError
        If a count is below 1.

    References
    ----------
    .. [1] Flesch 1948, Journal of Applied Psychology 32:221: 206.835 - 1.015 W/S - 84.6 Y/W. From memory;
       coefficients as in paperwork.md section 7.
    """
    _refuse_empty(words, sentences, syllables)
    return 206.835 - 1.015 * words / sentences - 84.6 * syllables / words


def measure(sentences: Iterable[str], *, names: Collection[str] = ()) -> Readability | None:
    """Return the counts of a text, or None where it holds no sentence.

    Parameters
    ----------
    sentences : texts
        Each is split into sentences; a line break ends one too.
    names : words
        Not counted: names of people, places and makes. Numbers, and codes that hold a digit or are
        all capitals, are not counted either.

    Returns
    -------
    Readability or None
        Syllables are groups of vowels, at least one a word, so the grade may be off by about one.
    """
    skipped = {name.lower() for name in names}
    counted = [words for text in sentences for one in split(text) if (words := _words(one, skipped))]
    if not counted:
        return None
    return Readability(
        words=sum(len(words) for words in counted),
        sentences=len(counted),
        syllables=sum(syllables(word) for words in counted for word in words),
    )


def split(text: str) -> list[str]:
    """Return the sentences of a text."""
    return [one.strip() for one in _SENTENCE_END.split(text) if one.strip()]


def long_sentences(texts: Iterable[str]) -> list[str]:
    """Return the sentences worth splitting, longest first."""
    found = [one for text in texts for one in split(text) if len(_words(one, set())) > LONG_SENTENCE_WORDS]
    return sorted(found, key=lambda one: -len(_words(one, set())))


def syllables(word: str) -> int:
    """Return the number of vowel groups of a word, without a silent final e; at least 1."""
    lower = word.lower()
    groups = len(_VOWELS.findall(lower))
    if groups > 1 and lower.endswith("e") and not _SOUNDED_END.search(lower):
        groups -= 1
    return max(groups, 1)


def _words(sentence: str, skipped: Collection[str]) -> list[str]:
    return [
        word
        for token in _TOKEN.findall(sentence)
        if not _is_code(token)
        for word in _WORD.findall(token)
        if word.lower() not in skipped
    ]


def _is_code(token: str) -> bool:
    letters = [sign for sign in token if sign.isalpha()]
    return any(sign.isdigit() for sign in token) or (len(letters) > 1 and all(s.isupper() for s in letters))


def _refuse_empty(words: int, sentences: int, syllables: int) -> None:
    if min(words, sentences, syllables) < 1:
        raise ValueError("A text without words has no grade. Give counts of 1 or more.")
