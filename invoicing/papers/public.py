"""The customer's own pages, behind an address that only they have."""

from functools import wraps

from csp.decorators import csp_exempt
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from invoicing import issuing
from invoicing.models import IssuedDocument
from invoicing.papers.views import pdf_response
from shared import chain
from shared.access import public
from shop.models import Location


def _kept_private(view):
    """Keep the address out of caches, search engines and the next site's log."""

    @wraps(view)
    def guarded(request, *args, **kwargs):
        response = view(request, *args, **kwargs)
        response["Cache-Control"] = "no-store"
        response["X-Robots-Tag"] = "noindex, nofollow"
        response["Referrer-Policy"] = "no-referrer"
        return response

    return guarded


@public
@_kept_private
@never_cache
@require_safe
def customer_link(request, token):
    """Show the newest findings that were issued, readable on a phone."""
    link = issuing.find_link(token, at=timezone.now())
    if link is None:
        return _gone(request)
    issuing.see_link(link, at=timezone.now())
    papers = issuing.newest(link.order)
    findings = papers.get("findings")
    context = {
        "link": link,
        "order": link.order,
        "shop": link.order.location,
        "token": token,
        "papers": [papers[kind] for kind in IssuedDocument.Kind.values if kind in papers],
        "sheet": findings.data["sheet"] if findings else None,
        "rings": _rings(findings.data["sheet"], papers.values()) if findings else (),
        "document": findings,
    }
    return render(request, "invoicing/customer_link.html", context)


@public
@csp_exempt()
@_kept_private
@never_cache
@require_safe
def customer_document(request, token, kind):
    """Hand out the newest PDF of one kind that is made."""
    link = issuing.find_link(token, at=timezone.now())
    made = IssuedDocument.objects.select_related("order").filter(kind=kind, made_at__isnull=False)
    found = made.filter(order=link.order).first() if link else None
    return pdf_response(found) if found else _gone(request)


def _rings(sheet, papers):
    """The links of the chain with the piece that draws each; the papers are the last one."""
    names = ("told", "seen", "measured", "cause", "repair", "proved")
    steps = [
        {**step, "template": f"invoicing/_customer_{name}.html"}
        for name, step in zip(names, sheet["steps"], strict=True)
    ]
    ready = all(paper.made_at for paper in papers)
    last = {
        "name": "Your papers",
        "state": "joined" if ready else "ahead",
        "word": "ready" if ready else "being made",
        "template": "invoicing/_customer_papers.html",
    }
    return chain.rings([*steps, last])


def _gone(request):
    """The same plain page for an unknown, an expired and a revoked address."""
    shops = Location.objects.all()[:2]
    return render(
        request,
        "invoicing/customer_link_gone.html",
        {"shop": shops[0] if len(shops) == 1 else None},
        status=404,
    )
