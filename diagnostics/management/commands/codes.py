import json
import sys
from pathlib import Path

from django.core.management.base import BaseCommand, CommandError

from diagnostics.codes.as_json import scan_as_json
from diagnostics.codes.decoding import MOST_BYTES, Unreadable, decode_text
from diagnostics.codes.meanings import meaning_of
from diagnostics.codes.scan_text import read_scan
from diagnostics.codes.wording import NO_NAME, code_words
from diagnostics.models import CodeMeaning


class Command(BaseCommand):
    help = (
        "Read a scan report of any layout: control units, trouble codes, monitors, what was not understood."
    )

    def add_arguments(self, parser):
        parser.add_argument("file", metavar="FILE", help="the report as text, or - for standard input")
        parser.add_argument("--json", action="store_true", help="one JSON object")
        parser.add_argument("--shop", action="store_true", help="use the shop's own meanings too")

    def handle(self, *args, file, json, shop, **options):
        try:
            found = read_scan(decode_text(_bytes_of(file)))
        except Unreadable as refused:
            raise CommandError(str(refused)) from None
        own = dict(CodeMeaning.objects.values_list("code", "meaning")) if shop else {}
        if json:
            self._write_json(found, own)
        else:
            self._write_text(found, own)

    def _write_json(self, found, own):
        self.stdout.write(json.dumps(scan_as_json(found, own), ensure_ascii=False))

    def _write_text(self, found, own):
        for module in found.modules:
            said = (
                "did not answer" if module.answered is False else "no codes" if module.says_no_codes else ""
            )
            name = " ".join(filter(None, [module.name or NO_NAME, module.address]))
            self.stdout.write(f"{name}{': ' + said if said else ''}")
            for code in module.codes:
                meaning = meaning_of(code.code, own)
                words = ", ".join(filter(None, [meaning.text or code.text, meaning.failure_type]))
                self.stdout.write(f"  line {code.line}: {code_words(code)} {words}".rstrip())
        if found.is_empty:
            self.stdout.write("No control unit and no code was found.")
        self.stdout.write(found.monitor_words)
        for remark in found.doubts:
            self.stdout.write(f"look at line {remark.line}: {remark.why}")
        for remark in found.unread:
            self.stdout.write(f"not understood, line {remark.line}: {remark.why or remark.text}")


def _bytes_of(file):
    """One byte more than is read, so that a longer file is refused without reading it whole."""
    if file == "-":
        return sys.stdin.buffer.read(MOST_BYTES + 1)
    try:
        with Path(file).open("rb") as opened:
            return opened.read(MOST_BYTES + 1)
    except OSError as error:
        raise CommandError(f"{file} cannot be read: {error.strerror or error}.") from None
