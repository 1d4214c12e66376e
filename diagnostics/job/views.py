"""The page of one job, the bay, and every form that records something."""

from django.contrib import messages
from django.core.exceptions import PermissionDenied, ValidationError
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from diagnostics.job.bay import Bay
from diagnostics.job.forms import FORMS
from diagnostics.job.forms.base import DIAGNOSIS, EVERYBODY, from_address
from diagnostics.job.forms.explaining import HandBackForm
from diagnostics.job.page import JobPage
from diagnostics.recording import OrderIsClosed
from shared import sent
from shared.access import roles
from shared.uploads import was_too_large
from shop.models import RepairOrder


@roles(*EVERYBODY)
@require_safe
def job(request, pk):
    """The chain of one job, top to bottom."""
    order = _order(pk)
    page = JobPage(order, request.user)
    close_form = HandBackForm(order=order, user=request.user, auto_id="close-%s") if order.is_open else None
    return render(request, "diagnostics/job.html", {"page": page, "order": order, "close_form": close_form})


@roles(*DIAGNOSIS)
@require_safe
def bay(request, pk):
    """The same job on a tablet: the next test, one line to type, what was kept last."""
    order = _order(pk)
    return render(request, "diagnostics/job_bay.html", _bay_context(request, order))


@roles(*EVERYBODY)
@require_http_methods(["GET", "POST"])
def record(request, pk, kind, row=None):
    """One form of a job: open it, keep what was typed, or give it back filled with what is wrong."""
    form_class = _form_class(kind, row, request.user)
    order = _order(pk)
    if before := sent.answered(request):
        return _answer(request, before)
    target = get_object_or_404(form_class.rows(order), pk=row) if form_class.needs_row else None
    if request.method == "GET" and not (order.is_open or form_class.even_closed):
        messages.error(request, OrderIsClosed(order).messages[0])
        return redirect(order)
    form = _bound(request, form_class, order, target)
    if request.method == "POST" and form.is_valid() and (answer := _save(request, order, form)):
        return _answer(request, answer)
    _put_cursor(form)
    if request.POST.get("back") == "bay" and (context := _bay_context(request, order, form))["bay"].next:
        return render(request, "diagnostics/job_bay.html", context)
    page = JobPage(order, request.user)
    context = {"page": page, "order": order, "form": form, "kind": kind}
    return render(request, form_class.template, context)


def _order(pk):
    return get_object_or_404(RepairOrder.objects.with_people(), pk=pk)


def _form_class(kind, row, user):
    form_class = FORMS.get(kind)
    if form_class is None or form_class.needs_row != (row is not None):
        raise Http404("There is no such form of a job.")
    if not any(user.has_role(name) for name in form_class.roles):
        raise PermissionDenied(f"This page is for: {', '.join(form_class.roles)}.")
    return form_class


def _bound(request, form_class, order, target):
    initial = form_class.initial_for(order, target) | from_address(form_class, request.GET)
    data, files = (request.POST, request.FILES) if request.method == "POST" else (None, None)
    form = form_class(data, files, order=order, user=request.user, row=target, initial=initial)
    form.upload_refused = was_too_large(request)
    return form


def _save(request, order, form):
    """Keep the record, once, and return the answer; a refusal goes back into the form."""

    def keep():
        said = form.save(by=request.user, at=timezone.now())
        return sent.Answer(_back(request, order, form), said)

    try:
        return sent.once(request, keep)
    except ValidationError as refused:
        form.add_error(None, ValidationError(refused.messages))
        return None


def _answer(request, answer):
    messages.success(request, answer.said)
    return redirect(answer.to)


def _put_cursor(form):
    """Put the cursor where something is to be put right."""
    wrong = next((name for name in form.errors if name in form.fields), None) if form.is_bound else None
    if wrong:
        form.fields[wrong].widget.attrs["autofocus"] = True


def _back(request, order, form):
    if request.POST.get("back") == "bay":
        return f"{reverse('order-bay', args=[order.pk])}?kept=1"
    return form.goes_to


def _bay_context(request, order, form=None):
    page = JobPage(order, request.user)
    wanted, has_kept = request.GET.get("step", ""), "kept" in request.GET
    bay = Bay(page, form=form, wanted=wanted, has_kept=has_kept)
    return {"page": page, "order": order, "bay": bay}
