"""Run it as `python -m tests.isolation_proof solve` or `python -m tests.isolation_proof table`."""

import argparse
import sys

from tests.isolation_proof import answers, compare


def main(arguments=None):
    parser = argparse.ArgumentParser(
        prog="python -m tests.isolation_proof",
        description=sys.modules["tests.isolation_proof"].__doc__,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("what", choices=("solve", "table"))
    parser.add_argument(
        "--seeds", type=int, default=len(answers.SEEDS), help="seeds of each family in the table"
    )
    options = parser.parse_args(arguments)
    if options.what == "solve":
        print(f"{answers.keep()} of {len(answers.every_key())} problems solved")
    else:
        print(compare.table(compare.ratios(compare.everyone(), seeds=options.seeds)))


if __name__ == "__main__":
    main()
