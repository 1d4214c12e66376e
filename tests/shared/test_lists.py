import pytest

from shared.lists import safe_cell
from tests.factories import CustomerFactory, OwnerFactory, VehicleFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner_client(client):
    client.force_login(OwnerFactory())
    return client


def csv_lines(response):
    return b"".join(response.streaming_content).decode("utf-8-sig").splitlines()


def test_a_list_sorts_both_ways(owner_client):
    VehicleFactory(plate="AA 1")
    VehicleFactory(plate="ZZ 9")

    up = owner_client.get("/vehicles/?sort=plate").context["rows"]
    down = owner_client.get("/vehicles/?sort=-plate").context["rows"]

    assert [v.plate for v in up] == ["AA 1", "ZZ 9"]
    assert [v.plate for v in down] == ["ZZ 9", "AA 1"]


def test_an_unknown_sort_is_ignored(owner_client):
    assert owner_client.get("/vehicles/?sort=password").status_code == 200


def test_a_page_past_the_end_shows_the_last_one(owner_client):
    VehicleFactory.create_batch(51)

    page = owner_client.get("/vehicles/?page=99").context["page_obj"]

    assert (page.number, len(page)) == (2, 1)


def test_the_csv_has_all_rows_of_the_filter(owner_client):
    VehicleFactory.create_batch(60, make="Norvane")
    VehicleFactory(make="Ostrey")

    lines = csv_lines(owner_client.get("/vehicles/?make=Norvane&format=csv"))

    assert len(lines) == 61
    assert lines[0] == "plate,vehicle,vin,keeper,jobs,last_visit"


def test_a_csv_cell_is_never_a_formula(owner_client):
    CustomerFactory(name="=2+5")

    assert csv_lines(owner_client.get("/customers/?format=csv"))[1].startswith("'=2+5")


@pytest.mark.parametrize(("value", "cell"), [("@x", "'@x"), (-5, -5), (None, ""), ("plain", "plain")])
def test_cells_are_kept_but_for_formulas(value, cell):
    assert safe_cell(value) == cell
