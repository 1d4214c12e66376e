from urllib.parse import urlencode

from django.contrib import messages
from django.contrib.auth.views import LoginView, LogoutView
from django.db.models import Count, Max
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.decorators import method_decorator
from django.views.decorators.http import require_http_methods

from shared import sent
from shared.access import public, roles
from shared.lists import Column, ListPage
from shop import intake, search
from shop.desk.filters import CustomerFilter, VehicleFilter
from shop.desk.forms import (
    ComplaintForm,
    CustomerForm,
    FindForm,
    ShortCustomerForm,
    VehicleEditForm,
    VehicleForm,
    VisitForm,
)
from shop.desk.number import LONGEST_NUMBER, about_number, about_vehicle
from shop.models import Customer, PlannedReturn, RepairOrder, Vehicle
from shop.vin import remark

PAST_SHOWN = 20


class SignIn(LoginView):
    template_name = "shop/signin.html"
    redirect_authenticated_user = True


class SignOut(LogoutView):
    http_method_names = ["post", "options"]


sign_in = public(SignIn.as_view())
sign_out = SignOut.as_view()


@roles("advisor", "technician", "owner")
def find(request):
    """Look for a vehicle, a customer or a job; one job found is opened at once."""
    form = FindForm(request.GET or None)
    text = form.cleaned_data["q"] if form.is_valid() else ""
    found = search.find(text)
    if found.orders:
        return redirect(found.orders[0])
    new_url = f"{reverse('order-new')}?{urlencode(search.entered_as(text))}" if text else ""
    context = {"form": form, "found": found, "text": text, "new_url": new_url}
    return render(request, "shop/find.html", context)


@roles("advisor", "owner")
@require_http_methods(["GET", "POST"])
def open_job(request):
    """Open a job: on a vehicle that is known, or with a new one on the same page."""
    if before := sent.answered(request):
        return _answer(request, before)
    vehicle = _chosen(Vehicle, request.GET.get("vehicle"))
    customer = _chosen(Customer, request.GET.get("customer")) or (vehicle.keeper if vehicle else None)
    forms = _job_forms(request, vehicle, customer)
    if request.method == "POST" and all(form.is_valid() for form in forms.values()):
        return _answer(request, sent.once(request, lambda: _open(request, vehicle, customer, forms)))
    context = forms | {
        "vehicle": vehicle,
        "customer": customer,
        "past": _past(vehicle),
        "recent": _recent(vehicle),
        "vin_remark": remark(vehicle.vin) if vehicle else "",
        "find_form": FindForm(),
        "all_forms": list(forms.values()),
    }
    return render(request, "shop/order_new.html", context)


@roles("advisor", "technician", "owner")
@require_http_methods(["GET", "POST"])
def add_complaint(request, pk):
    """Take down one more complaint on an open job."""
    if before := sent.answered(request):
        return _answer(request, before)
    order = get_object_or_404(RepairOrder.objects.open().with_people(), pk=pk)
    form = ComplaintForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        entry = intake.ComplaintEntry(**form.entry_fields())

        def add():
            intake.add_complaint(order, entry, by=request.user, at=timezone.now())
            return sent.Answer(order.get_absolute_url(), "The complaint is on the job.")

        return _answer(request, sent.once(request, add))
    return render(request, "shop/complaint_new.html", {"order": order, "form": form})


@method_decorator(roles("advisor", "technician", "owner"), name="dispatch")
class VehicleList(ListPage):
    queryset = Vehicle.objects.select_related("keeper").annotate(
        order_count=Count("orders"), last_opened_on=Max("orders__opened_on")
    )
    filterset_class = VehicleFilter
    template_name = "shop/vehicle_list.html"
    default_sort = "-last_visit"
    csv_name = "vehicles"
    columns = (
        Column("plate", "Plate", lambda v: v.plate, ("plate",)),
        Column("vehicle", "Vehicle", lambda v: v.description, ("make", "model", "year")),
        Column("vin", "VIN", lambda v: v.vin, ("vin",)),
        Column("keeper", "Keeper", lambda v: v.keeper and v.keeper.name, ("keeper__name",)),
        Column("jobs", "Jobs", lambda v: v.order_count, ("order_count",), is_number=True),
        Column("last_visit", "Last visit", lambda v: v.last_opened_on, ("last_opened_on",)),
    )


@method_decorator(roles("advisor", "technician", "owner"), name="dispatch")
class CustomerList(ListPage):
    queryset = Customer.objects.annotate(order_count=Count("orders"), last_opened_on=Max("orders__opened_on"))
    filterset_class = CustomerFilter
    template_name = "shop/customer_list.html"
    default_sort = "name"
    csv_name = "customers"
    columns = (
        Column("name", "Name", lambda c: c.name, ("name",)),
        Column("phone", "Phone", lambda c: c.phone),
        Column("email", "E-mail", lambda c: c.email),
        Column("jobs", "Jobs", lambda c: c.order_count, ("order_count",), is_number=True),
        Column("last_visit", "Last visit", lambda c: c.last_opened_on, ("last_opened_on",)),
    )


