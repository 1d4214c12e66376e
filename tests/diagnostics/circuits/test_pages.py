import io
from decimal import Decimal

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from PIL import Image

from diagnostics.circuits.reading import keep
from diagnostics.isolation.circuit import template
from diagnostics.models import CircuitMap, MapPlace
from tests.factories import (
    AdvisorFactory,
    CircuitMapFactory,
    ComplaintFactory,
    FaultSearchFactory,
    MapTestFactory,
    SearchTimingFactory,
    TechnicianFactory,
    VehicleFactory,
)

pytestmark = pytest.mark.django_db

TWO_HUBS = "hub A:\n" + "\n".join(f"front unit {n} @ left sill 6+4" for n in range(1, 7))
TWO_HUBS += "\n\nhub B:\n" + "\n".join(f"rear unit {n}" for n in range(1, 6))


@pytest.fixture
def tech(client):
    person = TechnicianFactory(signs_as="Isa Renk")
    client.force_login(person)
    return client


def drawn_map(names=TWO_HUBS, shape="joined_stars", **about):
    circuit = template(shape, names)
    drawn = CircuitMapFactory(topology=circuit.topology, **about)
    keep(circuit, drawn)
    return drawn


def test_two_hubs_with_eleven_units_take_two_presses(tech):
    typed = {"shape": "joined_stars", "names": TWO_HUBS, "title": "Body line", "act": "show"}
    shown = tech.post("/circuits/new/", typed)
    assert not CircuitMap.objects.exists()
    assert "14\N{NO-BREAK SPACE}places" in shown.content.decode()
    mark = shown.context["form"].mark
    answer = tech.post("/circuits/new/", typed | {"act": "keep", "shown": mark})
    kept = CircuitMap.objects.get()
    assert answer.url == kept.get_absolute_url()
    assert kept.places.count() == 14


def test_what_was_not_shown_is_not_kept(tech):
    typed = {"shape": "single_star", "names": "a unit", "title": "Line", "act": "keep", "shown": "other"}
    assert "Not kept yet" in tech.post("/circuits/new/", typed).content.decode()
    assert not CircuitMap.objects.exists()


def test_names_that_make_no_shape_stay_in_the_form(tech):
    typed = {"shape": "joined_stars", "names": "one unit", "title": "Line", "act": "show"}
    page = tech.post("/circuits/new/", typed).content.decode()
    assert "Joined stars need two groups" in page
    assert ">\none unit<" in page


def test_a_map_begun_from_a_job_knows_its_platform(tech):
    complaint = ComplaintFactory(system="network", ref="C1")
    vehicle = VehicleFactory(make="Norvane", model="Tarn", year=2013)
    address = f"/circuits/new/?vehicle={vehicle.pk}&order={complaint.order_id}&complaint=C1"
    initial = tech.get(address).context["form"].initial
    assert (initial["make"], initial["year_from"], initial["system"]) == ("Norvane", 2013, "network")


@pytest.mark.parametrize("size", [2, 30])
def test_the_page_of_a_map_takes_the_same_queries_for_any_size(tech, size, django_assert_num_queries):
    drawn = drawn_map("\n".join(f"unit {n} @ zone {n} 2+1" for n in range(size)), "single_star")
    for search in FaultSearchFactory.create_batch(2, circuit_map=drawn):
        SearchTimingFactory(search=search)
    url = drawn.get_absolute_url()
    tech.get(url)
    with django_assert_num_queries(12):
        tech.get(url)


def test_the_list_takes_the_same_queries_for_any_number(tech, django_assert_num_queries):
    for n in range(5):
        drawn_map(title=f"Line {n}")
    tech.get("/circuits/")
    with django_assert_num_queries(7):
        tech.get("/circuits/")


def test_the_list_is_searched_by_words_of_the_platform(tech):
    drawn_map(title="Body line", make="Norvane", model="Tarn", year_from=2012, year_to=2014)
    drawn_map(title="Body line", make="Haldmark")
    page = tech.get("/circuits/?q=tarn+2013")
    assert [drawn.model for drawn, _ in page.context["rows"]] == ["Tarn"]


def test_branches_are_added_where_they_hang(tech):
    drawn = drawn_map()
    hub = drawn.places.get(label="hub B")
    url = reverse("circuit-add", args=[drawn.pk, hub.pk])
    answer = tech.post(url, {"names": "hitch unit\ntow unit ?", "kind": "module", "is_removable": "on"})
    assert answer.url == f"{drawn.get_absolute_url()}#places"
    assert hub.wires_from.filter(end__label__in=["hitch unit", "tow unit"], is_removable=True).count() == 2


def test_fitted_is_one_press(tech):
    drawn = drawn_map()
    unit = drawn.places.get(label="rear unit 1")
    tech.post(reverse("circuit-fitted", args=[drawn.pk, unit.pk]), {"fitted": "no"})
    assert MapPlace.objects.get(pk=unit.pk).fitted == "no"


def test_taking_a_hub_off_says_what_hangs_on_it(tech):
    drawn = drawn_map()
    hub = drawn.places.get(label="hub B")
    url = reverse("circuit-part", args=[drawn.pk, "place", hub.pk])
    assert [place.label for place in tech.get(url).context["behind"]] == [
        f"rear unit {n}" for n in range(1, 6)
    ]
    tech.post(url, {"remove": "all"})
    assert drawn.places.count() == 8


