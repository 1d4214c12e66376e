"""A small star to speak about: a hub under a floor panel, four units, one wire, and what may be false."""

from diagnostics.isolation import Done, believe, load

UNITS = {"pump": 0.26, "lamp": 0.2, "fan": 0.17, "horn": 0.13}
FAR_SIDE = ("fan", "wire_fan", "added")  # What leaves with the bar.


def document(*, priors=None, activity=None, error=0.0, tests=(), drop=(), **changes):
    """Return an isolation-problem/1. `priors` and `activity` by candidate; `error` of every bar and plug."""
    candidates = [
        *({"id": name, "label": f"{name} unit", "kind": "pulls_bus", "at": name, "prior": prior}
          for name, prior in UNITS.items()),
        {"id": "wire_fan", "label": "wire to the fan unit", "kind": "short_to_ground", "at": "w_fan",
         "prior": 0.13},
        {"id": "added", "label": "a unit not drawn", "kind": "assumption", "at": "hub", "prior": 0.08,
         "claim": "the hub carries only what is drawn"},
        {"id": "other", "label": "none of these", "kind": "catch_all", "prior": 0.03},
    ]  # fmt: skip
    for each in candidates:
        each["prior"] = (priors or {}).get(each["id"], 0.0 if priors else each["prior"])
        if each["id"] in (activity or {}):
            each["activity"] = activity[each["id"]]
    found = {
        "format": "isolation-problem/1",
        "id": "small-star",
        "title": "Small star, dead at the socket",
        "complaint": "The line stays low at the socket.",
        "circuit": {
            "topology": "bus",
            "nodes": [{"id": "hub", "kind": "hub"}, *({"id": name, "kind": "module"} for name in UNITS)],
            "branches": [{"id": f"w_{name}", "from": "hub", "to": name} for name in UNITS],
        },
        "zones": [
            {"id": "cover", "label": "front cover", "open_minutes": 3, "close_minutes": 2},
            {"id": "panel", "label": "floor panel", "open_minutes": 14, "close_minutes": 10},
            {"id": "hub", "label": "insulation at the hub", "inside": "panel", "open_minutes": 5,
             "close_minutes": 3},
        ],
        "candidates": candidates,
        "tests": [
            plug("pump", ["cover"], error), plug("lamp", ["cover"], error), plug("fan", ["panel"], error),
            plug("horn", [], error),
            cut("bar_out", FAR_SIDE, 2, ["hub"], error, label="take the bar out at the hub",
                kind="remove_bar", part=["w_fan", "w_lamp", "w_horn"]),
            *tests,
        ],
        "stop": {"wrong_minutes": 240},
    }  # fmt: skip
    found["tests"] = [each for each in found["tests"] if each["id"] not in drop]
    return {**found, **changes}


def cut(id, alive, minutes, zones=(), error=0.0, *, label="", kind="unplug", part=(), **more):
    """Return a test after which the line comes up if the fault is one of `alive`, and stays dead else."""
    up, down = [1 - error, error], [error, 1 - error]
    everybody = [*UNITS, "wire_fan", "added", "other"]
    return {
        "id": id,
        "label": label or id.replace("_", " "),
        "kind": kind,
        "minutes": minutes,
        "zones": list(zones),
        "outcomes": [{"id": "up", "label": "the line comes up"}, {"id": "down", "label": "it stays down"}],
        "likelihood": {
            "default": down,
            "quiet": [1.0, 0.0],
            "by_candidate": {name: up for name in everybody if name in alive},
        },
        "probe": {"quantity": "bus_state", "at": "hub", "part": list(part)},
        **more,
    }


def plug(name, zones, error=0.0):
    """Return the test that unplugs a unit: its wire stays."""
    return cut(f"unplug_{name}", [name], 2, zones, error, label=f"unplug the {name} unit", part=[name])


def look(*, miss=0.1, false_alarm=0.05, minutes=1):
    """Return a look at the hub for a unit that is not drawn."""
    return {
        "id": "look_hub",
        "label": "count the legs at the hub",
        "kind": "inspect",
        "minutes": minutes,
        "zones": ["hub"],
        "outcomes": [{"id": "fine"}, {"id": "wrong"}],
        "likelihood": {
            "default": [1 - false_alarm, false_alarm],
            "quiet": [1 - false_alarm, false_alarm],
            "by_candidate": {"added": [miss, 1 - miss]},
        },
    }


def searched(*history, **options):
    """Return problem, belief and history after readings such as ("unplug_pump", "down")."""
    problem = load(document(**options))
    done = tuple(Done(*entry) for entry in history)
    return problem, believe(problem, done), done
