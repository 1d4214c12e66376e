from datetime import date

import pytest

from tests.factories import InstrumentFactory, OwnerFactory, VehicleFactory

pytestmark = pytest.mark.django_db


def test_a_day_on_record_stands_in_the_form_as_a_browser_reads_it(client):
    client.force_login(OwnerFactory())
    instrument = InstrumentFactory(cal_required=True, cal_due=date(2027, 4, 6))
    vehicle = VehicleFactory(left_on=date(2026, 2, 3))

    assert b'value="2027-04-06"' in client.get(f"/instruments/{instrument.pk}/edit/").content
    assert b'value="2026-02-03"' in client.get(f"/vehicles/{vehicle.pk}/edit/").content
