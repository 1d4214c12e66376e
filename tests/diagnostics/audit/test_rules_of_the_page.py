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


def test_what_hurts_most_has_most_comebacks_beyond_what_was_expected():
    def hurt(name, beyond):
        return Hurt("system", name, 9, 30, beyond, "", "/x/")

    found = worst([hurt("b", 2.0), hurt("a", 2.0), hurt("c", 7.5), hurt("d", 0.1)])

    assert [one.name for one in found] == ["c", "a", "b"]
