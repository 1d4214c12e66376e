import sys

from django.core.management.base import BaseCommand

from diagnostics.isolation.asked import answer_of_route, order_of, refusal
from diagnostics.isolation.wording import cost_in_words, found_by
from diagnostics.isolation.wording.figures import minutes
from diagnostics.isolation.wording.terms import terms_of
from diagnostics.management.isolation_files import opened, refused_in_words
from shared.answer_lines import as_json
from shared.computing import Refused


class Command(BaseCommand):
    help = "Say how many minutes a fixed order of tests takes to the fault, beside the plan."
    requires_system_checks = []  # Nothing is looked up in the database.

    def add_arguments(self, parser):
        parser.add_argument("problem", metavar="PROBLEM.json", help="an isolation-problem/1")
        parser.add_argument("--order", required=True, metavar="T1,T2,…", help="ids of tests, in this order")
        parser.add_argument(
            "--history", metavar="H.json", help='what was done: [{"test": id, "outcome": id}]'
        )
        parser.add_argument("--json", action="store_true", help="one JSON object")

    def handle(self, *args, problem, order, history, json, **options):
        try:
            loaded, done = opened(problem, history)
            tests = order_of(loaded, [name.strip() for name in order.split(",") if name.strip()])
            answer, route, advice = answer_of_route(loaded, tests, done)
        except Refused as refused:
            if not json:
                raise refused_in_words(refused) from None
            self.stdout.write(refusal(refused))
            sys.exit(1)
        self.stdout.write(as_json(answer) if json else "\n".join(_lines(loaded, tests, route, advice)))


def _lines(problem, tests, route, advice):
    terms = terms_of(problem.document)
    yield problem.document["title"]
    yield from (f"  {place}. {terms.test(test)}" for place, test in enumerate(tests, 1))
    gap = cost_in_words(route.expected_minutes, advice.expected_minutes)
    plan = minutes(advice.expected_minutes)
    yield f"Expect about {minutes(route.expected_minutes)} in this order; {plan} by the plan: {gap}."
    yield found_by(route)
