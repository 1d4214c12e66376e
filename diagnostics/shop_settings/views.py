"""The owner's settings of the audit."""

from django.contrib import messages
from django.db import transaction
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from diagnostics.shop_settings.forms import ReportForm, ShopForm
from shared import audit
from shared.access import roles
from shop.models import Location, StaffMember


@roles("owner")
@require_http_methods(["GET", "POST"])
def settings_page(request):
    """What an hour costs a shop, from how many jobs on it compares, when it calls, who gets the report."""
    shops = list(Location.objects.all())
    shop = _shop(request, shops)
    data = request.POST if request.method == "POST" else None
    shop_form = ShopForm(data, instance=shop, prefix="shop") if shop else None
    report_form = ReportForm(data, instance=StaffMember.objects.get(pk=request.user.pk), prefix="me")
    forms = [form for form in (shop_form, report_form) if form]
    are_valid = [form.is_valid() for form in forms]  # Each is asked, so that each says what is wrong.
    if request.method == "POST" and all(are_valid):
        return _keep(request, shop, forms)
    context = {"shops": shops, "shop": shop, "shop_form": shop_form, "report_form": report_form}
    return render(request, "diagnostics/audit/settings.html", context)


def _shop(request, shops):
    wanted = request.GET.get("shop")
    if wanted:
        return get_object_or_404(Location, code=wanted)
    return request.user.location or (shops[0] if shops else None)


def _keep(request, shop, forms):
    changed = {name for form in forms for name in form.changed_data}
    with transaction.atomic():
        for form in forms:
            if form.changed_data:
                audit.keep(form.instance, by=request.user)
    messages.success(request, "Kept." if changed else "Nothing was changed.")
    return redirect(f"{reverse('audit-settings')}?shop={shop.code}" if shop else reverse("audit-settings"))
