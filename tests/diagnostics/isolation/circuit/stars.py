"""Two stars joined by a bridge, built into a problem, and ways to look into its document."""

from diagnostics.isolation.circuit import Options, Symptom, build, template

DEAD = Options(symptom=Symptom(bus="dead"))
STARS = (
    "hub A:\npump unit @ locker 10+8\nstep unit\nlamp unit\nhub B:\nrear door unit\nramp unit ?\nheater unit"
)


def stars(options=DEAD):
    return build(template("joined_stars", STARS), options)


def row(document, test, candidate):
    likelihood = next(one for one in document["tests"] if one["id"] == test)["likelihood"]
    return likelihood["by_candidate"].get(candidate, likelihood["default"])


def prior(document, id):
    return next(one["prior"] for one in document["candidates"] if one["id"] == id)


def ids(document, part="candidates"):
    return {one["id"] for one in document[part]}
