from datetime import UTC, datetime
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError

from diagnostics.circuits import acts, photos
from diagnostics.circuits.reading import circuit_of, overrides_of
from diagnostics.isolation.circuit import check, template
from diagnostics.isolation.circuit.names import read_names
from diagnostics.models import CircuitMap, MapPhoto, MapPlace, MapWire, MapZone
from shared.models import AuditEntry
from shared.pictures import Picture
from tests.factories import CircuitMapFactory, TechnicianFactory, VehicleFactory

pytestmark = pytest.mark.django_db

NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)
STARS = "hub A:\ndoor unit @ left sill 6+4\nseat unit ?\n\nhub B:\nroof unit\nrear unit @ boot trim 12+8"


@pytest.fixture
def by():
    return {"by": TechnicianFactory(signs_as="Isa Renk"), "at": NOON}


@pytest.fixture
def drawn(by):
    about = {"title": "Body line", "make": "Norvane", "model": "Tarn"}
    return acts.make_map(about=about, circuit=template("joined_stars", STARS), **by)


def place(drawn, label):
    return drawn.places.get(label=label)


def entries():
    return AuditEntry.objects.filter(record="diagnostics.CircuitMap")


def test_a_map_is_made_whole_with_one_entry(drawn):
    assert check(circuit_of(drawn)) == ()
    assert [entry.action for entry in entries()] == ["make map"]


def test_each_change_is_a_version_with_who_and_when(drawn, by):
    unit = place(drawn, "roof unit")
    unit.fitted = "no"
    acts.keep_part(unit, **by)
    drawn.refresh_from_db()
    assert (drawn.version, drawn.changed_by, drawn.changed_at) == (2, "Isa Renk", NOON)
    assert entries().first().after == {"fitted": "no"}


def test_what_changes_nothing_leaves_no_version(drawn, by):
    acts.keep_part(place(drawn, "roof unit"), **by)
    drawn.refresh_from_db()
    assert (drawn.version, entries().count()) == (1, 1)


def test_branches_are_hung_on_a_hub_with_zones_old_and_new(drawn, by):
    names = read_names("trailer unit @ boot trim\nhitch lamp @ tow bar 3+2\nsun unit ?")
    hub = place(drawn, "hub B")
    added = acts.add_branches(hub, names, kind="module", is_removable=True, **by)
    circuit = circuit_of(drawn)
    assert check(circuit) == ()
    assert [str(one.zone) for one in added] == ["boot trim", "tow bar", "None"]
    assert drawn.zones.get(label="tow bar").open_minutes == Decimal(3)
    assert [one.fitted for one in added] == ["verified", "verified", "assumed"]
    assert entries().count() == 2


def test_a_place_goes_with_its_wires_and_what_hangs_behind_it(drawn, by):
    acts.remove_part(place(drawn, "hub B"), behind=["roof_unit", "rear_unit"], **by)
    assert check(circuit_of(drawn)) == ()
    assert {one.label for one in drawn.places.all()} == {"hub A", "test socket", "door unit", "seat unit"}
    assert set(entries().first().before) == {"hub_b", "roof_unit", "rear_unit"}


def test_what_lay_in_a_removed_zone_lies_in_the_one_around_it(drawn, by):
    inner, outer = drawn.zones.get(label="boot trim"), drawn.zones.get(label="left sill")
    inner.inside = outer
    acts.keep_part(inner, **by)
    acts.remove_part(inner, **by)
    assert place(drawn, "rear unit").zone == outer


def test_a_zone_does_not_lie_inside_itself_by_a_detour(drawn, by):
    inner, outer = drawn.zones.get(label="boot trim"), drawn.zones.get(label="left sill")
    inner.inside = outer
    acts.keep_part(inner, **by)
    outer.inside = inner
    with pytest.raises(ValidationError, match="inside itself"):
        acts.keep_part(outer, **by)


def test_a_wire_joins_places_of_one_map(drawn, by):
    stranger = acts.make_map(about={"title": "Other"}, circuit=template("single_star", "a unit"), **by)
    wire = MapWire(circuit_map=drawn, start=place(drawn, "hub A"), end=stranger.places.first())
    with pytest.raises(ValidationError, match="of this map"):
        acts.keep_part(wire, **by)


