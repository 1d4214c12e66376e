"""Sentences of customers and of the shop, varied as people vary them."""

from __future__ import annotations

import random
from datetime import date

from diagnostics.catalogue import Symptom
from diagnostics.demo.days import NIGHT_CELSIUS

STARTED = (
    "It started {time}.",
    "First noticed it {time}.",
    "My {relative} noticed it {time}.",
    "It began {time} and it is getting worse.",
    "Had it once before, and again {time}.",
)
SINCE = (
    "Since {event}.",
    "Been like that since {event}.",
    "Not bad enough to stop, but since {event} I don't trust it.",
    "Since {event}, on and off.",
    "Never had it until {event}.",
)
TIMES = (
    "last Tuesday",
    "at the weekend",
    "two weeks ago",
    "on Monday morning",
    "about a month ago",
    "on Sunday night",
    "on the way to the coast",
    "after the car wash",
    "on the way back from the market",
    "yesterday",
    "a few days ago",
    "when I fetched my {relative} from the station",
)
EVENTS = (
    "the school holidays",
    "the trip to the coast",
    "I filled up at the new place",
    "the big rain",
    "I hit that hole on Mill Lane",
    "my daughter took it to college",
    "it stood over the holiday",
    "we had the roof box on",
    "I towed the trailer",
    "the move",
    "the road works on the bypass",
    "my brother-in-law looked at it",
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
WINTER_TYRES = (
    "Winter tyres on, please.",
    "Winter wheels on, and store the summer ones.",
    "Time for the winter tyres again.",
)
SUMMER_TYRES = (
    "Summer tyres back on.",
    "Summer wheels on, please, and look at the tread.",
    "Winter tyres off again, the old ones are getting thin.",
)
CONDITIONS_DRIVEN = (
    "Road test with the customer, {miles} miles, {weather}.",
    "Road test, {miles} miles over Cutter's Hill and back, {weather}.",
    "Idle for 20 minutes, then {miles} miles in town, {weather}.",
    "As the customer said: warm engine, {miles} miles, {weather}.",
    "Road test alone, windows open, {miles} miles, {weather}.",
    "Cold start in the yard, then {miles} miles, {weather}, left overnight before.",
)
CONDITIONS_PARKED = (
    "In the yard, left overnight, {weather}.",
    "In the bay, all loads on one after the other, {weather} outside.",
    "Parked and locked for two hours, then tried by hand, {weather}.",
    "As the customer showed it, parked, {weather}.",
    "In the yard with the hose running over it, {weather}.",
)
PARKED_SYSTEMS = (
    "battery",
    "starting",
    "body_closures",
    "body_electrical",
    "body_water",
    "lighting",
    "network",
    "restraint",
)
SKIES = ("dry", "dry", "dry", "light rain", "wet road", "overcast", "sun")
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
    "Gone over twice, nothing found.",
    "All of it reached, nothing found.",
    "In order, and so is the other side.",
    "In order, photo kept.",
    "Nothing found.",
    "Done as listed, nothing found.",
)
PASSED_AFTER = (
    "Done again in the same way: nothing left of it.",
    "Same try as before the work, now in order.",
    "In order now, photo kept.",
    "Gone over again, nothing found.",
)
FAILED = (
    "Shows it clearly, traced to: {component}.",
    "Found at: {component}. Photo kept.",
    "Not as on the other side: {component}.",
    "Clear at the first try: {component}.",
    "Comes and goes, traced to: {component}.",
    "Seen and heard at: {component}.",
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
STORED = (
    "Nothing stored.",
    "Nothing stored, all monitors complete.",
    "P0562 stored, system voltage low; old, not current.",
    "U0100 stored once, not current.",
    "P0300 stored, random misfire.",
    "P0128 stored, coolant below thermostat temperature.",
    "P0171 stored, mixture lean.",
    "P0420 stored, catalyst efficiency low; not current.",
    "Two codes of the body unit, both old, kept on paper.",
)
DISTURBED = (
    "air-filter housing",
    "front undertray",
    "left front wheel arch liner",
    "scuttle panel",
    "rear seat squab",
    "battery tray",
    "front bumper",
    "radiator fan",
    "driver's door panel",
    "coolant hose, upper",
    "auxiliary belt",
)
FAILURE_ANALYSES = (
    "Opened on the bench: seal torn at its edge, not a fitting mark. Sent back to the supplier.",
    "Part was faulty when new, the supplier has taken it back.",
    "Cut open: dry from the start. Another batch fitted.",
    "Measured on the bench against a new one: out of its own data sheet.",
)
ASSUMPTIONS = (
    "The battery was renewed last year, the customer says.",
    "The wiring behind the trim is as it left the factory.",
    "Nobody else has worked on it.",
    "The part fitted two years ago is still good.",
    "The fault is the same one the customer saw on the motorway.",
    "The fluid was changed on time, by the book.",
)
INTERVENTIONS = (
    "Battery off for a minute and on again.",
    "Plugs under the seat pulled and pushed home.",
    "Stored codes cleared.",
    "Connector sprayed and moved.",
)
ACCEPTED = (
    "To prove it would cost more than the part.",
    "The customer knows and agrees to leave it at that.",
)
BESIDES = (
    "And the yearly service while it is here.",
    "Oil and filter too, please.",
    "Can you do the service at the same time?",
    "The dash says service, do that too.",
)
SUPPLIERS = (
    "Hollin Motor Factors",
    "Brackley & Sons Parts",
    "Tarn Valley Trade Parts",
    "Northgate Electrics",
)


def said(symptom: Symptom, rng: random.Random) -> str:
    """Return what a customer says about `symptom`, seldom the same twice."""
    extras = [_when(rng), rng.choice(CIRCUMSTANCE), rng.choice(REQUEST)]
    kept = [extra for extra, likely in zip(extras, (0.6, 0.45, 0.3), strict=True) if rng.random() < likely]
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


def conditions(system: str, day: date, rng: random.Random) -> str:
    """Return under which conditions a complaint of `system` was tried on `day`."""
    celsius = NIGHT_CELSIUS[day.month] + rng.randrange(-2, 12)
    phrases = CONDITIONS_PARKED if system in PARKED_SYSTEMS else CONDITIONS_DRIVEN
    return rng.choice(phrases).format(
        miles=rng.randrange(4, 19), weather=f"{rng.choice(SKIES)}, {celsius} °C"
    )


def failed(component: str, rng: random.Random) -> str:
    """Return what was seen, heard or felt when a test failed."""
    return rng.choice(FAILED).format(component=component)


def stored(rng: random.Random) -> str:
    """Return what the control units had stored: seldom anything that helps."""
    return rng.choice(STORED)


def _when(rng: random.Random) -> str:
    relative = rng.choice(RELATIVE)
    if rng.random() < 0.5:
        return rng.choice(SINCE).format(event=rng.choice(EVENTS))
    return rng.choice(STARTED).format(time=rng.choice(TIMES).format(relative=relative), relative=relative)
