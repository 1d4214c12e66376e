import json
from datetime import date

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from diagnostics.audit.answer import answer
from diagnostics.audit.as_text import lines
from diagnostics.audit.breakdown import BY
from diagnostics.audit.scope import COLUMNS, DEFAULT_LEVELS, Scope
from diagnostics.models import WatchedJob
from shop.models import Location, RepairOrder

LEVELS = "SWYP"


class Command(BaseCommand):
    help = "What came back, how sure that is, and what goes with it. Reads only; `analyse` counts anew."

    def add_arguments(self, parser):
        parser.add_argument(
            "--as-of", type=date.fromisoformat, metavar="DATE", help="as things stood on DATE"
        )
        parser.add_argument(
            "--from", type=date.fromisoformat, metavar="DATE", dest="since", help="handed back from DATE on"
        )
        parser.add_argument(
            "--to", type=date.fromisoformat, metavar="DATE", dest="until", help="handed back until DATE"
        )
        parser.add_argument("--by", choices=sorted(BY), metavar="FIELD", help=f"one of: {', '.join(BY)}")
        parser.add_argument("--levels", metavar="S,W,Y,P", help="relations that count; S,W if not given")
        parser.add_argument("--location", default="", metavar="CODE", help="one shop only")
        parser.add_argument("--counted", choices=list(COLUMNS), default="provisional")
        parser.add_argument("--json", action="store_true", help="one JSON object")

    def handle(self, *args, as_of, since, until, by, levels, location, counted, **options):
        if since and until and since > until:
            raise CommandError(f"--from {since} lies after --to {until}. Give an earlier day first.")
        if location and not Location.objects.filter(code=location).exists():
            known = ", ".join(Location.objects.order_by("code").values_list("code", flat=True))
            raise CommandError(f"There is no shop '{location}'. Choose one of: {known}.")
        if not WatchedJob.objects.exists() and RepairOrder.objects.filter(returned_on__isnull=False).exists():
            raise CommandError("Nothing has been counted yet. Run `manage.py analyse` first.")
        scope = Scope(
            as_of=as_of or timezone.localdate(),
            since=since,
            until=until,
            location=location,
            counted=counted,
            levels=_levels(levels),
        )
        found = answer(scope, by or "")
        if options["json"]:
            self.stdout.write(json.dumps(found, ensure_ascii=False, allow_nan=False))
            return
        for line in lines(found):
            self.stdout.write(line)


def _levels(text):
    if text is None:
        return DEFAULT_LEVELS
    levels = [level.strip().upper() for level in text.split(",") if level.strip()]
    wrong = [level for level in levels if level not in LEVELS or len(level) != 1]
    if wrong or not levels:
        raise CommandError(f"--levels is '{text}'. Write some of S, W, Y and P, such as S,W.")
    return frozenset(levels)
