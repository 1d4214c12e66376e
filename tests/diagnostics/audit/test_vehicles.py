from datetime import timedelta

import pytest

from diagnostics.audit.scope import Scope
from diagnostics.audit.vehicles import keep_returning
from tests.diagnostics.audit.watched import AS_OF, jobs
from tests.factories import ComplaintFactory, OrderFactory, VehicleFactory

pytestmark = pytest.mark.django_db


def visits(vehicle, count, system, until=AS_OF):
    for n in range(count):
        order = OrderFactory(vehicle=vehicle, opened_on=until - timedelta(days=20 * n))
        ComplaintFactory(order=order, kind="symptom", system=system)


def test_three_jobs_of_one_system_within_a_year_keep_returning(django_assert_num_queries):
    often, twice, mixed, long_ago = (VehicleFactory(plate=f"KR{n}") for n in range(4))
    visits(often, 3, "cooling")
    visits(often, 1, "battery")
    visits(twice, 2, "cooling")
    visits(mixed, 2, "cooling")
    visits(mixed, 2, "battery")
    visits(long_ago, 2, "cooling")
    visits(long_ago, 2, "cooling", until=AS_OF - timedelta(days=365))

    with django_assert_num_queries(3):
        (found,) = keep_returning(Scope(as_of=AS_OF))

    assert (found.name, found.systems, found.last_seen) == ("KR0", (("cooling", 3),), AS_OF)


def test_two_comebacks_within_a_year_keep_returning():
    twice, once = VehicleFactory(plate="KR1"), VehicleFactory(plate="KR2")
    day = AS_OF - timedelta(days=200)
    jobs(3, back=2, on=day, vehicle=twice)
    jobs(1, back=1, on=day, vehicle=once)
    jobs(1, back=1, on=day - timedelta(days=300), vehicle=once)

    (found,) = keep_returning(Scope(as_of=AS_OF))

    assert (found.name, found.systems, found.comebacks) == ("KR1", (), 2)


def test_a_comeback_after_the_day_of_the_count_is_not_known_yet():
    vehicle = VehicleFactory()
    jobs(2, back=2, on=AS_OF - timedelta(days=5), vehicle=vehicle)

    assert keep_returning(Scope(as_of=AS_OF)) == ()
    assert keep_returning(Scope(as_of=AS_OF + timedelta(days=5)))
