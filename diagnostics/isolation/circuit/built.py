"""What goes into building an isolation problem from a map, and what comes out of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

BusState = Literal["", "dead", "alive", "noisy"]
Level = Literal["", "low", "high"]
Says = Literal["pass", "fail"]
Pairs = Literal["none", "best", "all"]


@dataclass(frozen=True, slots=True)
class Symptom:
    """The confirmed symptom. It decides which suspects are worth a place on the list.

    `bus`: what the line does at the test socket; `level`: where a dead line stays, if measured; `silent`:
    units that do not answer; `loads_dead`: loads that do not work. A draw map needs nothing: the draw is the
    symptom.
    """

    bus: BusState = ""
    level: Level = ""
    silent: tuple[str, ...] = ()
    loads_dead: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Override:
    """What the shop knows better about one generated test: minutes, caution, whether it is offered at all."""

    minutes: float | None = None
    caution: str = ""
    offered: bool = True


@dataclass(frozen=True)
class Options:
    """How to build a problem.

    Parameters
    ----------
    symptom : Symptom
        What was confirmed at the vehicle.
    intermittent : bool
        The fault comes and goes; readings while it rests say little.
    acting : bool or None
        Whether it has just been seen acting; with None an intermittent problem gets the pre-check.
    activity : float
        Chance that an intermittent fault is acting during one observation, above 0 to 1.
    priors : mapping of candidate id to share
        From the shop's own history, 0 to 1; what they leave is shared by the others by their usual weights.
    priors_from : str
        equal, technician, own-history, published or invented.
    catch_all : float
        Share of "none of these", 0.02 to 0.05 by default practice.
    tests : mapping of test id to Override
        Minutes, cautions and tests left out.
    pairs : str
        Two faults at once: "none"; "best", the two likeliest suspects together; "all", every likely pair.
    weigh : mapping of candidate id to weight
        What "likely" means for pairs, for instance the belief before the contradiction; else the priors.
    error : float
        Chance that a reading by hand is misread, each way, 0 to 0.2.
    wrong_minutes : float
        Price of naming the wrong part.
    sleep_minutes : float
        How long this vehicle takes to go to sleep.
    """

    id: str = "circuit"
    title: str = ""
    complaint: str = ""
    symptom: Symptom = field(default_factory=Symptom)
    intermittent: bool = False
    acting: bool | None = None
    activity: float = 0.6
    priors: Mapping[str, float] = field(default_factory=dict)
    priors_from: str = "invented"
    times_from: str = "invented"
    catch_all: float = 0.03
    tests: Mapping[str, Override] = field(default_factory=dict)
    pairs: Pairs = "none"
    weigh: Mapping[str, float] = field(default_factory=dict)
    error: float = 0.01
    wrong_minutes: float = 240.0
    sleep_minutes: float = 30.0


@dataclass(frozen=True, slots=True)
class Component:
    """The part a suspect names, as a cause names it: at most 64 characters, and how it fails."""

    component: str
    mode: str


@dataclass(frozen=True, slots=True)
class Listens:
    """How an ordinary test run is heard as an outcome of a test.

    `code` is of the catalogue, `point` says where (together they are unique in a problem). For a number
    `unit`, `lo` and `hi` are the limits of that run. `says` and `observation` go by outcome id; "fail" speaks
    against what the test examines.
    """

    code: str
    point: str
    unit: str = ""
    lo: float | None = None
    hi: float | None = None
    says: Mapping[str, Says] = field(default_factory=dict)
    observation: Mapping[str, str] = field(default_factory=dict)
    label: str = ""
    how: str = ""


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A suspect or a test that was thought of and left out, and why."""

    label: str
    reason: str


@dataclass(frozen=True, slots=True)
class Alike:
    """Two suspects that no test of the problem separates, and what would."""

    one: str
    other: str
    would: str


@dataclass(frozen=True)
class Built:
    """A complete isolation problem and how the site listens to it."""

    document: dict[str, Any]
    components: dict[str, Component]
    listens: dict[str, Listens]
    left_out: tuple[LeftOut, ...] = ()
    alike: tuple[Alike, ...] = ()