def test_new_parts_get_ids_that_nothing_else_has(drawn, by):
    again = acts.keep_part(MapPlace(circuit_map=drawn, kind="module", label="Roof unit"), **by)
    zone = acts.keep_part(MapZone(circuit_map=drawn, label="12 V tray"), **by)
    assert (again.key, zone.key) == ("roof_unit_2", "z_12_v_tray")


def test_minutes_are_checked_as_numbers(drawn, by):
    with pytest.raises(ValidationError):
        acts.keep_part(MapZone(circuit_map=drawn, label="Dash", open_minutes=Decimal(1000)), **by)


def test_what_is_known_of_a_test_goes_when_it_is_like_any_other(drawn, by):
    acts.set_test(drawn, key="unplug_roof_unit", minutes=Decimal("4.5"), caution=" Airbag. ", **by)
    assert overrides_of(drawn)["unplug_roof_unit"].caution == "Airbag."
    acts.set_test(drawn, key="unplug_roof_unit", **by)
    assert overrides_of(drawn) == {}


def test_a_copy_is_not_seen_on_the_other_platform_yet(drawn, by):
    acts.set_test(drawn, key="unplug_roof_unit", minutes=Decimal(9), **by)
    copy = acts.copy_map(drawn, about={"title": "Body line", "make": "Haldmark"}, **by)
    assert {one.fitted for one in copy.places.all()} == {"assumed"}
    assert overrides_of(copy) == overrides_of(drawn)
    assert [one.label for one in copy.places.all()] == [one.label for one in drawn.places.all()]


def test_a_retired_map_is_not_changed_until_it_is_taken_up_again(drawn, by):
    acts.set_state(drawn, state="retired", **by)
    with pytest.raises(acts.MapIsRetired, match="Take it up again"):
        acts.keep_part(place(drawn, "roof unit"), **by)
    acts.set_state(drawn, state="current", **by)
    acts.change_map(drawn, changes={"note": "Seen on two cars."}, **by)
    assert CircuitMap.objects.get(pk=drawn.pk).version == 4


def test_photos_stand_on_the_shelf_of_photos(drawn, by, settings, tmp_path):
    settings.PHOTOS_DIR = tmp_path
    picture = Picture(b"large", b"small", 4, 3)
    (kept,) = photos.add_photos(place(drawn, "hub B"), [picture], caption="Under the bench", **by)
    assert (tmp_path / kept.sha256[:2] / kept.sha256).read_bytes() == b"large"
    photos.remove_photo(kept, **by)
    assert not MapPhoto.objects.exists()


@pytest.mark.parametrize(
    ("map_of", "fits"),
    [
        ({}, True),
        ({"make": "NORVANE", "model": "tarn", "year_from": 2012, "year_to": 2014}, True),
        ({"make": "Haldmark"}, False),
        ({"make": "Norvane", "model": "Fell"}, False),
        ({"year_from": 2015}, False),
        ({"engine": "2.0"}, True),
        ({"state": "retired"}, False),
    ],
)
def test_which_maps_may_be_of_a_vehicle(map_of, fits):
    vehicle = VehicleFactory(make="Norvane", model="Tarn", year=2013, engine="")
    drawn = CircuitMapFactory(**map_of)
    assert (drawn in CircuitMap.objects.for_vehicle(vehicle)) is fits


def test_the_map_that_fits_best_comes_first(django_assert_num_queries):
    vehicle = VehicleFactory(make="Norvane", model="Tarn", year=2013, engine="1.6")
    anything = CircuitMapFactory(title="Any")
    make = CircuitMapFactory(title="Make", make="Norvane")
    model = CircuitMapFactory(title="Model", make="Norvane", model="Tarn")
    years = CircuitMapFactory(title="Years", make="Norvane", model="Tarn", year_from=2012)
    with django_assert_num_queries(1):
        assert list(CircuitMap.objects.for_vehicle(vehicle)) == [years, model, make, anything]
