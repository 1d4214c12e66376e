"""The recursion of section 3 as it stands: no memo, no pruning, no test left out. For tiny problems only."""

from tests.isolation_proof.model import Model, Weights, price, split, stop_price


def value(model: Model, weights: Weights | None = None, opened: int | None = None, uses=None) -> float:
    """Expected minutes of the best plan from this state."""
    weights = model.prior if weights is None else weights
    opened = model.open_zones if opened is None else opened
    uses = uses or (0,) * len(model.tests)
    answers = q_values(model, weights, opened, uses).values()
    return min([stop_price(model, weights), *answers])


def q_values(model: Model, weights: Weights, opened: int, uses: tuple[int, ...]) -> dict[str, float]:
    """Expected minutes of the best plan that starts with each legal test."""
    answers = {}
    for place, test in enumerate(model.tests):
        if uses[place] < test.max_uses and all(uses[needed] for needed in test.after):
            after = tuple(count + (number == place) for number, count in enumerate(uses))
            answers[test.id] = price(model, test, opened) + sum(
                chance * value(model, belief, opened | test.zones, after)
                for _, chance, belief in split(test, weights)
            )
    return answers
