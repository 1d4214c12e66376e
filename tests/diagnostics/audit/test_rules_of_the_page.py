from diagnostics.audit.pages.hurts import Hurt, worst
from diagnostics.audit.pages.this_week import ORDER, RULE, Thing, this_week


def a_thing(kind, waits=0, what="do it"):
    return Thing(kind, what, "because", "/x/", "Open", waits)


def test_one_of_a_kind_at_most_three_in_the_stated_order():
    things = [a_thing(kind) for kind in reversed(ORDER)] + [a_thing("review", 9, "the older one")]

    chosen = this_week(things)

    assert [thing.kind for thing in chosen] == ["signal", "review", "instrument"]
    assert chosen[1].what == "the older one"
    assert "at most three" in RULE


def test_nothing_to_do_is_nothing():
    assert this_week([]) == ()


def test_what_hurts_most_is_the_first_of_each_kind_by_comebacks_beyond_what_was_expected():
    def hurt(kind, name, beyond):
        return Hurt(kind, name, 9, 30, beyond, "", "/x/")

    found = worst(
        [
            hurt("system", "b", 2.0),
            hurt("system", "c", 7.5),
            hurt("step", "a", 2.0),
            hurt("batch", "d", 2.0),
            hurt("vehicle", "e", 1.0),
        ]
    )

    assert [one.name for one in found] == ["c", "a", "d"]
    assert found[0].beyond_words == "about 8 more than expected"
