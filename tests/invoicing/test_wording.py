"""Words that the papers share."""

import pytest

from invoicing.wording import part_words


@pytest.mark.parametrize(
    ("component", "words"),
    [
        ("secondary lead, cylinder 2", "secondary lead (cylinder 2)"),
        ("charge_cable", "charge cable"),
        ("lower arm bush, left, rear", "lower arm bush (left, rear)"),
        ("battery,", "battery,"),
    ],
)
def test_what_follows_the_comma_of_a_part_goes_into_brackets(component, words):
    assert part_words(component) == words