@roles("advisor", "technician", "owner")
def vehicle_page(request, pk):
    """One vehicle: who it is, its visits, its odometer."""
    vehicle = get_object_or_404(Vehicle.objects.select_related("keeper"), pk=pk)
    context = {
        "vehicle": vehicle,
        "vin_remark": remark(vehicle.vin),
        "about": about_vehicle(vehicle, at=timezone.now()),
        "past": _past(vehicle),
        "order_count": vehicle.orders.count(),
        "past_shown": PAST_SHOWN,
        "elsewhere": _had_elsewhere(vehicle),
        "odometer": vehicle.odometer_readings.select_related("order").order_by("-read_on", "-pk")[
            :PAST_SHOWN
        ],
    }
    return render(request, "shop/vehicle.html", context)


@roles("advisor", "technician", "owner")
def number_said(request):
    """What a vehicle number says while it is typed: a piece of a page."""
    about = about_number(request.GET.get("vin", "")[:LONGEST_NUMBER], at=timezone.now())
    return render(request, "shop/_vin_said.html", {"about": about})


@roles("advisor", "technician", "owner")
def customer_page(request, pk):
    """One customer: how to reach them, their vehicles and visits."""
    customer = get_object_or_404(Customer, pk=pk)
    vehicles = customer.vehicles.annotate(last_opened_on=Max("orders__opened_on")).order_by("plate", "pk")
    context = {
        "customer": customer,
        "vehicles": vehicles,
        "past": customer.orders.with_people().prefetch_related("complaint_set")[:PAST_SHOWN],
        "order_count": customer.orders.count(),
        "past_shown": PAST_SHOWN,
    }
    return render(request, "shop/customer.html", context)


@roles("advisor", "owner")
@require_http_methods(["GET", "POST"])
def vehicle_edit(request, pk):
    """Change who a vehicle is."""
    vehicle = get_object_or_404(Vehicle, pk=pk)
    form = VehicleEditForm(request.POST or None, instance=vehicle)
    if request.method == "POST" and form.is_valid():
        intake.keep_vehicle(form.instance, by=request.user)
        messages.success(request, "The vehicle is kept.")
        return redirect("vehicle", pk=pk)
    return render(request, "shop/vehicle_edit.html", {"vehicle": vehicle, "form": form})


@roles("advisor", "owner")
@require_http_methods(["GET", "POST"])
def customer_edit(request, pk):
    """Change how to reach a customer."""
    customer = get_object_or_404(Customer, pk=pk)
    form = CustomerForm(request.POST or None, instance=customer)
    if request.method == "POST" and form.is_valid():
        intake.keep_customer(form.instance, by=request.user)
        messages.success(request, "The customer is kept.")
        return redirect("customer", pk=pk)
    return render(request, "shop/customer_edit.html", {"customer": customer, "form": form})


def _answer(request, answer):
    messages.success(request, answer.said)
    return redirect(answer.to)


def _chosen(model, text):
    return get_object_or_404(model, pk=text) if text and text.isdigit() and len(text) < 19 else None


def _job_forms(request, vehicle, customer):
    data = request.POST or None
    planned = PlannedReturn.objects.filter(order__vehicle=vehicle).select_related("order") if vehicle else ()
    forms = {
        "complaint_form": ComplaintForm(
            data, prefix="complaint", initial=_looked_for(request, "text", "symptom")
        ),
        "visit_form": VisitForm(
            data,
            prefix="visit",
            planned_returns=list(planned),
            initial=_looked_for(request, "since_repair"),
        ),
    }
    if vehicle is None:
        forms["vehicle_form"] = VehicleForm(
            data, prefix="vehicle", initial=_looked_for(request, "plate", "vin")
        )
    if customer is None:
        forms["customer_form"] = ShortCustomerForm(
            data, prefix="customer", initial=_looked_for(request, "name", "phone")
        )
    return forms


def _looked_for(request, *names):
    """What was looked for and not found, or what a link brings along, is not typed twice."""
    return {name: request.GET[name] for name in names if name in request.GET}


def _open(request, vehicle, customer, forms):
    by, at = request.user, timezone.now()
    vehicle = vehicle or intake.keep_vehicle(forms["vehicle_form"].instance, by=by)
    customer = customer or intake.keep_customer(forms["customer_form"].instance, by=by)
    visit = forms["visit_form"].cleaned_data
    order = intake.open_order(
        location=by.location,
        vehicle=vehicle,
        customer=customer,
        complaints=[intake.ComplaintEntry(**forms["complaint_form"].entry_fields())],
        odometer=visit.pop("odometer"),
        by=by,
        at=at,
        **visit,
    )
    return sent.Answer(order.get_absolute_url(), f"Job {order.number} is open.")


def _recent(vehicle):
    """The last visit, and the days since hand-over, while a return would lie inside its window of days."""
    last = (
        vehicle
        and vehicle.orders.handed_back().select_related("location").order_by("-returned_on", "-pk").first()
    )
    if not last:
        return None
    days = (timezone.localdate() - last.returned_on).days
    return {"order": last, "days": days} if 0 <= days <= last.location.window_days else None


def _had_elsewhere(vehicle):
    """The jobs after which the customer told of another garage, by the relation that calls bring."""
    return vehicle.orders.filter(follow_ups__outcome="elsewhere").values(
        "pk", "number", "follow_ups__called_on", "follow_ups__said"
    )[:PAST_SHOWN]


def _past(vehicle):
    if vehicle is None:
        return []
    orders = vehicle.orders.with_people().prefetch_related(
        "complaint_set", "workitem_set", "odometer_readings"
    )
    return list(orders[:PAST_SHOWN])
