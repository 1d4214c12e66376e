"""What the pages of reviews and costs print.

{% load review_costs %}
{% behind_sum behind currency="GBP" known="parts" %}   address of the returns behind one sum
{% behind_sum behind query=row.query %}                the same, of a row that knows its own
{% kappa_words agreement %}                            "0.62 (0.31 to 0.93)", or why there is none
"""

from __future__ import annotations

from django import template

from shared.wording import number_text

register = template.Library()


@register.simple_tag
def behind_sum(behind, query=None, **params):
    """The address of the returns behind a sum."""
    return behind.address(query or params)


@register.simple_tag
def kappa_words(agreement):
    """Kappa with its interval; none where everybody chose one and the same."""
    if agreement.kappa is None:
        return "cannot be computed: all chosen alike"
    middle = _two(agreement.kappa)
    if agreement.low is None or agreement.high is None:
        return middle
    return f"{middle} ({_two(agreement.low)} to {_two(agreement.high)})"


def _two(value):
    return number_text(f"{value:.2f}")
