"""The bar at the top of a page."""

from __future__ import annotations

from django import template
from django.template.loader import render_to_string
from django.urls import NoReverseMatch, reverse

register = template.Library()


NAVIGATION = (  # url name, label, role that sees it (empty: everybody)
    ("front", "Jobs", ""),
    ("vehicle-list", "Vehicles", ""),
    ("customer-list", "Customers", ""),
    ("return-list", "Returns", ""),
    ("calls", "Calls", ""),
    ("audit", "Audit", "owner"),
    ("audit-mine", "My jobs", "technician"),
    ("testkind-list", "Tests", ""),
    ("circuit-list", "Circuits", ""),
    ("protocol-list", "Protocols", "owner"),
    ("instrument-list", "Instruments", ""),
)


@register.simple_block_tag(takes_context=True)
def navigation(context, content):
    """The main navigation for the person's roles; the content names the page that is open.

    A page that is not there yet is left out.
    """
    request = context.get("request")
    user = getattr(request, "user", None)
    current = content.strip() or _nearest(request)
    items = [
        {"url": address, "label": label, "current": name == current}
        for name, label, role in NAVIGATION
        if (address := _address(name)) and (not role or (user and user.has_role(role)))
    ]
    return render_to_string("parts/_navigation.html", {"items": items})


def _address(name):
    try:
        return reverse(name)
    except NoReverseMatch:
        return ""


def _nearest(request):
    """The navigation entry whose address is the longest beginning of the page's own."""
    path = getattr(request, "path", "")
    found = [
        (len(address), name)
        for name, _, _ in NAVIGATION
        if (address := _address(name)) and path.startswith(address)
    ]
    return max(found)[1] if found else ""
