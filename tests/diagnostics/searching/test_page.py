"""The page of a search: what it says in each of its states, and what is said to it."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from diagnostics.models import SearchTiming, TestRun
from diagnostics.searching.reading import thought_of
from shop.models import Authorisation, TimeEntry

pytestmark = pytest.mark.django_db


def page_of(client, search, query=""):
    return client.get(f"{search.get_absolute_url()}{query}").content.decode()


def act(client, search, kind, **data):
    return client.post(f"{search.get_absolute_url()}act/{kind}/", data, follow=True)


def test_the_next_test_is_the_one_that_the_reference_calls_best(technician, search):
    # fault-isolation.md 13.6, read: the bar at hub B comes first, 79.5 min exact.
    page = page_of(technician, search)

    assert "Bar out at hub B: side A and bridge only</h2>" in page
    assert "rear bench out, then hub B under the bench floor" in page


def test_cautions_stand_before_the_buttons(technician, search):
    search.document["tests"][0]["caution"] = "Restraint cables run under this panel."
    search.save()
    page = page_of(technician, search, "?test=hub_a_level")

    assert page.index("Restraint cables") < page.index('name="outcome"')


def test_an_advisor_reads_minutes_and_chance_and_records_nothing(client, maud, search, order):
    Authorisation.objects.create(order=order, minutes=60, given_on=order.opened_on)
    TimeEntry.objects.create(order=order, minutes=38, kind="diagnosis", done_by="T", done_on=order.opened_on)
    client.force_login(maud)
    page = page_of(client, search)

    assert "22 minutes left of 60 agreed" in page
    assert "to find it within 30 more minutes" in page
    assert 'name="outcome"' not in page


def test_minutes_and_what_was_opened_are_kept_with_the_reading(technician, search):
    data = {"test": "bar_b_out", "outcome": "alive", "minutes": "42", "zones": ["bench", "hub_b"]}
    act(technician, search, "reading", **data)

    timing = SearchTiming.objects.get(search=search)
    # 42 min shared out as 21 were expected: 2 to do, 19 to open and refit.
    assert (timing.test, timing.minutes, timing.access_minutes) == ("bar_b_out", 4, 38)
    assert timing.zones == ["bench", "hub_b"]


def test_an_outcome_must_be_pressed(technician, search, order):
    page = act(technician, search, "reading", test="bar_b_out").content.decode()

    assert "Press what it read." in page
    assert not TestRun.objects.filter(order=order).exists()


def test_a_reading_taken_back_stays_on_record_and_tells_nothing_any_more(technician, search, order, read):
    read(search, "bar_b_out", "alive")
    act(technician, search, "undo", run="T1")

    old = TestRun.objects.get(order=order, superseded_by__isnull=False)
    live = TestRun.objects.get(order=order, superseded_by=None)
    assert (old.superseded_reason, live.status) == ("pressed by mistake", "not_applicable")
    assert thought_of(search).history == ()


def test_a_test_that_cannot_be_done_is_left_out_and_can_come_back(technician, search):
    act(technician, search, "cannot", test="bar_b_out", reason="The bar is seized.")
    search.refresh_from_db()
    without = page_of(technician, search)
    act(technician, search, "again", test="bar_b_out")
    search.refresh_from_db()

    assert "Bar out at hub B: side A and bridge only</h2>" not in without
    assert "The bar is seized., Tobin Marl" in without
    assert thought_of(search).advice.test == "bar_b_out"


def test_a_reason_is_asked_where_a_test_is_left_out(technician, search):
    page = act(technician, search, "cannot", test="bar_b_out").content.decode()

    assert "so that the next person need not try" in page


def test_a_zone_that_stands_open_makes_what_is_behind_it_cheaper(technician, search):
    dear = thought_of(search).advice.expected_minutes
    act(technician, search, "open", zone="hub_a", is_open="on")
    search.refresh_from_db()
    cheap = thought_of(search)

    assert cheap.advice.expected_minutes < dear
    assert {"hub_a", "floor_panel"} <= cheap.belief.open_zones


def test_readings_that_cannot_all_be_true_are_named_with_a_way_on(technician, search, read):
    read(search, "unplug_U4", "alive")
    read(search, "unplug_U5", "alive")
    page = page_of(technician, search)

    assert "The readings contradict the list" in page
    assert 'href="/orders/' in page
    assert "Measure again: unplug the wiper unit" in page


def test_an_undecided_reading_is_said_and_not_counted(technician, search, order, read):
    read(search, "bar_b_out", "alive", result="")
    page = page_of(technician, search)

    assert "not counted" in page
    assert "no result" in page


def test_a_stopped_search_says_why_and_takes_nothing_more(technician, search):
    act(technician, search, "stop", reason="It rests for the day.")
    search.refresh_from_db()
    page = page_of(technician, search)
    answer = act(technician, search, "reading", test="bar_b_out", outcome="alive").content.decode()

    assert "“It rests for the day.”" in page
    assert "This search has ended." in answer


def test_a_route_of_ones_own_stands_beside_the_plan(technician, search):
    act(technician, search, "route", name="Front first", tests=["unplug_U4", "unplug_U5"])
    search.refresh_from_db()
    page = page_of(technician, search, "?routes=1")

    assert "Front first" in page
    assert "your route" in page


def test_the_problem_is_had_as_a_file(technician, search):
    answer = technician.get(f"{search.get_absolute_url()}problem/")

    assert answer.json()["format"] == "isolation-problem/1"
    assert "search-1057-F1.json" in answer["Content-Disposition"]


def test_a_search_says_in_the_hand_off_what_it_knows(technician, search, order, read):
    read(search, "bar_b_out", "alive")
    page = technician.get(f"/orders/{order.pk}/record/hand-off/").content.decode()

    assert "bar out at hub B: side A and bridge only" in page
    assert "ramp unit pulls the line down: " in page


def test_the_job_page_and_the_bay_show_the_next_test(technician, search, order):
    job = technician.get(f"/orders/{order.pk}/").content.decode()
    bay = technician.get(f"/orders/{order.pk}/bay/").content.decode()

    assert "Go on with the search" in job
    assert 'name="outcome"' in bay


def queries(client, address):
    client.get(address)
    with CaptureQueriesContext(connection) as captured:
        assert client.get(address).status_code == 200
    return len(captured)


def test_the_queries_of_the_pages_do_not_grow_with_the_readings(technician, search, order, read, tobin):
    addresses = [search.get_absolute_url(), f"/orders/{order.pk}/", f"/orders/{order.pk}/bay/"]
    read(search, "bar_b_out", "alive")
    few = [queries(technician, address) for address in addresses]
    for test in ("unplug_U4", "unplug_U5", "unplug_U1", "unplug_U2"):
        read(search, test, "dead")

    assert [queries(technician, address) for address in addresses] == few
    assert few[0] <= 22
