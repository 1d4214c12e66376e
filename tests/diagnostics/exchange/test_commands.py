import os
import resource
import subprocess
import sys
from io import StringIO
from pathlib import Path

import pytest
import simplejson
from django.conf import settings
from django.core.management import CommandError, call_command

from diagnostics.models import Instrument
from shop.models import Customer, Location, RepairOrder, Vehicle
from tests.factories import OrderFactory
from tests.second_opinion.generate import history

ORDER = {"record": "order", "id": "R1", "vehicle": "V1", "opened": "2026-03-02", "complaints": []}
MAX_PROCESSOR_SECONDS = 90  # The aim is a minute for 10,000 orders; a shared machine needs some slack.
MAX_MEMORY_MB = 250


def written(path, *lines):
    path.write_text(
        "".join(f"{simplejson.dumps(line, use_decimal=True)}\n" for line in lines), encoding="utf-8"
    )
    return str(path)


def run(name, *args):
    out, err = StringIO(), StringIO()
    call_command(name, *args, stdout=out, stderr=err)
    return out.getvalue(), err.getvalue()


# import_jobs


@pytest.mark.django_db
def test_import_says_what_was_done(tmp_path):
    out, _ = run("import_jobs", written(tmp_path / "jobs.ndjson", ORDER))

    assert out.startswith(
        "Orders: 1 created, 0 updated, 0 unchanged; 0 of 1 line refused. "
        "Lists: 0 locations, 0 instruments, 0 vehicles."
    )


@pytest.mark.django_db
def test_import_shows_progress_on_the_error_stream(tmp_path, monkeypatch):
    monkeypatch.setattr("diagnostics.management.commands.import_jobs.SECONDS_BETWEEN_PROGRESS", 0)

    _, err = run("import_jobs", written(tmp_path / "jobs.ndjson", ORDER))

    assert "1 lines, 100 %" in err


@pytest.mark.django_db
def test_import_is_quiet_when_asked(tmp_path, monkeypatch):
    monkeypatch.setattr("diagnostics.management.commands.import_jobs.SECONDS_BETWEEN_PROGRESS", 0)

    assert run("import_jobs", written(tmp_path / "jobs.ndjson", ORDER), "--verbosity=0")[1] == ""


@pytest.mark.django_db
def test_import_fails_when_a_line_was_refused(tmp_path):
    file = written(tmp_path / "jobs.ndjson", ORDER, {**ORDER, "id": "R2", "odo_unit": "m"})

    with pytest.raises(CommandError, match=r"1 line was refused\. The reasons are given above\.") as failure:
        run("import_jobs", file)

    assert failure.value.returncode == 1
    assert RepairOrder.objects.count() == 1


@pytest.mark.django_db
def test_import_writes_the_reasons_to_the_report(tmp_path):
    file = written(tmp_path / "jobs.ndjson", {**ORDER, "odo_unit": "m"})
    report = tmp_path / "refused.txt"

    with pytest.raises(CommandError, match=r"The reasons are in .*refused\.txt"):
        run("import_jobs", file, "--report", str(report))

    expected = 'line 1, id "R1": odo_unit: "m" is not one of the choices. Allowed: km or mi.\n'
    assert report.read_text(encoding="utf-8") == expected


@pytest.mark.django_db
def test_import_answers_in_json(tmp_path):
    file = written(tmp_path / "jobs.ndjson", ORDER, {**ORDER, "id": "R2", "odo_unit": "m"})
    out = StringIO()

    with pytest.raises(CommandError, match="The reasons are under faults"):
        call_command("import_jobs", file, "--json", stdout=out, stderr=StringIO())

    answer = simplejson.loads(out.getvalue())
    assert (answer["created"], answer["refused"], answer["kept"]) == (1, 1, True)
    assert answer["faults"] == [
        {
            "line": 2,
            "id": "R2",
            "field": "odo_unit",
            "wrong": '"m" is not one of the choices',
            "allowed": "km or mi",
        }
    ]


@pytest.mark.django_db
def test_a_dry_run_says_that_nothing_was_changed(tmp_path):
    out, _ = run("import_jobs", written(tmp_path / "jobs.ndjson", ORDER), "--dry-run")

    assert out.startswith("Nothing was changed. Orders that would be: 1 created")
    assert RepairOrder.objects.count() == 0


@pytest.mark.django_db
def test_all_or_nothing_says_that_nothing_was_kept(tmp_path):
    file = written(tmp_path / "jobs.ndjson", ORDER, {"record": "order"})
    out = StringIO()

    with pytest.raises(CommandError, match="1 line was refused"):
        call_command("import_jobs", file, "--all-or-nothing", stdout=out, stderr=StringIO())

    assert out.getvalue().startswith("Nothing was kept, because not all lines are good.")
    assert RepairOrder.objects.count() == 0


