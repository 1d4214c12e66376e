import json
from datetime import date

from django.core.management.base import BaseCommand

from diagnostics.models import ReturnVisit
from diagnostics.review.exporting import exported, record


class Command(BaseCommand):
    help = "List the returns that somebody reviewed, with codes and costs; nobody's name is in it."

    def add_arguments(self, parser):
        parser.add_argument(
            "--since",
            type=date.fromisoformat,
            metavar="DATE",
            help="only returns that came back on or after DATE",
        )
        parser.add_argument("--json", action="store_true", help="one JSON object a line")

    def handle(self, *args, since, json, **options):
        visits = ReturnVisit.objects.filter(counts=True).exclude(state=ReturnVisit.State.UNREVIEWED)
        if since:
            visits = visits.filter(return_order__opened_on__gte=since)
        write = self._write_json if json else self._write_text
        for visit in exported(visits.order_by("return_order__opened_on", "pk")).iterator(chunk_size=500):
            write(record(visit))

    def _write_json(self, line):
        self.stdout.write(json.dumps(line, ensure_ascii=False))

    def _write_text(self, line):
        codes = " ".join([line["primary"], *line["contributing"]]) if line["primary"] else "not coded"
        cost = line["cost"]
        known = f", {cost['known']} {cost['currency']} known" if cost and cost["known"] else ""
        self.stdout.write(
            f"{line['came_back']} {line['symptom'] or 'no symptom'}: {line['state']}, level {line['level']}, "
            f"{codes}{known}"
        )
