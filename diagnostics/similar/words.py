"""The words of a complaint that are worth looking for. Pure."""

from __future__ import annotations

import re

MOST_WORDS = 24
FEWEST_LETTERS = 3
_WORD = re.compile(r"[^\W_]+")
# Words that stand in every complaint. A list of our own.
_EVERYWHERE = frozenset(
    [
        "the",
        "and",
        "when",
        "with",
        "not",
        "for",
        "has",
        "have",
        "was",
        "are",
        "but",
        "its",
        "does",
        "this",
        "that",
        "from",
        "they",
        "she",
        "him",
        "her",
        "his",
        "our",
        "your",
        "you",
        "car",
        "van",
        "vehicle",
        "sometimes",
        "then",
        "than",
        "just",
        "very",
        "all",
        "any",
        "out",
        "off",
        "can",
        "cannot",
        "after",
        "before",
        "while",
        "since",
        "into",
        "been",
        "being",
        "had",
        "did",
        "one",
        "two",
        "get",
        "gets",
        "got",
        "will",
        "would",
        "there",
        "their",
        "what",
        "which",
        "who",
        "how",
        "why",
        "now",
        "only",
        "also",
        "about",
        "again",
        "still",
        "always",
        "never",
    ]
)


def words_of(text: str) -> tuple[str, ...]:
    """Return the telling words of a text in lower case, each once, in their order; at most `MOST_WORDS`."""
    found = (word.lower() for word in _WORD.findall(text))
    telling = (word for word in found if len(word) >= FEWEST_LETTERS and word not in _EVERYWHERE)
    return tuple(dict.fromkeys(telling))[:MOST_WORDS]
