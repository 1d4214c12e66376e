import os
import sys

from django.core.management.base import BaseCommand, CommandError

from diagnostics.isolation import believe
from diagnostics.isolation.asked import Desk, advised, answer, refusal
from diagnostics.isolation.wording import found_by, state, what_would_change, why, why_stop
from diagnostics.isolation.wording.figures import minutes, still_suspected, times_in_100
from diagnostics.isolation.wording.terms import terms_of
from diagnostics.management.isolation_files import opened, refused_in_words, table
from shared.answer_lines import as_json
from shared.computing import Refused

MOST_RANKED = 8
MOST_SUSPECTS = 10


class Command(BaseCommand):
    help = "Say which test comes next in the search for a fault, and why."
    requires_system_checks = []  # Nothing is looked up in the database.

    def add_arguments(self, parser):
        parser.add_argument("problem", nargs="?", metavar="PROBLEM.json", help="an isolation-problem/1")
        parser.add_argument(
            "--history", metavar="H.json", help='what was done: [{"test": id, "outcome": id}]'
        )
        parser.add_argument("--json", action="store_true", help="one JSON object")
        parser.add_argument(
            "--stream",
            action="store_true",
            help='read lines {"problem": …, "history": […]}, write a line for each',
        )

    def handle(self, *args, problem, history, json, stream, **options):
        if stream:
            if not self._stream(sys.stdin.buffer):
                sys.exit(1)
            return
        if not problem:
            raise CommandError("Name the file of a problem, or ask for --stream.")
        try:
            loaded, done = opened(problem, history)
            advice = advised(loaded, done)
        except Refused as refused:
            if not json:
                raise refused_in_words(refused) from None
            self.stdout.write(refusal(refused))
            sys.exit(1)
        if json:
            self.stdout.write(as_json(answer(loaded, advice)))
        else:
            self._write_text(loaded, done, advice)

    def _write_text(self, problem, history, advice):
        belief = believe(problem, history)
        self.stdout.write(f"{problem.document['title']}\n\n{state(problem, belief, history).text}\n")
        if advice.test is None:
            self.stdout.write("\n".join(why_stop(problem, belief, advice)))
        else:
            changes = what_would_change(problem, history, advice)
            reason = why(problem, belief, advice, changes=changes)
            self.stdout.write("\n".join((*reason.sentences, found_by(advice))))
        for lines in (_ranking(problem, advice), _suspects(problem, belief)):
            if len(lines) > 1:
                self.stdout.write("\n" + "\n".join(table(lines)))

    def _stream(self, lines):
        """Write one line for each line read; return whether all were answered."""
        desk, all_answered = Desk(), True
        try:
            for line in lines:
                text, answered = desk.answer_line(line)
                all_answered = all_answered and answered
                self.stdout.write(text)
                self.stdout.flush()  # Whoever asks over a pipe waits for the answer before asking again.
        except BrokenPipeError:
            # Nobody listens any more; without this the interpreter complains once more at its end.
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return all_answered


def _ranking(problem, advice):
    terms = terms_of(problem.document)
    shown = advice.ranking[:MOST_RANKED]
    rows = [
        (minutes(each.expected_minutes), minutes(each.minutes), each.test, terms.test(each.test))
        for each in shown
    ]
    return [("from here", "it costs", "test", ""), *rows]


def _suspects(problem, belief):
    terms = terms_of(problem.document)
    kept = still_suspected(belief.posterior)
    rows = [(times_in_100(belief.posterior[name]), terms.candidate(name)) for name in kept[:MOST_SUSPECTS]]
    more = [("", f"and {len(kept) - len(rows)} more")] if len(kept) > len(rows) else []
    return [("in 100", "suspect"), *rows, *more]
