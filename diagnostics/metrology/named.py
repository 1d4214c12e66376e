"""The computations of the family `metro`, by name (trade-values.md section 5)."""

from __future__ import annotations

from diagnostics.metrology import conformity, uncertainty
from shared.computing import Given, computation

GROUP = "Judging a reading"

_READING = Given("reading", "Reading", example=12.6)
_PERCENT = Given("percent", "Percent of the reading", "%", low=0, optional=True, example=0.5)
_COUNTS = Given("counts", "Counts (steps of the last digit)", low=0, optional=True, example=2)
_RESOLUTION = Given("resolution", "Resolution of the range", above=0, optional=True, example=0.01)
_LOWER = Given("lower", "Lower limit", optional=True, example=12.4)
_UPPER = Given("upper", "Upper limit", optional=True)
_U = Given("u", "Standard uncertainty", low=0, example=0.05)
_SPEC = (_READING, _PERCENT, _COUNTS, _RESOLUTION)

computation(
    "metro.spec_half_width",
    "Half the width of the band that the maker's accuracy allows, in the unit of the reading",
    *_SPEC,
    source="public tutorials on meter uncertainty",
    mark="read",
    formula="a = reading × percent / 100 + counts × resolution",
    group=GROUP,
)(uncertainty.spec_half_width)

computation(
    "metro.spec_u",
    "Standard uncertainty of a reading from the maker's accuracy",
    *_SPEC,
    Given("k", "Coverage factor that the maker gives", above=0, optional=True),
    source="JCGM 100:2008 4.3.3, 4.3.7, F.2.2.1",
    mark="from memory",
    formula="u = a / √3, or a / k where the maker gives k; resolution alone: step / (2 √3)",
    group=GROUP,
)(uncertainty.spec_u)

computation(
    "metro.three_way",
    "Whether a reading proves that it is within its limits, outside, or neither",
    *_SPEC,
    Given("U", "Expanded uncertainty", low=0, optional=True),
    Given("k", "Coverage factor, 2 if not given", above=0, optional=True),
    _LOWER,
    _UPPER,
    source="ISO 14253-1, rule in public summaries",
    mark="read",
    formula="conform: lower + U ≤ y ≤ upper − U; not conform: y < lower − U or y > upper + U; U = 2 a / √3",
    cautions=("A repair is not sold on a reading that proves neither. Measure better, or say so.",),
    group=GROUP,
)(conformity.three_way)

computation(
    "metro.p_conform",
    "Probability that the true value lies within the limits",
    Given("y", "Reading", example=12.45),
    _U,
    _LOWER,
    _UPPER,
    source="JCGM 106:2012 clause 7",
    mark="from memory",
    formula="Φ((upper − y) / u) − Φ((lower − y) / u)",
    valid="errors that are close to normal",
    group=GROUP,
)(conformity.p_conform)

computation(
    "metro.guard_limit",
    "Acceptance limit with a guard band for a probability of conformity",
    Given("p", "Probability on one side", low=0.5, high=0.999999, example=0.95),
    _U,
    _LOWER,
    _UPPER,
    source="JCGM 106:2012 8.3",
    mark="from memory",
    formula="upper − z u, lower + z u; z = 1.645 for 95 %",
    group=GROUP,
)(conformity.guard_limit)

computation(
    "metro.combine",
    "Independent standard uncertainties together",
    Given("u", "Standard uncertainties", kind="numbers", low=0, least=1, example=[3, 4]),
    source="JCGM 100:2008 5.1.2",
    mark="from memory",
    formula="√(u₁² + u₂² + …)",
    group=GROUP,
)(uncertainty.combine)

computation(
    "metro.type_a",
    "Mean and uncertainty of repeated readings",
    Given("readings", "Readings", kind="numbers", least=2, example=[12.61, 12.62, 12.6]),
    answers={"mean": "", "s": "", "u": ""},
    source="JCGM 100:2008 4.2",
    mark="from memory",
    formula="u = s / √n",
    group=GROUP,
)(uncertainty.type_a)
