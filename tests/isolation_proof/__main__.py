"""Run it as `python -m tests.isolation_proof solve` or `python -m tests.isolation_proof table`."""

import argparse
import sys

from tests.isolation_proof import answers, compare, planner
from tests.isolation_proof.policies import PLAIN


def main(arguments=None):
    parser = argparse.ArgumentParser(
        prog="python -m tests.isolation_proof",
        description=sys.modules["tests.isolation_proof"].__doc__,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("what", choices=("solve", "table"))
    parser.add_argument("--seeds", type=int, default=len(answers.SEEDS), help="seeds of each family")
    parser.add_argument("--plain", action="store_true", help="the table without the planner")
    options = parser.parse_args(arguments)
    if options.what == "solve":
        print(f"{answers.keep()} of {len(answers.every_key())} problems solved")
        return
    judges = {name: compare.plain(name) for name in PLAIN}
    if not options.plain:
        judges["the planner"] = planner.judge()
    keys = [key for key in answers.kept() if key[1] <= options.seeds]
    print(compare.table(compare.ratios(judges, keys)))


if __name__ == "__main__":
    main()
