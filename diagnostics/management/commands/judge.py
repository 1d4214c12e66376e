import simplejson
from django.core.management.base import BaseCommand, CommandError

from diagnostics.metrology.asked import judge_typed
from shared.computing import Refused
from shared.quantities import Question
from shared.wording import quantity_text

COMMA = {"yes": True, "no": False, "unknown": None}


class Command(BaseCommand):
    help = "Say whether a reading proves that it is within its limits, outside, or neither."

    def add_arguments(self, parser):
        parser.add_argument("reading", help="as typed, such as '12.31 V'")
        parser.add_argument(
            "--repeat",
            nargs="+",
            action="extend",
            default=[],
            metavar="READING",
            help="the same, taken again",
        )
        parser.add_argument("--low", default="", help="lower limit, in --unit or with its own")
        parser.add_argument("--high", default="", help="upper limit")
        parser.add_argument("--unit", default="", help="unit of the limits, and of a reading without one")
        parser.add_argument("--whose", default="", help="whose limit it is")
        parser.add_argument("--accuracy", default="", help="as the maker states it, such as '0.5 %% + 2'")
        parser.add_argument("--resolution", default="", help="step of the last digit; else the digits typed")
        parser.add_argument("--span", default="", help="end of the range, for an accuracy in %% of range")
        parser.add_argument("--U", default="", help="expanded uncertainty, instead of an accuracy")
        parser.add_argument("--k", type=float, help="coverage factor, 2 if not given")
        parser.add_argument("--decimal-comma", choices=COMMA, default="unknown", help="is 1,200 below two?")
        parser.add_argument("--sure", action="store_true", help="the size is meant, however unusual")
        parser.add_argument("--json", action="store_true", help="one JSON object")

    def handle(self, *args, reading, repeat, json, decimal_comma, **options):
        names = ("low", "high", "unit", "whose", "accuracy", "resolution", "span", "U", "k", "sure")
        given = {name: options[name] for name in names}
        try:
            asked = judge_typed(reading, repeats=repeat, decimal_comma=COMMA[decimal_comma], **given)
        except (Question, Refused) as wrong:
            self._refuse(wrong, json)
        if json:
            self.stdout.write(simplejson.dumps(asked.as_dict(), ensure_ascii=False))
        else:
            self._say(asked)

    def _refuse(self, wrong, as_json):
        is_question = isinstance(wrong, Question)
        if as_json:
            line = {"question": _question_keys(wrong)} if is_question else {"refused": wrong.as_dict()}
            self.stdout.write(simplejson.dumps(line, ensure_ascii=False))
        more = f" Such as: {', '.join(wrong.suggestions)}." if is_question and wrong.suggestions else ""
        sure = " Add --sure if it is meant." if is_question and wrong.can_confirm else ""
        raise CommandError(f"{wrong}{more}{sure}") from wrong

    def _say(self, asked):
        judgement = asked.judgement
        self.stdout.write(f"{quantity_text(judgement.value, judgement.unit)}: {judgement.words}")
        self.stdout.write(f"  should be {judgement.limits_words}")
        self.stdout.write(f"  {judgement.why}")


def _question_keys(question):
    return {
        "code": question.code,
        "text": str(question),
        "suggestions": list(question.suggestions),
        "can_confirm": question.can_confirm,
    }
