"""Sentences of customers and of the shop, varied as people vary them."""

from __future__ import annotations

import random

from diagnostics.catalogue import Symptom

SINCE = (
    "Since about {when}.",
    "It started {when}.",
    "First noticed it {when}.",
    "My {relative} noticed it {when}.",
    "Been like that since {when}.",
    "It began {when} and it is getting worse.",
    "Since {when}, on and off.",
    "Not bad enough to stop, but since {when} I don't trust it.",
)
WHEN = (
    "last Tuesday",
    "the weekend",
    "the school holidays",
    "the first frost",
    "the trip to the coast",
    "I filled up at the new place",
    "two weeks ago",
    "Monday morning",
    "the big rain",
    "a month ago",
    "I hit that hole on Mill Lane",
    "my daughter took it to college",
    "it stood over the holiday",
    "the car wash",
    "we had the roof box on",
    "the hot spell",
    "Sunday night",
    "I towed the trailer",
)
RELATIVE = ("husband", "wife", "son", "daughter", "mother", "neighbour", "sister", "driver", "apprentice")
CIRCUMSTANCE = (
    "Mostly on the way to work.",
    "Worse when it is cold.",
    "Worse when it is warm.",
    "Only after a long run.",
    "Mostly in town.",
    "Every time I take the hill at Cutter's.",
    "With the children in the back you hear nothing, alone you do.",
    "Mostly on the ring road.",
    "More in the mornings.",
    "Not every day.",
    "My neighbour heard it too.",
    "With the radio off you can't miss it.",
    "It never does it when somebody listens.",
    "Comes and goes as it likes.",
    "When it is fully laden.",
    "Nothing on the dash, as far as I can see.",
    "There is a message on the dash but it goes away.",
    "I turned the music down to be sure.",
)
REQUEST = (
    "Can you look before the weekend?",
    "I need it for work on Thursday.",
    "Ring me before you do anything dear.",
    "No hurry, I can leave it.",
    "Is it safe to drive like that?",
    "I would like to know what it is first.",
    "I am off on a long trip next week.",
    "Please don't just swap parts.",
    "The inspection is due next month.",
    "Keep it overnight if that helps.",
)
AGAIN = (
    "It's back. {says}",
    "{says} Same as last time.",
    "You had it for this already. {says}",
    "{says} It was good for a week or two.",
    "I thought that was sorted. {says}",
    "{says} Just like before I brought it in.",
    "Sorry to bother you again, but it still does it. {says}",
    "{says} It was better at first, now it's as it was.",
    "Second time now. {says}",
)
SINCE_YOU_HAD_IT = (
    "Since you had it: {says}",
    "{says} It never did that before it was in here.",
    "{says} That is new since the last visit.",
)
MAINTENANCE = (
    "Yearly service, please.",
    "Service is due, the dash says so.",
    "Oil and filters, and a look round.",
    "Service before the long trip.",
    "Big service this time, with the plugs.",
    "Annual inspection, please go over it first.",
    "Service, and top up the screen wash.",
    "It's that time of year again: service.",
    "The book says it's due.",
    "Please service it and tell me what is coming.",
)
TYRES = (
    "Winter tyres on, please.",
    "Summer tyres back on.",
    "Two new front tyres, they are getting thin.",
    "Swap front to rear and check the pressures.",
    "Tyres over, and store the other set.",
)
FLUIDS = (
    "Brake fluid is due by the book.",
    "Coolant change, it is five years old.",
    "Air filter and cabin filter, please.",
    "Wiper blades all round.",
    "New key battery and a look at the levels.",
)
CONDITIONS = (
    "Road test with the customer, {miles} miles, {weather}.",
    "Cold start in the yard, {weather}, left overnight.",
    "Road test, {miles} miles over Cutter's Hill and back, {weather}.",
    "In the bay, engine warm, all loads on.",
    "Idle for 20 minutes, then {miles} miles in town, {weather}.",
    "As the customer said: warm engine, {miles} miles, {weather}.",
    "Parked, locked, ignition off; tried by hand, {weather}.",
    "Road test alone, windows open, {miles} miles, {weather}.",
)
WEATHER = ("dry, 6 °C", "dry, 12 °C", "light rain, 9 °C", "dry, 19 °C", "wet road, 7 °C", "frost, -1 °C", "hot, 26 °C")
TRIAL_CONDITIONS = (
    "The customer's own way to work, both directions.",
    "As the complaint says, engine warm, same road.",
    "Cold start after a night outside.",
    "Town traffic, 20 minutes, all loads on.",
    "Same hill, same load, no equipment connected.",
)
PASSED = (
    "As it should be.",
    "Nothing to see, hear or feel.",
    "Even, dry and tight.",
    "Works each time, ten tries.",
    "No change when it is moved by hand.",
    "Same on both sides.",
    "Clean, no marks.",
)
FAILED = (
    "Shows it clearly: {component}.",
    "Comes and goes when {component} is moved by hand.",
    "Trace leads to {component}.",
    "Seen at {component}, photo kept.",
    "Different from the other side, at {component}.",
    "Heard at {component} with the listening rod.",
)
WAIVER_REASONS = (
    "Done at the last visit, a week before.",
    "Equipment was out for repair.",
    "Customer did not agree to the time.",
    "Access needs a part removed that may break.",
    "Maker's bulletin asks for another test instead.",
)
DISPOSITIONS = (
    "Follows from the cause, no second fault.",
    "Customer knows; to be seen at the next service.",
    "Weather and load explain it.",
)
SUPPLIERS = ("Hollin Motor Factors", "Brackley & Sons Parts", "Tarn Valley Trade Parts", "Northgate Electrics")


def said(symptom: Symptom, rng: random.Random) -> str:
    """Return what a customer says about `symptom`, seldom the same twice."""
    extras = [_since(rng), rng.choice(CIRCUMSTANCE), rng.choice(REQUEST)]
    kept = [extra for extra, likely in zip(extras, (0.6, 0.5, 0.3), strict=True) if rng.random() < likely]
    return " ".join([sentence(symptom.says), *(kept or [extras[rng.randrange(2)]])])


def said_again(symptom: Symptom, rng: random.Random) -> str:
    """Return what a customer says whose complaint has come back."""
    return rng.choice(AGAIN).format(says=sentence(symptom.says))


def said_since_repair(symptom: Symptom, rng: random.Random) -> str:
    """Return what a customer says who links something new to an earlier repair."""
    return rng.choice(SINCE_YOU_HAD_IT).format(says=sentence(symptom.says))


def sentence(says: str) -> str:
    """Return the words with a full stop where they have no end."""
    says = says.strip()
    return says if says[-1] in ".!?" else says + "."


def conditions(rng: random.Random) -> str:
    """Return under which conditions a complaint was tried."""
    return rng.choice(CONDITIONS).format(miles=rng.randrange(4, 19), weather=rng.choice(WEATHER))


def failed(component: str, rng: random.Random) -> str:
    """Return what was seen, heard or felt when a test failed."""
    return rng.choice(FAILED).format(component=component)


def _since(rng: random.Random) -> str:
    return rng.choice(SINCE).format(when=rng.choice(WHEN), relative=rng.choice(RELATIVE))
