import pytest
from django.core.exceptions import ImproperlyConfigured

from shared import uploads
from shared.environment import megabytes


def test_a_limit_is_written_in_megabytes():
    assert megabytes({"UPLOAD_LIMIT_MB": " 12 "}, "UPLOAD_LIMIT_MB", 500, 1000) == 12_000_000


def test_without_a_limit_the_usual_one_holds():
    assert megabytes({}, "UPLOAD_LIMIT_MB", 500, 1000) == 500_000_000


@pytest.mark.parametrize("text", ["0", "-1", "1.5", "1_0", "１２", "lots", "1001"])
def test_a_limit_that_cannot_work_names_its_variable(text):
    with pytest.raises(ImproperlyConfigured, match=r"UPLOAD_LIMIT_MB is .*Write a whole number of megabytes"):
        megabytes({"UPLOAD_LIMIT_MB": text}, "UPLOAD_LIMIT_MB", 500, 1000)


def test_the_limit_is_said_as_people_say_it(settings):
    settings.UPLOAD_LIMIT = 1_500_000_000

    assert uploads.limit_words() == "1,500 MB"


def test_a_disk_keeps_room_to_work():
    assert uploads.has_room_for(1)
    assert not uploads.has_room_for(10**18)