def test_a_drawing_that_cannot_be_used_says_where_and_is_kept(tech):
    drawn = drawn_map()
    hub = drawn.places.get(label="hub B")
    tech.post(reverse("circuit-part", args=[drawn.pk, "place", hub.pk]), {"remove": "one"})
    faults = tech.get(drawn.get_absolute_url()).context["page"].faults
    assert [fault.name for fault in faults] == [f"rear unit {n}" for n in range(1, 6)]
    assert all(fault.url for fault in faults)


@pytest.mark.parametrize("kind", ["place", "wire", "zone"])
def test_a_form_of_a_part_gives_back_what_was_typed(tech, kind):
    drawn = drawn_map()
    page = tech.post(reverse("circuit-part-new", args=[drawn.pk, kind]), {"label": "z" * 200})
    assert "z" * 200 in page.content.decode()


def test_learned_minutes_of_a_zone_are_accepted_as_shown(tech):
    drawn = drawn_map()
    zone = drawn.zones.get(label="left sill")
    for _ in range(5):
        search = FaultSearchFactory(circuit_map=drawn)
        SearchTimingFactory(search=search, minutes=None, access_minutes=Decimal(12), zones=[zone.key])
    (row,) = [row for row in tech.get(drawn.get_absolute_url()).context["page"].zone_rows if row.offer]
    assert row.offer.words == "9 instead of 6 min, from 5\N{NO-BREAK SPACE}times"
    tech.post(reverse("circuit-learn", args=[drawn.pk]), {"zone": zone.key, "minutes": "9"})
    zone.refresh_from_db()
    assert (zone.open_minutes, zone.general_minutes, zone.learned_count) == (9, 6, 5)
    page = tech.get(drawn.get_absolute_url()).context["page"]
    assert not [row for row in page.zone_rows if row.offer]


def test_minutes_that_changed_since_they_were_shown_are_not_accepted(tech):
    drawn = drawn_map()
    zone = drawn.zones.get(label="left sill")
    tech.post(reverse("circuit-learn", args=[drawn.pk]), {"zone": zone.key, "minutes": "9"})
    zone.refresh_from_db()
    assert zone.open_minutes == 6


def test_where_the_minutes_of_a_test_come_from(tech):
    drawn = drawn_map()
    MapTestFactory(circuit_map=drawn, key="unplug_rear_unit_2", minutes=7)
    for _ in range(3):
        SearchTimingFactory(
            search=FaultSearchFactory(circuit_map=drawn), test="unplug_rear_unit_1", minutes=Decimal(12)
        )
    url = reverse("circuit-tests", args=[drawn.pk])
    by_id = {row.id: row for _, rows in tech.get(url).context["groups"] for row in rows}
    one, two, three = (by_id[f"unplug_rear_unit_{n}"] for n in (1, 2, 3))
    assert (two.source, two.minutes, two.general) == ("this map", 7, 3)
    assert (three.source, three.offer) == ("general value", None)
    assert one.offer.words == "6 instead of 3 min, from 3\N{NO-BREAK SPACE}times"
    tech.post(reverse("circuit-learn", args=[drawn.pk]), {"test": one.id, "minutes": "6"})
    assert drawn.tests.get(key=one.id).learned_count == 3


def test_a_test_can_be_kept_from_being_proposed(tech):
    drawn = drawn_map()
    tech.post(reverse("circuit-test", args=[drawn.pk, "unplug_rear_unit_1"]), {"caution": "Airbag near."})
    rows = tech.get(reverse("circuit-tests", args=[drawn.pk])).context["groups"]
    (row,) = [row for _, found in rows for row in found if row.id == "unplug_rear_unit_1"]
    assert not row.is_offered
    assert "Airbag near." in row.caution


def test_a_line_turns_out_to_have_two_wires(tech):
    drawn = drawn_map()
    tech.post(reverse("circuit-edit", args=[drawn.pk]), {"title": "Body line", "lines": "2"})
    drawn.refresh_from_db()
    assert (drawn.title, drawn.lines, drawn.version) == ("Body line", 2, 2)
    (fault,) = tech.get(drawn.get_absolute_url()).context["page"].faults
    assert "end resistor at each end" in fault.message


def test_a_photo_is_drawn_anew_and_stands_at_its_place(tech, settings, tmp_path):
    settings.PHOTOS_DIR = tmp_path
    drawn = drawn_map()
    hub = drawn.places.get(label="hub B")
    file = io.BytesIO()
    Image.new("RGB", (40, 30), "white").save(file, "PNG")
    sent = SimpleUploadedFile("hub.png", file.getvalue(), "image/png")
    tech.post(reverse("circuit-photos", args=[drawn.pk, hub.pk]), {"pictures": sent, "caption": "Under it"})
    photo = hub.photos.get()
    assert tech.get(reverse("map-photo", args=[photo.pk])).content[:2] == b"\xff\xd8"
    assert "Photo: Under it" in tech.get(drawn.get_absolute_url()).content.decode()


def test_the_desk_reads_a_map_and_changes_nothing(client):
    client.force_login(AdvisorFactory())
    drawn = drawn_map()
    page = client.get(drawn.get_absolute_url()).content.decode()
    assert "Add here" not in page
    assert 'name="fitted"' not in page
