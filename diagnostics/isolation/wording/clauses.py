"""How a reading stands after "if": "the line comes up", "it reads alive", "there is a path to ground"."""

from __future__ import annotations

import re

# Begins with its subject, so that it is a sentence by itself.
_SENTENCE = re.compile(r"(?:the|it|all|every|both|current|line)\b.*|(?:nothing|nobody|no \w+) \w+s\b.*", re.I)
_THING = re.compile(r"(?:an?|no|nothing|something|some)\b", re.I)
_ANSWER = re.compile(r"(?:yes|no), (?=it\b)", re.I)


def clause_of(label: str, kind: str, is_question: bool = False, is_labelled: bool = True) -> str:
    """Return a reading as it stands after "if".

    Parameters
    ----------
    label : str
        What the outcome is called.
    kind : str
        Kind of the test: a look is not a reading.
    is_question : bool
        Whether the test asks something ("Is it acting up now?").
    is_labelled : bool
        Whether somebody wrote the label; else it is an id in plain words.
    """
    label = _ANSWER.sub("", label)
    if _SENTENCE.fullmatch(label):
        return label[:1].lower() + label[1:]
    if is_question:
        return f"the answer is {label}"
    if _THING.match(label):
        return f"there is {label}"
    if kind == "inspect":
        return f"it {'is' if is_labelled else 'looks'} {label}"
    return f"it {'is' if kind == 'swap' else 'reads'} {label}"
