"""Everything the audit counts, computed anew, beside the bare question for a vehicle's next visit.

In a site of its own, filled with a history made for it: a million orders take minutes, not hours. With
DATABASE_URL_BENCH, an empty PostgreSQL database, the same is measured there too.
"""

import os

from tests.bench.shop import run_child
from tests.bench.timing import Comparison

YARDSTICK = "bare window query"


def measure(shop, repeats):
    site = shop.kept or shop.copy_of_empty("audit")
    if shop.kept:
        run_child(site, "prepare")
    found = _compared(shop, repeats, site, "SQLite", "")
    if url := os.environ.get("DATABASE_URL_BENCH", ""):
        found += _compared(shop, repeats, site, "PostgreSQL", url)
    return found


def _compared(shop, repeats, site, engine, url):
    said = run_child(site, "audit", str(shop.orders), str(repeats), url)
    counted = "{pairs:,} pairs, {jobs:,} jobs, {checks:,} checks".format(**said["rows"])
    notes = {
        "counted anew": f"{counted}; read and computed by {said['processes']}, written by one",
        "counted again": "changes nothing",
        "after one order": "median of many vehicles",
    }
    return [
        Comparison(
            f"{name}, {engine}",
            seconds,
            YARDSTICK,
            said["bare"],
            shop.orders if name.startswith("counted") else 1,
            notes.get(name, ""),
        )
        for name, seconds in said["taken"].items()
    ]
