"""Every family of generated problems by name. One family and seed give one document, on any machine."""

from tests.isolation_proof import buses, others, supplies

FAMILIES = {
    "star": buses.star,
    "joined_stars": buses.joined_stars,
    "feed_chain": supplies.feed_chain,
    "supply_tree": supplies.supply_tree,
    "standing_draw": supplies.standing_draw,
    "mixed_cost": others.mixed_cost,
    "groups": others.groups,
    "repairs": others.repairs,
    "fitted": buses.fitted,
    "noisy": others.noisy,
    "intermittent": others.intermittent,
}


def document(family: str, seed: int):
    """The problem document of a family and a seed."""
    return FAMILIES[family](seed)
