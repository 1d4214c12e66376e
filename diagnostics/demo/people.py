"""The people of the demo shop: invented staff and customers.

Telephone numbers lie in the ranges kept free for fiction in the United Kingdom (01632 960xxx
and 07700 900xxx, Ofcom; from memory), mail addresses in the domains kept free for examples
(RFC 2606; from memory).
"""

from __future__ import annotations

import random
from dataclasses import dataclass
from typing import Any

ADVISOR = "Maud Kerrow"
OWNER = "Gwen Aldrake"
TOBIN = "Tobin Marl"
ISA = "Isa Renk"
CORIN = "Corin Hesk"
TECHNICIANS = (TOBIN, ISA, CORIN)

GIVEN_NAMES = """
    Adela Aldous Alvin Ansel Arlen Averil Barnaby Beryl Bramwell Briony Cadoc Calla Caspian Cerys
    Clemency Corwen Dagny Damaris Delwyn Dorrit Eamon Edda Edwy Eirlys Elspet Emlyn Enid Evander
    Fenella Ferdy Fergal Finola Garrick Gethin Gilda Greta Gwilym Hanne Hesper Hobart Idony Ilar
    Imelda Ingram Iseult Ivo Jago Jessamy Jorun Keziah Lambert Leander Lettice Lowri Ludo Mabyn
    Magnus Marged Merrick Mirla Morwen Nessa Noll Odell Orla Osric Ottilie Ovide Pernel Perran
    Petrin Piran Quenby Rafe Rhosyn Roswen Rufus Sabina Selwyn Senara Sidony Tamsin Tegan Thirza
    Torquil Tudor Ursel Verity Wenna Wilmot Winslow Ysella Zelah
"""
SURNAMES = """
    Abbrick Aldway Ambler-Roy Arkwell Asterley Bancrow Barrowby Beldane Birkhall Blaymire Bostal
    Brandrick Cainholm Cardrow Carnfell Chaddow Cobbary Cordwell Crayle Dallock Darnbrook Dentry
    Dovary Dross Dunmallet Eddowby Ellerwick Embray Fadmore Farrowdale Fennick Fewsten Frostrow
    Gadding Gall Garnick Gaunless Gimmer Glaveley Gorrick Haddowe Hallbeck Harkerside Hebblet Henrow
    Hesleden Ickwell Inglebar Jarrowby Kelderwood Kettlow Kirrin Lanthwaite Larkrigg Ledgard Lindrow
    Lorriman Lowdale Mallerby Marrick Melbeck Merrin Millrow Mossop-Vale Nabbick Netherby Norrick
    Oddendale Orrick Ouseley Owlet Pallister-Dow Pellam Penhurrow Pikeley Quarles-Bowe Raddick
    Ramsgill Rathmell Rowantree Scane Scarrow Selwick Skelby Sleddale Smallrow Stainmore Sulber
    Swarthow Tarnow Thackray-Lee Thornbar Tolleth Trewhit Uldale Ullock Varrow Venning Wandale
    Wasdow Wetherlam Whernby Winskill Wraysholme Yarrick Yewbarrow
"""
BUSINESSES = (
    "Fallow Lane Dairy",
    "Hesket Joinery",
    "Cutter's Hill Nursery",
    "Marrick Plumbing and Heating",
    "Upper Mill Pottery",
    "Tarnside Care at Home",
    "Old Ferry Flowers",
    "Wickstone Parish Council",
    "Gall and Daughter Roofing",
    "Beacon Rise Driving School",
    "Nettlebed Laundry",
    "Copperway Electrical",
    "Rowan Tree Veterinary Practice",
    "Skelby Window Cleaning",
    "Two Bridges Brewery",
)
RESERVED = {
    *TECHNICIANS,
    ADVISOR,
    OWNER,
    "Hanne Orrick",
    "Ovide Tarnow",
    "Mirla Scane",
    "Jory Pellam",
    "Edda Larkrigg",
    "Fergal Wasdow",
    "Thirza Ullock",
    "Noll Kettlow",
    "Wenna Dross",
    "Aldous Merrin",
    "Petrin Gall",
}
"""Names of the staff, the stories and the open jobs: nobody else is called so."""
FIRST_FREE_PHONE = 130
"""Numbers below this one belong to the shop and to the people of the stories."""


@dataclass(frozen=True, slots=True)
class Person:
    """One customer as the exchange form knows them."""

    id: str
    name: str
    phone: str
    email: str | None = None

    def line(self) -> dict[str, Any]:
        """Return the customer of an order line."""
        return {"id": self.id, "name": self.name, "phone": self.phone, "email": self.email}


def landline(number: int) -> str:
    """Return a telephone number that belongs to nobody, for 0 to 999."""
    return f"01632 960 {number:03d}"


def mobile(number: int) -> str:
    """Return a mobile number that belongs to nobody, for 0 to 999."""
    return f"07700 900 {number:03d}"


def customers(count: int, rng: random.Random) -> list[Person]:
    """Return `count` different customers, the businesses among them, in a random order."""
    everybody = [f"{given} {family}" for given in GIVEN_NAMES.split() for family in SURNAMES.split()]
    free = [name for name in everybody if name not in RESERVED]
    names = [*BUSINESSES, *rng.sample(free, count - len(BUSINESSES))]
    rng.shuffle(names)
    phones = [landline(n) for n in range(FIRST_FREE_PHONE, 1000)]
    phones += [mobile(n) for n in range(FIRST_FREE_PHONE, 1000)]
    rng.shuffle(phones)
    return [
        Person(f"C{number:04d}", name, phones[number], _mail(name) if rng.random() < 0.7 else None)
        for number, name in enumerate(names, start=101)
    ]


def _mail(name: str) -> str:
    if name in BUSINESSES:
        return "office@" + name.lower().replace("'", "").replace(" ", "-") + ".example"
    return name.lower().replace(" ", ".") + "@example.org"
