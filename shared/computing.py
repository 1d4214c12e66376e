"""Named computations: one registry behind the command `compute`, the page of bench sums and the API.

A computation is registered beside its function. The registry adds no arithmetic of its own: it looks at
what was given, hands it over and returns the answer. Nothing here knows Django or the database.
"""

from __future__ import annotations

import importlib
import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction
from typing import Any, Literal, TypeVar

Kind = Literal["number", "whole", "text", "choice", "yes", "numbers", "texts", "list", "object", "any"]
Mark = Literal["read", "from memory", "common practice", "computed", "project rule"]
Function = TypeVar("Function", bound=Callable[..., Any])

LONGEST_TEXT = 1_000_000  # Characters; a pasted scan report of a large vehicle has some ten thousand.
LONGEST_LIST = 1_000_000

_modules: list[str] = []
_registry: dict[str, Computation] = {}


class Refused(ValueError):
    """An input that cannot be answered: which field, what is wrong with it, what is allowed."""

    def __init__(self, field: str, message: str, allowed: str = "") -> None:
        self.field, self.message, self.allowed = field, message, allowed
        super().__init__(f"{field}: {message}")

    def as_dict(self) -> dict[str, str]:
        """Return the refusal as the keys of an answer line."""
        return {"field": self.field, "message": self.message, "allowed": self.allowed}


@dataclass(frozen=True, slots=True)
class Given:
    """One value that a computation is given.

    `low` and `high` are inclusive unless `above` (exclusive lower bound) says otherwise; they are the
    validity range in `unit`, for each element of a list. `meaning` is the label of the field on a page.
    """

    key: str
    meaning: str
    unit: str = ""
    kind: Kind = "number"
    low: float | None = None
    high: float | None = None
    above: float | None = None
    choices: tuple[str, ...] = ()
    optional: bool = False
    least: int = 0  # How many elements a list has at least.
    example: Any = None

    @property
    def allowed(self) -> str:
        """What may stand here, in words: "a number, 0 to 200 °C"."""
        words = {
            "number": "a number",
            "whole": "a whole number",
            "text": "text",
            "choice": "one of " + ", ".join(self.choices),
            "yes": "true or false",
            "numbers": "a list of numbers",
            "texts": "a list of texts",
            "list": "a list",
            "object": "an object",
            "any": "a value",
        }[self.kind]
        return ", ".join(part for part in (words, self.range_words) if part)

    @property
    def range_words(self) -> str:
        """The validity range with its unit, empty where any value will do."""
        unit = f" {self.unit}" if self.unit else ""
        if self.above is not None:
            up_to = f", up to {self.high:g}{unit}" if self.high is not None else ""
            return f"above {self.above:g}{'' if up_to else unit}{up_to}"
        if self.low is not None and self.high is not None:
            return f"{self.low:g} to {self.high:g}{unit}"
        if self.low is not None:
            return f"{self.low:g}{unit} or more"
        return f"{self.high:g}{unit} or less" if self.high is not None else ""


@dataclass(frozen=True, slots=True)
class Computation:
    """A pure function with a name that a script, a page and a test can call.

    `group` is the heading under which the page of bench sums shows it; empty: not shown there.
    `answers` maps the keys of an answer with several parts to their unit; `unit` is that of a plain one.
    """

    name: str
    function: Callable[..., Any]
    meaning: str
    given: tuple[Given, ...]
    unit: str = ""
    answers: Mapping[str, str] = field(default_factory=dict)
    source: str = ""
    mark: Mark = "computed"
    formula: str = ""
    valid: str = ""
    cautions: tuple[str, ...] = ()
    group: str = ""
    says: Callable[[Any, Mapping[str, Any]], str] | None = None

    def answer(self, given: Mapping[str, Any]) -> Any:
        """Return the answer for what was given, or raise `Refused`."""
        return self.function(**_looked_at(self, given))


def computation(name: str, meaning: str, *given: Given, **about: Any) -> Callable[[Function], Function]:
    """Register a function under a name; the function itself stays as it is.

    Parameters
    ----------
    name : str
        Family and topic, as in "wire.voltage_drop". A name is registered once.
    meaning : str
        One line in plain words.
    given : Given
        In the order in which a page asks for them; each key is a keyword of the function. A key that
        is optional and absent is not passed.
    about
        The other fields of `Computation`.
    """

    def register(function: Function) -> Function:
        if name in _registry:
            raise ValueError(f"{name} is registered twice.")
        _registry[name] = Computation(name, function, meaning, given, **about)
        return function

    return register


def offer(*modules: str) -> None:
    """Say which modules register computations; they are imported when one is first asked for."""
    _modules.extend(module for module in modules if module not in _modules)


