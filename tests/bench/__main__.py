"""Run it as `make bench`, or `python -m tests.bench --only pages --orders 10000 --json`."""

import argparse
import importlib
import json
import os
import sys
import tempfile
from pathlib import Path

from tests.bench.shop import Shop, environment
from tests.bench.timing import table

OF_ITS_OWN = ("audit",)  # Makes its own history; the site of the others is not filled for it.
PARTS = (
    "pages",
    "papers",
    "importing",
    "comebacks",
    "gaps",
    "captures",
    "decoding",
    "viewer",
    "isolation",
    *OF_ITS_OWN,
)


def main(arguments=None):
    options = _options(arguments)
    with tempfile.TemporaryDirectory(prefix="holdfast-bench-") as folder:
        shop = Shop(Path(folder), options.orders, options.samples, options.site)
        if set(options.only or PARTS) <= set(OF_ITS_OWN):
            shop.prepare_empty()
        else:
            print(f"Filling a site with {shop.orders:,} orders", file=sys.stderr)
            shop.prepare()
        _start(shop)
        comparisons = []
        for part in options.only or PARTS:
            print(f"Measuring {part}", file=sys.stderr)
            comparisons += importlib.import_module(f"tests.bench.{part}").measure(shop, options.repeats)
        _stop()
    if options.json:
        print(json.dumps([comparison.as_data() for comparison in comparisons], indent=1))
    else:
        print(table(comparisons))


def _options(arguments):
    parser = argparse.ArgumentParser(
        prog="python -m tests.bench", description=sys.modules["tests.bench"].__doc__
    )
    parser.add_argument("--only", action="append", choices=PARTS, help="only this part; may be given again")
    parser.add_argument("--orders", type=int, default=2000, help="orders in the site (default 2000)")
    parser.add_argument(
        "--samples", type=int, default=200_000, help="samples in a recorded signal (default 200000)"
    )
    parser.add_argument(
        "--site", type=Path, help="folder of a site for the audit part, filled where it is empty and kept"
    )
    parser.add_argument("--repeats", type=int, default=7, help="times that each thing is done (default 7)")
    parser.add_argument("--json", action="store_true", help="as JSON")
    return parser.parse_args(arguments)


def _start(shop):
    for service in ("DATABASE_URL", "REDIS_URL"):
        os.environ.pop(service, None)
    os.environ.update(environment(shop.filled if shop.filled.exists() else shop.empty))
    import django

    django.setup()


def _stop():
    from django.db import connection

    connection.close()


if __name__ == "__main__":
    main()
