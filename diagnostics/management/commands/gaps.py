import json

from django.core.management.base import BaseCommand, CommandError

from diagnostics.assessment import assess, assess_all
from shop.models import RepairOrder


class Command(BaseCommand):
    help = "Say what is missing in repair orders, and where each chain of evidence is broken."

    def add_arguments(self, parser):
        parser.add_argument("orders", nargs="*", metavar="ORDER", help="order numbers")
        parser.add_argument("--all", action="store_true", help="every order of the shop")
        parser.add_argument("--json", action="store_true", help="one JSON object a line")

    def handle(self, *args, orders, all, json, **options):
        if bool(orders) == all:
            raise CommandError("Give order numbers, or --all for every order.")
        write = self._write_json if json else self._write_text
        for assessment in assess_all() if all else self._chosen(orders):
            write(assessment)

    def _chosen(self, numbers):
        pks = dict(RepairOrder.objects.filter(number__in=numbers).values_list("number", "pk"))
        unknown = [number for number in numbers if number not in pks]
        if unknown:
            raise CommandError(
                f"No such order: {', '.join(unknown)}. Look the number up in the list of jobs."
            )
        return (assess(pks[number]) for number in numbers)

    def _write_json(self, assessment):
        line = {
            "order": assessment.order.id,
            "findings": [
                {
                    "rule": finding.rule,
                    "subject": finding.subject,
                    "state": finding.state,
                    "text": finding.text,
                }
                for finding in assessment.findings
            ],
            "chain": [{"complaint": chain.complaint, "status": chain.words} for chain in assessment.chains],
        }
        self.stdout.write(json.dumps(line, ensure_ascii=False))

    def _write_text(self, assessment):
        self.stdout.write(f"Order {assessment.order.id}")
        for chain in assessment.chains:
            self.stdout.write(f"  complaint {chain.complaint}: {chain.words}")
        for finding in assessment.findings:
            self.stdout.write(f"  {finding.rule} {finding.subject} ({finding.state}): {finding.text}")
