from django.core.management.base import BaseCommand, CommandError

from shared.answer_lines import as_json
from shared.computing import Refused, compute


class Command(BaseCommand):
    help = "Say how many clean tries prove an intermittent fault gone, and what those done so far show."
    requires_system_checks = []  # Nothing is looked up in the database.

    def add_arguments(self, parser):
        parser.add_argument("--shown", type=int, help="it showed so often before the repair")
        parser.add_argument("--tries", type=int, help="in so many tries")
        parser.add_argument("--clean", type=int, help="clean tries since the repair")
        parser.add_argument("--recurrences", type=int, help="it came back so often since")
        parser.add_argument(
            "--faults", type=int, help="counted over time or distance instead: so many faults"
        )
        parser.add_argument("--over", type=float, help="over so much")
        parser.add_argument("--unit", default="days", choices=("h", "days", "km", "mi"))
        parser.add_argument("--clean-for", type=float, help="so much without a fault since the repair")
        parser.add_argument("--confidence", type=float, help="a share, 0.95 if not given")
        parser.add_argument(
            "--json", action="store_true", help="one JSON object, keys as of `compute proof.trials`"
        )

    def handle(self, *args, json, **options):
        by_time = options["faults"] is not None
        keys = (
            ("faults", "over", "unit", "clean_for") if by_time else ("shown", "tries", "clean", "recurrences")
        )
        given = {key: options[key] for key in (*keys, "confidence") if options[key] is not None}
        try:
            answer = compute("proof.time" if by_time else "proof.trials", given)
        except Refused as refused:
            option = f"--{refused.field.replace('_', '-')}"
            raise CommandError(f"{option}: {refused.message} Allowed: {refused.allowed}.") from None
        self.stdout.write(as_json(answer) if json else "\n".join(answer["words"]))
