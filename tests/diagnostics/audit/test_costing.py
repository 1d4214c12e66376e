"""The cost of a comeback: practice.md section 8, worked by hand."""

from decimal import Decimal

from hypothesis import given, settings
from hypothesis import strategies as st

from diagnostics.audit.costing import COMPONENTS, Cost, cost_sum, time_cost

MONEY = st.none() | st.decimals(0, 10_000, places=2)
COSTS = st.builds(Cost, st.none() | st.integers(0, 5000), MONEY, MONEY, MONEY, MONEY, MONEY)


def test_the_formula_by_hand():
    # 95 min at 62.00 an hour are 98.1666..., to the cent 98.17; + 41.40 + 18.00 + 25.00 - 30.00 = 152.57
    cost = Cost(95, Decimal("62.00"), *(Decimal(each) for each in ("41.40", "18.00", "25.00", "30.00")))

    assert cost.labour == Decimal("98.17")
    assert cost.known == Decimal("152.57")
    assert cost.is_complete


def test_unknown_is_not_zero():
    cost = Cost(minutes=95, goodwill=Decimal("0.00"))

    assert cost.labour is None
    assert cost.unknown == ("labour", "parts", "transport", "credit")
    assert cost.known == Decimal("0.00")
    assert Cost().known is None
    assert Cost(minutes=0).labour == 0, "no minutes cost nothing at any rate"
    assert time_cost(30, None) is None


@settings(max_examples=40)
@given(st.lists(COSTS, max_size=6))
def test_a_sum_is_the_sum_of_its_known_parts(costs):
    total = cost_sum(costs)

    signed = [-part.amount if part.key == "credit" else part.amount for part in total.components]
    assert sum(signed, Decimal(0)) == total.known
    assert [part.key for part in total.components] == list(COMPONENTS)
    assert all(part.known + part.unknown == part.of == len(costs) for part in total.components)
    assert total.complete <= total.priced <= total.of
