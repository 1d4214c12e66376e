import math

import pytest

from diagnostics.isolation import Done, advise, believe, fixed_order, load
from diagnostics.isolation.routes import compare, started
from diagnostics.isolation.turning import turning
from diagnostics.isolation.usual_routes import EASY_FIRST, ONE_BY_ONE, usual_routes
from diagnostics.isolation.wording.changes import with_minutes_added
from diagnostics.isolation.wording.terms import terms_of
from shared.computing import compute
from tests.diagnostics.isolation.small_star import cut, document, searched

EASY = ("unplug_horn", "unplug_lamp", "unplug_pump")


def views(history=(), **options):
    problem, _, done = searched(*history, **options)
    found = compare(problem, {"easy": EASY, "hub": ["bar_out"]}, done)
    return problem, {view.name: view for view in found}


# --- named routes -------------------------------------------------------------------------------------


def test_a_route_starts_with_the_best_of_its_tests():
    problem, found = views()
    minutes = {each.test: each.expected_minutes for each in advise(problem).ranking}

    assert found["easy"].starts_minutes == pytest.approx(min(minutes[test] for test in EASY))
    assert found["easy"].starts_with in EASY
    assert found["hub"].starts_minutes == pytest.approx(minutes["bar_out"])


def test_the_gap_is_taken_to_the_quickest_route():
    _, found = views()

    assert min(view.gap for view in found.values()) == 0
    assert found["hub"].gap - found["easy"].gap == pytest.approx(
        found["hub"].starts_minutes - found["easy"].starts_minutes
    )


def test_a_list_kept_to_costs_no_less_than_starting_with_it_and_planning():
    _, found = views()

    for view in found.values():
        assert view.order_minutes >= view.starts_minutes - 1e-9


def test_the_rest_of_the_tests_follows_a_list_that_ends():
    problem, found = views()

    assert found["hub"].order_minutes < fixed_order(problem, ["bar_out"]).expected_minutes


def test_a_route_says_its_minutes_its_spread_and_the_price_of_the_list():
    _, found = views()

    words = found["hub"].words
    assert words.startswith("Starting with “take the bar out at the hub”: ")
    assert "of such faults are found by " in words
    assert "Keeping to this order whatever it reads" in words


def test_a_route_of_which_all_is_done_says_that_it_tells_nothing():
    _, found = views([("bar_out", "up")])

    assert found["hub"].starts_with is None
    assert found["hub"].words == "None of these can tell anything now."


@pytest.mark.parametrize(
    ("tests", "told"), [([], "names no test"), (["unplug_moon"], "names unplug_moon, which is no test")]
)
def test_a_route_that_cannot_be_is_refused(tests, told):
    with pytest.raises(ValueError, match=told):
        compare(searched()[0], {"mine": tests})


def test_what_is_found_in_time_after_a_first_test_is_shared_out_over_its_readings():
    problem, _, _ = searched()
    after = started(problem, terms_of(problem.document), (), "unplug_horn")

    up, down = (advise(problem, [Done("unplug_horn", outcome)]) for outcome in ("up", "down"))

    assert after.within(40) == pytest.approx(0.13 * up.within(38) + 0.87 * down.within(38))
    assert after.within(1.9) == 0


def test_the_share_found_by_the_time_told_is_at_least_what_was_asked():
    problem, _, _ = searched()
    after = started(problem, terms_of(problem.document), (), "unplug_horn")

    by = after.minutes_by(0.9)

    assert after.within(by) >= 0.9 - 1e-6
    assert after.within(by - 0.1) < 0.9
    assert math.isinf(after.minutes_by(1.1))


# --- usual routes -------------------------------------------------------------------------------------


def test_the_easiest_first_go_where_a_place_is_open_already():
    """The horn is free to reach; pump and lamp share a cover; the fan lies under the floor panel."""
    found = usual_routes(searched()[0])

    assert found[EASY_FIRST] == ("unplug_horn", "unplug_lamp", "unplug_pump", "unplug_fan")


def test_one_by_one_goes_by_chance_over_minutes():
    """Worked by hand: horn 13/2, pump 26/7, lamp 20/7, fan 17/26."""
    assert usual_routes(searched()[0])[ONE_BY_ONE] == (
        "unplug_horn",
        "unplug_pump",
        "unplug_lamp",
        "unplug_fan",
    )


