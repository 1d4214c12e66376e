"""The list of the bench sums and the page of one: every sum of the registry that has a heading."""

from urllib.parse import urlencode

import pytest
from django.urls import reverse

from diagnostics.bench_sums import forms
from diagnostics.bench_sums.forms import example_text
from shared.computing import Refused, registry
from tests.factories import AdvisorFactory, OwnerFactory, TechnicianFactory

pytestmark = pytest.mark.django_db

SHOWN = {name: found for name, found in registry().items() if found.group}
# Session, person, and the place of work in the head of the page.
QUERIES = 3


@pytest.fixture
def bench(client):
    client.force_login(TechnicianFactory())
    return client


def text_of(response):
    return response.content.decode().replace("\xa0", " ")


def page_of(name, **given):
    return f"{reverse('sum', args=[name])}?{urlencode(given)}"


def test_every_sum_with_a_heading_is_on_the_list(bench):
    page = text_of(bench.get("/sums/"))

    assert [name for name in SHOWN if f'href="/sums/{name}/"' not in page] == []
    assert f"{len(SHOWN)} sums." in page or f"{len(SHOWN)} sums" in page


def test_a_search_narrows_the_list(bench):
    page = text_of(bench.get("/sums/?q=parasitic+draw")) + text_of(bench.get("/sums/?q=standing draw"))

    assert "/sums/battery.draw_verdict/" in page
    assert "/sums/wire.voltage_drop/" not in page


def test_a_search_that_finds_nothing_says_so(bench):
    assert "No sum matches." in text_of(bench.get("/sums/?q=unicorn"))


@pytest.mark.parametrize(
    "path", ["/sums/", "/sums/?q=wire", "/sums/wire.voltage_drop/?metres=5&amps=20&awg=10"]
)
def test_a_page_asks_the_database_for_the_person_alone(path, bench, django_assert_max_num_queries):
    with django_assert_max_num_queries(QUERIES):
        bench.get(path)


@pytest.mark.parametrize("name", SHOWN)
def test_each_sum_has_a_page_with_its_fields_and_what_it_rests_on(name, bench):
    response = bench.get(f"/sums/{name}/")

    page = text_of(response)
    assert response.status_code == 200
    assert [given.key for given in SHOWN[name].given if f'name="{given.key}"' not in page] == []
    assert "Nothing is worked out yet" in page or not SHOWN[name].given
    assert f"manage.py compute {name}" in page


@pytest.mark.parametrize("name", SHOWN)
def test_the_examples_of_a_page_are_answered(name, bench):
    response = bench.get(f"/sums/{name}/")
    example = response.context["example"]
    if not example:
        given = {g.key: example_text(g) for g in SHOWN[name].given if g.example is not None}
        assert bench.get(page_of(name, **given)).context["answer"] is None
        return

    assert bench.get(f"/sums/{name}/{example}").context["answer"] is not None


def test_an_answer_can_be_kept_as_a_bookmark(bench):
    page = text_of(bench.get(page_of("wire.voltage_drop", metres="5", amps="20", awg="10")))

    assert "0.3277 V" in page
    assert 'value="20"' in page
    assert "20 A through 5 m of it drops 0.3277 V" in page


def test_a_value_may_be_typed_in_another_unit(bench):
    page = text_of(bench.get(page_of("wire.connection_ohms", volts="350 mV", amps="0.16 kA")))

    assert "It has 2.188 mΩ." in page or "It has 2.187 mΩ." in page
    assert 'value="350 mV"' in page


def test_a_list_may_be_typed_in_another_unit(bench):
    page = text_of(bench.get(page_of("engine.compression_verdict", kpa="174, 171, 130, 175 psi")))

    assert "cylinder 3 has 74.3 % of the strongest" in page


def test_a_thick_gauge_is_typed_as_it_is_written_on_the_wire(bench):
    assert "8.2515 mm" in text_of(bench.get(page_of("wire.awg_diameter_mm", awg="1/0")))


def test_the_cautions_stand_before_the_fields(bench):
    page = text_of(bench.get("/sums/battery.soc_from_ocv/"))

    assert page.index("hydrogen") < page.index('name="volts"')


def test_outside_the_range_the_page_says_the_range_and_keeps_what_was_typed(bench):
    response = bench.get(page_of("battery.soc_from_ocv", volts="125"))

    page = text_of(response)
    assert response.status_code == 200
    assert "125.0 is outside the range in which this holds: 0 to 20 V." in page
    assert 'value="125"' in page
    assert "No answer" in page


def test_a_refusal_that_names_no_field_is_told_too(bench, monkeypatch):
    def refuse(name, given):
        raise Refused("given", "These values lead to no finite answer.", "values of ordinary size")

    monkeypatch.setattr(forms, "compute", refuse)

    page = text_of(bench.get(page_of("wire.connection_ohms", volts="1", amps="2")))

    assert "These values lead to no finite answer. Allowed: values of ordinary size." in page


@pytest.mark.parametrize(
    ("given", "told"),
    [
        ({"metres": "", "amps": "1", "awg": "10"}, "is missing. Allowed: a number, 0 to 10000 m."),
        ({"metres": "x", "amps": "1", "awg": "10"}, "is not a number"),
        ({"metres": "1", "amps": "1"}, "The wire is not described."),
        ({"metres": "1", "amps": "3 V", "awg": "10"}, "write the number in A, or in another unit of current"),
        ({"metres": "1" * 4001, "amps": "1", "awg": "10"}, "at most"),
        ({"metres": "1", "amps": "\x00", "awg": "10"}, "is not a number"),
    ],
)
def test_what_is_wrong_is_told_beside_its_field(given, told, bench):
    response = bench.get(page_of("wire.voltage_drop", **given))

    assert response.status_code == 200
    assert told in text_of(response)
    assert response.context["answer"] is None


def test_a_choice_that_is_none_is_refused(bench):
    page = text_of(bench.get(page_of("wire.drop_limit_volts", circuit="red")))

    assert "Select a valid choice" in page


def test_nothing_typed_is_taken_for_markup(bench):
    page = text_of(bench.get(page_of("battery.soc_from_ocv", volts="<script>alert(1)</script>")))

    assert "<script>alert" not in page


@pytest.mark.parametrize("name", ["nothing.like_it", "vin.weighted_sum", "wire"])
def test_a_name_without_a_page_is_not_found(name, bench):
    if name in registry():
        assert not registry()[name].group

    assert bench.get(f"/sums/{name}/").status_code == 404


@pytest.mark.parametrize("path", ["/sums/", "/sums/wire.voltage_drop/"])
def test_a_sum_is_asked_and_never_sent(path, bench):
    assert bench.post(path).status_code == 405


@pytest.mark.parametrize("person", [AdvisorFactory, TechnicianFactory, OwnerFactory])
def test_everybody_of_the_shop_may_work_out_a_sum(person, client):
    client.force_login(person())

    assert client.get(page_of("battery.soc_from_ocv", volts="12.45")).status_code == 200


def test_the_bay_and_the_tests_lead_to_the_sums(bench):
    assert 'href="/sums/"' in text_of(bench.get("/tests/"))
