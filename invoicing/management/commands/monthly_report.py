import json
from datetime import date
from pathlib import Path

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from invoicing.monthly import making
from invoicing.monthly.compose import compose
from invoicing.monthly.dates import month_before
from invoicing.monthly.sheet import name_of, paper_of
from invoicing.sheets import sha256


class Command(BaseCommand):
    help = "Write the owner's report of a month to a file, or make it and ask for its letters."

    def add_arguments(self, parser):
        parser.add_argument("--month", metavar="YYYY-MM", help="the month (default: the one before this)")
        parser.add_argument("--out", metavar="FILE.pdf", help="write it here; nothing is kept or sent")
        parser.add_argument("--send", action="store_true", help="keep it and ask for the letters to owners")
        parser.add_argument("--json", action="store_true", help="say what was done as one JSON object")

    def handle(self, *args, month, out, send, **options):
        if bool(out) == send:
            raise CommandError("Say where to write it with --out FILE.pdf, or ask for it with --send.")
        today, now = timezone.localdate(), timezone.now()
        first = self._month(month, today)
        if send:
            report = making.make_report(first, as_of=today, at=now)
            done = {"letters": making.ask_letters(report, at=now), "pages": report.pages}
            name = name_of(report.data)
        else:
            done, name = self._write(first, today, Path(out))
        self.stdout.write(
            json.dumps({"month": f"{first:%Y-%m}", **done})
            if options["json"]
            else f"{name}: {', '.join(f'{value} {key}' for key, value in done.items())}"
        )

    def _month(self, month, today):
        if not month:
            return month_before(today)
        try:
            first = date.fromisoformat(f"{month}-01")
        except ValueError:
            raise CommandError(f"'{month}' is no month. Write it like 2026-02.") from None
        if first > today:
            raise CommandError(f"{month} is not over yet. Choose an earlier month.")
        return first

    def _write(self, first, today, path):
        from invoicing import rendering  # Needs the PDF engine, which the site starts without.

        data = compose(first, as_of=today)
        drawn = rendering.draw_html(rendering.page_html("invoicing/monthly.html", paper_of(data)))
        try:
            path.write_bytes(drawn.pdf)
        except OSError as error:
            raise CommandError(f"{path} cannot be written: {error.strerror}. Choose another file.") from None
        return {"pages": drawn.pages, "bytes": len(drawn.pdf), "sha256": sha256(drawn.pdf)}, name_of(data)