def test_each_hub_has_a_route_of_its_own():
    assert usual_routes(searched()[0])["first to: insulation at the hub"] == ("bar_out",)


def test_what_was_done_or_can_tell_nothing_is_no_part_of_a_route():
    problem, _, done = searched(("unplug_horn", "down"), ("bar_out", "up"))

    named = {test for tests in usual_routes(problem, done).values() for test in tests}

    assert named == {"unplug_fan"}


@pytest.mark.parametrize("history", [[("bar_out", "up"), ("unplug_pump", "up")], [("unplug_pump", "up")]])
def test_a_search_that_has_ended_or_contradicts_itself_has_no_routes(history):
    problem, _, done = searched(*history)

    assert usual_routes(problem, done) == {}


# --- where it turns -----------------------------------------------------------------------------------


def leads(problem, hub, easy, history=()):
    """By how many minutes starting at the hub is quicker."""
    minutes = {each.test: each.expected_minutes for each in advise(problem, history).ranking}
    return min(minutes[test] for test in easy) - min(minutes[test] for test in hub)


def test_the_minutes_at_which_the_hub_begins_to_pay_are_those_of_the_plan():
    problem, _, _ = searched()
    found = turning(problem, ["bar_out"], EASY)
    assert not found.pays_now

    for added, pays in ((found.added_minutes - 1, False), (found.added_minutes + 1, True)):
        longer = load(with_minutes_added(document(), EASY, added))
        assert (leads(longer, ["bar_out"], EASY) > 0) is pays


def equal_units(number=9):
    """Units all alike, 8 min each; a hub 30 min away where any cut takes 2 (fault-isolation.md, 13.5)."""
    names = [f"u{place}" for place in range(1, number + 1)]
    halves = (("u1", "u2", "u3", "u4"), ("u1", "u2", "u5", "u6"), ("u1", "u3", "u5", "u7"), ("u8",))
    tests = [
        *(cut(f"cut_{place}", half, 2, ["hub"], kind="jumper") for place, half in enumerate(halves)),
        *(cut(f"unplug_{name}", [name], 8) for name in names),
    ]
    for each in tests:
        parted = halves[int(each["id"][-1])] if each["kind"] == "jumper" else [each["id"].split("_")[1]]
        each["likelihood"]["by_candidate"] = {name: [1.0, 0.0] for name in parted}
    return load(
        {
            "format": "isolation-problem/1",
            "id": "equal",
            "title": "Equal units",
            "zones": [{"id": "hub", "label": "floor panel", "open_minutes": 20, "close_minutes": 10}],
            "candidates": [{"id": name, "kind": "pulls_bus", "prior": 1 / number} for name in names],
            "tests": tests,
            "stop": {"wrong_minutes": 1000},
        }
    )


def test_equal_units_turn_where_the_closed_form_says():
    """fault-isolation.md section 11, read: with 9 units the hub pays, with 8 no more; at 7.45 min each."""
    problem = equal_units()
    hub, easy = [f"cut_{place}" for place in range(4)], [f"unplug_u{place}" for place in range(1, 10)]
    closed = compute("isolation.hub_or_easy", {"units": 9, "unplug": 8, "access": 30, "split": 2})

    found = turning(problem, hub, easy)

    assert found.pays_now
    assert found.suspects_left == closed["pays_above_units"] == 8
    assert 8 + found.added_minutes == pytest.approx(closed["pays_above_minutes"], abs=0.2)
    assert found.words == (
        "The hub first pays if more than 8 suspects are left and the easy ones take longer than about 7.5 "
        "min each (8 as planned)."
    )


def test_a_route_that_cannot_be_started_has_no_turning_point():
    problem, _, done = searched(("bar_out", "up"))

    assert turning(problem, ["bar_out"], EASY, done) is None


def test_believing_does_not_change_with_minutes():
    """Minutes are what a test costs, not what it tells."""
    longer = load(with_minutes_added(document(), EASY, 10))

    assert believe(longer, [Done("unplug_horn", "down")]).posterior == pytest.approx(
        believe(searched()[0], [Done("unplug_horn", "down")]).posterior
    )
