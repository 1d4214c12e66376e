"""What a reading proves: accuracy as makers state it, uncertainty, and the three-way verdict beside it.

The outcome of a test (pass or fail, `diagnostics/judging.py`) stays what practice.md makes it. What stands
here says beside it whether that outcome is proved, given what the instrument can tell apart.
"""

from diagnostics.metrology.accuracy import Accuracy, read_accuracy
from diagnostics.metrology.conformity import Conformity, guard_limit, p_conform, three_way
from diagnostics.metrology.of_reading import judgement_of, proof_words, range_of
from diagnostics.metrology.uncertainty import combine, spec_half_width, spec_u, type_a
from diagnostics.metrology.verdict import Judgement, judge

__all__ = [
    "Accuracy",
    "Conformity",
    "Judgement",
    "combine",
    "guard_limit",
    "judge",
    "judgement_of",
    "p_conform",
    "proof_words",
    "range_of",
    "read_accuracy",
    "spec_half_width",
    "spec_u",
    "three_way",
    "type_a",
]
