import json

import pytest
from django.core.management import CommandError, call_command

METER = ("--low", "12.4", "--unit", "V", "--accuracy", "0.5 % + 2", "--resolution", "0.01")


def test_a_judgement_is_one_json_object(capsys):
    call_command("judge", "12.45 V", *METER, "--whose", "battery maker", "--json")

    answer = json.loads(capsys.readouterr().out)
    assert (answer["verdict"], answer["side"], answer["whose"]) == ("not_proved", "within", "battery maker")
    assert answer["accuracy"] == "±(0.5 % of reading + 2 counts)"


def test_a_judgement_in_words_says_verdict_limits_and_why(capsys):
    call_command("judge", "12.60", *METER)

    said = capsys.readouterr().out.replace("\u00a0", " ")
    assert said.startswith("12.60 V: within, proved\n  should be 12.4 V or more\n  The reading 12.60 V lies")


def test_repeats_may_follow_one_another(capsys):
    call_command("judge", "12.61 V", *METER, "--repeat", "12.62 V", "12.60", "--repeat", "12.63", "--json")

    assert json.loads(capsys.readouterr().out)["n"] == 4


def test_a_coverage_factor_widens_what_must_be_shown(capsys):
    call_command("judge", "12.52 V", *METER, "--k", "3", "--json")

    assert json.loads(capsys.readouterr().out)["verdict"] == "not_proved"


def test_a_question_names_itself_and_what_may_have_been_meant(capsys):
    with pytest.raises(CommandError, match=r"1000 times above .* Such as: 12450 mV\. Add --sure"):
        call_command("judge", "12450", *METER, "--json")

    question = json.loads(capsys.readouterr().out)["question"]
    assert (question["code"], question["suggestions"]) == ("prefix_slip", ["12450 mV"])


def test_a_refusal_names_the_field(capsys):
    with pytest.raises(CommandError, match="No limit is given"):
        call_command("judge", "12.45 V", "--json")

    assert json.loads(capsys.readouterr().out)["refused"]["field"] == "lower"
