from csp.decorators import csp_exempt
from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_POST

from invoicing import issuing
from invoicing.models import CustomerLink, IssuedDocument
from invoicing.papers.page import paper_page
from invoicing.warranty_note import NothingToPromise
from shared.access import roles
from shop.models import RepairOrder

ANYBODY = ("advisor", "technician", "owner")


@roles(*ANYBODY)
@require_GET
def paper(request, pk, kind):
    return _paper(request, _order(pk), _known(kind))


@roles(*ANYBODY)
@require_POST
def paper_issue(request, pk, kind):
    order = _order(pk)
    if not issuing.may_issue(request.user, _known(kind)):
        raise PermissionDenied("A warranty note is issued by an advisor or the owner.")
    try:
        document = issuing.issue(order, kind, by=request.user, at=timezone.now())
    except NothingToPromise as reason:
        messages.error(request, str(reason))
    else:
        messages.success(request, f"Issued: {document}. Its PDF is being made.")
    return redirect("paper", order.pk, kind)


@roles(*issuing.MAY_SHARE)
@never_cache
@require_POST
def link_make(request, pk, kind):
    """Make a link and show it on the page that answers: it is kept nowhere, so there is no second time."""
    order = _order(pk)
    link, token = issuing.make_link(order, by=request.user, at=timezone.now())
    address = request.build_absolute_uri(reverse("customer-link", args=[token]))
    return _paper(request, order, _known(kind), new_link=link, new_address=address)


@roles(*issuing.MAY_SHARE)
@require_POST
def link_revoke(request, pk):
    link = get_object_or_404(CustomerLink, pk=pk)
    issuing.revoke_link(link, by=request.user, at=timezone.now())
    messages.success(request, "The link is ended. Nobody can open it any more.")
    return redirect("paper", link.order_id, "findings")


@csp_exempt()
@roles(*ANYBODY)
@require_GET
def document(request, pk):
    """Hand out the PDF as it was made; the bytes never change."""
    found = get_object_or_404(IssuedDocument.objects.select_related("order"), pk=pk)
    if found.made_at is None:
        messages.info(request, "This PDF is not made yet.")
        return redirect("paper", found.order_id, found.kind)
    return pdf_response(found)


@roles(*ANYBODY)
@require_POST
def document_make(request, pk):
    found = get_object_or_404(IssuedDocument.objects.defer("pdf").select_related("order"), pk=pk)
    if not issuing.may_issue(request.user, found.kind):
        raise PermissionDenied("A warranty note is issued by an advisor or the owner.")
    issuing.make_again(found, by=request.user)
    messages.success(request, "The PDF is asked for once more.")
    return redirect("paper", found.order_id, found.kind)


def pdf_response(document):
    """Return the PDF of a document that is made."""
    name = f"{document.kind}-{document.order.number}-version-{document.version}.pdf"
    safe = "".join(sign if sign.isascii() and (sign.isalnum() or sign in "-._") else "-" for sign in name)
    return HttpResponse(
        bytes(document.pdf),
        content_type="application/pdf",
        headers={"Content-Disposition": f'inline; filename="{safe}"', "Cache-Control": "private, no-store"},
    )


def _order(pk):
    return get_object_or_404(RepairOrder.objects.select_related("location", "vehicle"), pk=pk)


def _known(kind):
    if kind not in IssuedDocument.Kind.values:
        raise Http404(f"There is no paper called '{kind}'.")
    return kind


def _paper(request, order, kind, **more):
    page = paper_page(order, kind)
    context = {
        "order": order,
        "kind": kind,
        "kind_name": IssuedDocument.Kind(kind).label,
        "page": page,
        "paper": page.paper,
        "sheet": page.paper.data["sheet"] if page.paper else None,
        "links": order.links.all() if issuing.may_share(request.user) else (),
        "now": timezone.now(),
        "may_issue": issuing.may_issue(request.user, kind),
        "may_share": issuing.may_share(request.user),
        **more,
    }
    return render(request, "invoicing/paper.html", context)
