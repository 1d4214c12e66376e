"""What the two commands that write a paper to a file have in common."""

import json
from pathlib import Path

from django.core.management.base import BaseCommand, CommandError

from invoicing import sheets
from invoicing.warranty_note import NothingToPromise
from shared.wording import NBSP, count_text
from shop.models import RepairOrder


class PaperCommand(BaseCommand):
    """Writes one paper of one order as it stands; nothing is issued."""

    kind = ""

    def add_arguments(self, parser):
        parser.add_argument("order", metavar="ORDER", help="order number")
        parser.add_argument("--out", required=True, metavar="FILE.pdf", help="where to write the PDF")
        parser.add_argument("--json", action="store_true", help="say what was written as one JSON object")

    def handle(self, *args, order, out, json, **options):
        drawn = self._draw(self._paper(order))
        self._write(Path(out), drawn.pdf)
        written = {
            "order": order,
            "kind": self.kind,
            "out": out,
            "sha256": sheets.sha256(drawn.pdf),
            "pages": drawn.pages,
            "bytes": len(drawn.pdf),
        }
        self._say(written, as_json=json)

    def _paper(self, number):
        order = RepairOrder.objects.select_related("location", "vehicle").filter(number=number).first()
        if order is None:
            raise CommandError(f"There is no order {number}. Look the number up in the list of jobs.")
        try:
            return sheets.current_paper(order, self.kind)
        except NothingToPromise as reason:
            raise CommandError(str(reason)) from None

    def _draw(self, paper):
        try:
            from invoicing import rendering  # Needs the PDF engine, which the site starts without.
        except OSError as error:
            raise CommandError(
                f"The PDF engine cannot start: {error}. Install its system libraries, see README.md."
            ) from None
        return rendering.draw(paper)

    def _write(self, path, pdf):
        try:
            path.write_bytes(pdf)
        except OSError as error:
            raise CommandError(f"{path} cannot be written: {error.strerror}. Choose another file.") from None

    def _say(self, written, *, as_json):
        if as_json:
            self.stdout.write(json.dumps(written))
        else:
            pages = count_text(written["pages"], "page").replace(NBSP, " ")
            self.stdout.write("{out}: {long}, {bytes} bytes, SHA-256 {sha256}".format(**written, long=pages))
