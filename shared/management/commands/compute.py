import os
import sys

from django.core.management.base import BaseCommand, CommandError

from shared import answer_lines, computing


class Command(BaseCommand):
    help = "Answer a named computation. Exit status 0 when all was answered, 1 when something was refused."
    requires_system_checks = []  # Nothing is looked up in the database.

    def add_arguments(self, parser):
        parser.add_argument(
            "name", nargs="?", help="as in `vin.verdict`; with --list, the beginning of names"
        )
        parser.add_argument("given", nargs="?", default="{}", help='values as JSON, as in \'{"vin": "…"}\'')
        parser.add_argument("--list", action="store_true", help="names, meaning, units and source")
        parser.add_argument(
            "--stream",
            action="store_true",
            help='read lines {"name": …, "given": {…}}, write a line for each',
        )
        parser.add_argument("--json", action="store_true", help="the list as JSON; answers are JSON anyway")

    def handle(self, *args, name, given, list, stream, json, **options):
        if list:
            return self._list(name or "", as_json=json)
        if stream:
            answered = self._stream(sys.stdin.buffer)
        elif name:
            line, answered = answer_lines.answer_to(name, given)
            self.stdout.write(line)
        else:
            raise CommandError("Name a computation, or ask for --list or --stream.")
        if not answered:
            sys.exit(1)
        return None

    def _list(self, beginning, *, as_json):
        found = [item for name, item in computing.registry().items() if name.startswith(beginning)]
        if as_json:
            self.stdout.write(answer_lines.as_json([answer_lines.described(item) for item in found]))
            return
        width = max((len(item.name) for item in found), default=0)
        for item in found:
            self.stdout.write(f"{item.name:{width}}  {'  '.join(_about(item))}")

    def _stream(self, lines):
        """Write one line for each line read; return whether all were answered."""
        all_answered = True
        try:
            for line in lines:
                text, answered = answer_lines.answer_line(line)
                all_answered = all_answered and answered
                self.stdout.write(text)
                self.stdout.flush()  # Whoever asks over a pipe waits for the answer before asking again.
        except BrokenPipeError:
            # Nobody listens any more; without this the interpreter complains once more at its end.
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return all_answered


def _about(item):
    units = [f"{key} in {unit}" for key, unit in item.answers.items() if unit]
    given = [f"{one.key} in {one.unit}" for one in item.given if one.unit]
    unit = f"[{item.unit}]" if item.unit else ""
    yield item.meaning
    if units or unit:
        yield f"Answer: {', '.join([unit, *units] if unit else units)}."
    if given:
        yield f"Given: {', '.join(given)}."
    yield f"Source: {item.source or 'none stated'} ({item.mark})."
