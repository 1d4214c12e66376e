"""Recorded signals on papers.

{% load signals %}
{% signal_picture one %}    a signal of a findings sheet as SVG, with its own ink and a sentence
"""

from __future__ import annotations

from django import template
from django.utils.safestring import mark_safe

from diagnostics.captures import drawing

register = template.Library()


@register.simple_tag
def signal_picture(signal):
    """The picture of a signal as a sheet keeps it; every text in it is escaped by its maker."""
    lanes = tuple(
        drawing.Lane(lane["label"], lane["unit"], tuple(lane["low"]), tuple(lane["high"]))
        for lane in signal["lanes"]
    )
    shown = drawing.Picture(signal["since"], signal["until"], lanes)
    return mark_safe(drawing.paper_svg(shown, drawing.said(shown, signal["title"])))
