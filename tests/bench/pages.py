"""Pages through the whole stack, beside a page that shows nothing but the name of who is signed in."""

from django.db.models import Count
from django.template import engines
from django.test import Client
from django.test.utils import override_settings
from django.urls import include, path, reverse

from shop.models import Location, RepairOrder, StaffMember
from tests.bench.timing import Comparison, in_turns

BARE = "<!doctype html><html lang='en'><title>Bare</title><p>{{ request.user.signs_as }}</p></html>"
PAGES_A_REPEAT = 5


def bare(request):
    return _html(engines["django"].from_string(BARE).render({}, request))


def _html(text):
    from django.http import HttpResponse

    return HttpResponse(text)


urlpatterns = [path("bare/", bare), path("", include("shared.urls"))]


def measure(shop, repeats):
    with override_settings(ROOT_URLCONF=__name__):
        client = Client(SERVER_NAME="localhost")
        client.force_login(_owner())
        addresses = {
            "front page": reverse("front"),
            "order list": reverse("order-list"),
            "job page": _usual_order().get_absolute_url(),
            "longest job page": _longest_order().get_absolute_url(),
            "vehicle list": reverse("vehicle-list"),
            "return list": reverse("return-list"),
        }
        visits = [_visit(client, address) for address in ["/bare/", *addresses.values()]]
        for visit in visits:
            visit()  # The first visit fills the caches of templates and forms.
        yardstick, *taken = in_turns(repeats * PAGES_A_REPEAT, *visits)
    return [
        Comparison(name, seconds, "bare page", yardstick)
        for name, seconds in zip(addresses, taken, strict=True)
    ]


def _visit(client, address):
    def visit():
        response = client.get(address)
        assert response.status_code == 200, f"{address} answers {response.status_code}"
        return b"".join(response) if response.streaming else response.content

    return visit


def _owner():
    return StaffMember.objects.get_or_create(
        username="bench",
        defaults={"signs_as": "Bench", "is_owner": True, "location": Location.objects.first()},
    )[0]


def _usual_order():
    orders = RepairOrder.objects.annotate(size=Count("testrun_set")).order_by("size", "pk")
    return orders[orders.count() // 2]


def _longest_order():
    return RepairOrder.objects.annotate(size=Count("testrun_set")).order_by("-size", "pk")[0]