def test_import_says_when_the_file_is_not_there(tmp_path):
    with pytest.raises(CommandError, match=r"nowhere\.ndjson' cannot be read: No such file or directory"):
        run("import_jobs", str(tmp_path / "nowhere.ndjson"))


def test_import_says_when_the_report_cannot_be_written(tmp_path):
    file = written(tmp_path / "jobs.ndjson", ORDER)

    with pytest.raises(CommandError, match="cannot be written: No such file or directory"):
        run("import_jobs", file, "--report", str(tmp_path / "no" / "report.txt"))


# export_jobs


@pytest.mark.django_db
def test_an_export_taken_into_an_empty_site_is_exported_the_same(tmp_path):
    run("import_jobs", written(tmp_path / "jobs.ndjson", *history(seed=21, vehicles=60)))
    first, second = tmp_path / "first.ndjson", tmp_path / "second.ndjson"
    run("export_jobs", "--out", str(first))
    for model in (RepairOrder, Vehicle, Customer, Instrument, Location):
        model.objects.all().delete()

    run("import_jobs", str(first))
    run("export_jobs", "--out", str(second))

    assert first.stat().st_size > 100_000
    assert second.read_bytes() == first.read_bytes()


@pytest.mark.django_db
def test_an_export_taken_back_changes_nothing(tmp_path):
    run("import_jobs", written(tmp_path / "jobs.ndjson", *history(seed=22, vehicles=20)))
    run("export_jobs", "--out", str(tmp_path / "out.ndjson"))

    out, _ = run("import_jobs", str(tmp_path / "out.ndjson"))

    assert f"0 created, 0 updated, {RepairOrder.objects.count()} unchanged" in out


@pytest.mark.django_db
def test_an_export_without_a_file_goes_to_standard_output(tmp_path):
    run("import_jobs", written(tmp_path / "jobs.ndjson", ORDER))

    out, _ = run("export_jobs")

    assert out.splitlines() == [
        '{"record":"location","id":"main"}',
        '{"record":"vehicle","id":"V1"}',
        '{"record":"order","id":"R1","location":"main","vehicle":"V1","opened":"2026-03-02","complaints":[]}',
    ]


@pytest.mark.django_db
def test_an_export_of_some_orders_has_what_they_name(tmp_path):
    test = {
        "id": "T1",
        "code": "x",
        "phase": "before",
        "kind": "code",
        "on": "2026-03-02",
        "instrument": "M1",
    }
    meters = [{"record": "instrument", "id": f"M{n}", "kind": "meter"} for n in (1, 2)]
    other = {**ORDER, "id": "R2", "vehicle": "V2"}
    run("import_jobs", written(tmp_path / "jobs.ndjson", *meters, {**ORDER, "tests": [test]}, other))

    out, _ = run("export_jobs", "R1")

    lines = [simplejson.loads(line) for line in out.splitlines()]
    assert [line["id"] for line in lines] == ["main", "M1", "V1", "R1"]


@pytest.mark.django_db
def test_an_order_that_is_not_there_cannot_be_exported():
    OrderFactory(number="R1")

    with pytest.raises(CommandError, match=r"There is no order R8, R9\. See the job list"):
        run("export_jobs", "R9", "R1", "R8")


@pytest.mark.django_db
def test_an_export_that_cannot_be_written_says_so(tmp_path):
    with pytest.raises(CommandError, match="cannot be written: No such file or directory"):
        run("export_jobs", "--out", str(tmp_path / "no" / "out.ndjson"))


# A long history, in a process of its own


@pytest.mark.slow
def test_ten_thousand_orders_take_about_a_minute_and_little_memory(tmp_path):
    file = written(tmp_path / "jobs.ndjson", *history(seed=7, vehicles=3600))
    environment = {**os.environ, "DATA_DIR": str(tmp_path / "data"), "DATABASE_URL": ""}

    def manage(*args):
        command = [sys.executable, str(Path(settings.BASE_DIR) / "manage.py"), *args]
        return subprocess.run(command, env=environment, capture_output=True, text=True, check=True).stdout

    manage("migrate", "--verbosity=0")
    before = resource.getrusage(resource.RUSAGE_CHILDREN).ru_utime
    answer = simplejson.loads(manage("import_jobs", file, "--json"))
    assert answer["created"] >= 10_000
    assert resource.getrusage(resource.RUSAGE_CHILDREN).ru_utime - before < MAX_PROCESSOR_SECONDS
    assert answer["peak_memory_mb"] < MAX_MEMORY_MB
