"""The chain: rings, and what hangs on them."""

from __future__ import annotations

from django import template
from django.template.loader import render_to_string

from shared import chain as chains

register = template.Library()


@register.filter
def rings(links):
    """Links as rings that know their neighbours."""
    return chains.rings(links)


@register.inclusion_tag("parts/_chain.html", takes_context=True)
def chain(context, links, wide=True, quiet=False):
    """The tall chain. A ring draws its `template` (with `ring` and the page's context), else its findings."""
    return {**context.flatten(), "rings": chains.rings(links), "wide": wide, "quiet": quiet}


@register.simple_block_tag
def link(content, ring, quiet=False):
    """One link of a tall chain around the page's own content. `ring` comes from the `rings` filter."""
    return render_to_string("parts/_link.html", {"ring": ring, "quiet": quiet, "content": content})


@register.inclusion_tag("parts/_chain_flat.html")
def chain_flat(links, label, size="block", is_linked=False):
    """The chain lying down. size: block (title block, with words) or row (list row, words hidden).

    is_linked: each name leads to the part of the page that its ring stands for.
    """
    return {
        "rings": chains.rings(links),
        "label": label,
        "size": size,
        "said": chains.said(links),
        "is_linked": is_linked,
    }


@register.inclusion_tag("parts/_sign.html")
def sign(state, word=False):
    """A letter-sized ring. word: True for the state's own word, or a text."""
    text = chains.STATES[state] if word is True else word
    return {"state": state, "word": text}