def registry() -> dict[str, Computation]:
    """Return every computation by name, in order of name."""
    for module in _modules:
        importlib.import_module(module)
    return dict(sorted(_registry.items()))


def find(name: Any) -> Computation:
    """Return the computation of that name, or raise `Refused`."""
    if not isinstance(name, str):
        raise Refused("name", "The name of a computation is missing.", "a name of `compute --list`")
    found = _registry.get(name) or registry().get(name)
    if found is None:
        raise Refused("name", f"There is no computation {_shown(name)}.", "a name of `compute --list`")
    return found


def compute(name: Any, given: Any) -> Any:
    """Return the answer of a named computation, or raise `Refused`.

    Parameters
    ----------
    name : str
    given : mapping
        Values as JSON has them: text, numbers, lists, objects, true, false, null. Null counts as absent.
    """
    found = find(name)
    if not isinstance(given, Mapping):
        raise Refused("given", "The values must be an object.", '{"key": value}')
    try:
        answer = found.answer(given)
    except ArithmeticError:
        answer = math.nan
    except Refused:
        raise
    except ValueError as error:  # A function's own refusal, which knows no field.
        raise Refused("given", str(error) or "These values cannot be used.", "other values") from error
    if not _finite(answer):
        raise Refused("given", "These values lead to no finite answer.", "values of ordinary size")
    return answer


def _looked_at(found: Computation, given: Mapping[str, Any]) -> dict[str, Any]:
    known = {item.key: item for item in found.given}
    for key in given:
        if key not in known:
            raise Refused(str(key), f"{found.name} does not ask for this.", ", ".join(known) or "nothing")
    taken = {}
    for key, item in known.items():
        value = given.get(key)
        if value is None:
            if not item.optional:
                raise Refused(key, f"{item.meaning} is missing.", item.allowed)
            continue
        taken[key] = _value(item, value)
    return taken


def _value(item: Given, value: Any) -> Any:
    if item.kind in ("number", "whole"):
        return _number(item, value)
    if item.kind in ("numbers", "texts", "list"):
        return _elements(item, value)
    if item.kind == "any":
        return value
    fits = {
        "text": isinstance(value, str) and len(value) <= LONGEST_TEXT,
        "choice": value in item.choices if isinstance(value, str) else False,
        "yes": isinstance(value, bool),
        "object": isinstance(value, Mapping),
    }
    if not fits[item.kind]:
        raise Refused(item.key, f"{_shown(value)} cannot be used for {item.meaning}.", item.allowed)
    return value


def _elements(item: Given, value: Any) -> list[Any]:
    if not isinstance(value, list | tuple) or len(value) > LONGEST_LIST:
        raise Refused(item.key, f"{item.meaning} must be a list.", item.allowed)
    if len(value) < item.least:
        raise Refused(item.key, f"{item.meaning} needs at least {item.least} values.", item.allowed)
    if item.kind == "numbers":
        return [_number(item, element) for element in value]
    if item.kind == "texts" and not all(isinstance(element, str) for element in value):
        raise Refused(item.key, f"{item.meaning} must be a list of texts.", item.allowed)
    return list(value)


def _number(item: Given, value: Any) -> float | int:
    if isinstance(value, Decimal | Fraction):
        value = float(value)
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise Refused(item.key, f"{_shown(value)} is not a number.", item.allowed)
    return _in_range(item, value)


def _in_range(item: Given, value: float | int) -> float | int:
    try:
        if not math.isfinite(value):
            raise Refused(item.key, f"{_shown(value)} is not a finite number.", item.allowed)
    except OverflowError:
        raise Refused(item.key, "This number is too large.", item.allowed) from None
    if item.kind == "whole":
        if value != int(value):
            raise Refused(item.key, f"{_shown(value)} is not a whole number.", item.allowed)
        value = int(value)
    outside = (
        (item.low is not None and value < item.low)
        or (item.high is not None and value > item.high)
        or (item.above is not None and value <= item.above)
    )
    if outside:
        raise Refused(
            item.key,
            f"{_shown(value)} is outside the range in which this holds: {item.range_words}.",
            item.allowed,
        )
    return value


def _finite(answer: Any) -> bool:
    if isinstance(answer, float):
        return math.isfinite(answer)
    if isinstance(answer, Mapping):
        return _all_finite(answer.values())
    if isinstance(answer, list | tuple):
        return _all_finite(answer)
    return True


def _all_finite(answers: Iterable[Any]) -> bool:
    return all(_finite(answer) for answer in answers)


def _shown(value: Any) -> str:
    text = repr(value) if not isinstance(value, str) else f"'{value}'"
    return text if len(text) <= 40 else text[:37] + "..."
