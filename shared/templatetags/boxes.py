"""Boxes: gaps, notices, cautions, cells."""

from __future__ import annotations

from django import template
from django.template.loader import render_to_string
from django.utils.html import format_html

register = template.Library()


@register.inclusion_tag("parts/_gap.html")
def gap(
    title,
    text="",
    do="",
    explain="",
    close="",
    do_word="Do it",
    state="gap",
    by="",
    reason="",
    when=None,
    rule="",
):
    """What is missing, and the three ways on.

    state : gap; explained (reason, by, when); pending (asked when the job closes); kept (closed with it open:
    reason, by, when). do, explain, close : addresses; an act without one is left out.
    """
    return {
        "title": title,
        "text": text,
        "do": do,
        "explain": explain,
        "close": close,
        "do_word": do_word,
        "state": state,
        "by": by,
        "reason": reason,
        "when": when,
        "rule": rule,
    }


@register.simple_block_tag
def notice(content, title, kind="", id=""):
    """A notice around its content. kind: empty, or came-back (red lead)."""
    return render_to_string(
        "parts/_notice.html", {"title": title, "kind": kind, "id": id, "content": content}
    )


@register.inclusion_tag("parts/_dimension.html")
def dimension(start, end, text, start_note="", end_note="", start_url="", end_url="", big=False):
    """The stretch between two events as a dimension line; `text` says how long it is."""
    return {
        "start": start,
        "end": end,
        "text": text,
        "start_note": start_note,
        "end_note": end_note,
        "start_url": start_url,
        "end_url": end_url,
        "big": big,
    }


@register.inclusion_tag("parts/_came_back.html")
def came_back(
    earlier,
    later,
    text,
    earlier_note="",
    later_note="",
    earlier_url="",
    later_url="",
    why="",
    url="",
    title="This job came back",
    act="Lay both jobs side by side",
):
    """The comeback notice: "Job 1042" to "Job 1057", `text` "16 days, 312 miles", `why` in a sentence."""
    return {
        "title": title,
        "earlier": earlier,
        "later": later,
        "text": text,
        "earlier_note": earlier_note,
        "later_note": later_note,
        "earlier_url": earlier_url,
        "later_url": later_url,
        "why": why,
        "url": url,
        "act": act,
    }


@register.simple_block_tag
def caution(content, title="Before you touch it", level=3):
    """A caution around its content. It stands before the act, never after."""
    return render_to_string("parts/_caution.html", {"title": title, "content": content, "level": level})


@register.inclusion_tag("parts/_cautions.html")
def cautions(sentences, title="Before you touch it", level=3):
    """A caution from a list of sentences; nothing when the list is empty."""
    return {"sentences": list(sentences or ()), "title": title, "level": level}


@register.simple_block_tag
def cells(content):
    """The cells of a title block."""
    return format_html('<dl class="cells">{}</dl>', content)


@register.inclusion_tag("parts/_cell.html")
def cell(label, value, note="", url=""):
    """One cell: label, value, a note below it."""
    return {"label": label, "value": value, "note": note, "url": url}


@register.inclusion_tag("parts/_empty.html")
def empty(title, text="", url="", act=""):
    """What a list says when it has nothing, and the way on."""
    return {"title": title, "text": text, "url": url, "act": act}
