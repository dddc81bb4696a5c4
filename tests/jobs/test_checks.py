from __future__ import annotations

import os
from pathlib import Path

import pytest
from django.conf import settings
from django.core.checks import run_checks
from django_q.brokers.orm import ORM
from django_q.models import OrmQ, Schedule
from django_q.scheduler import scheduler

from jobs import checks

MOUNTS = r"""
/dev/sda1 / ext4 rw 0 0
//nas/share /srv/our\040things cifs rw 0 0
nas:/x /srv/nfs nfs4 rw 0 0
/dev/sdb1 /srv/nfs/local ext4 rw 0 0
tmpfs /over tmpfs rw 0 0
nas:/y /over nfs rw 0 0
""".strip()


def ids(found) -> list[str]:
    return [message.id for message in found]


def test_our_own_settings_pass():
    assert checks.queue_findings(settings.Q_CLUSTER) == []


@pytest.mark.parametrize(
    ("change", "expected"),
    [
        ({"timeout": None}, ["jobs.E001"]),
        ({"timeout": 600}, ["jobs.E001"]),
        ({"timeout": 700}, ["jobs.E001"]),
        # Two workers, two queued: a task may wait 60 s and then run 60 s.
        ({"retry": 120}, ["jobs.E002"]),
        ({"retry": 121}, []),
        ({"queue_limit": 20}, ["jobs.E002"]),
        ({"orm": "other"}, ["jobs.E003"]),
    ],
)
def test_times_that_would_start_a_task_twice_are_errors(change, expected):
    assert ids(checks.queue_findings({**settings.Q_CLUSTER, **change})) == expected


@pytest.mark.parametrize(
    ("path", "kind"),
    [
        ("/srv/our things/shutline/x.sqlite3", "cifs"),
        ("/srv/our", "ext4"),
        ("/srv/nfs/x.sqlite3", "nfs4"),
        ("/srv/nfs/local/x.sqlite3", "ext4"),
        ("/over/x", "nfs"),
        ("/home/x", "ext4"),
    ],
)
def test_the_innermost_and_latest_mount_decides(path, kind):
    assert checks.file_system_of(Path(path), MOUNTS) == kind


@pytest.mark.parametrize(
    ("database", "expected"),
    [
        ({"ENGINE": "django.db.backends.sqlite3", "NAME": "/srv/our things/x.sqlite3"}, ["jobs.W001"]),
        ({"ENGINE": "django.db.backends.sqlite3", "NAME": "/srv/nfs/local/x.sqlite3"}, []),
        ({"ENGINE": "django.db.backends.postgresql", "NAME": "shutline"}, []),
    ],
)
def test_a_database_on_a_network_folder_is_warned_of(database, expected):
    assert ids(checks.place_findings(database, MOUNTS)) == expected


def test_a_private_file_others_can_read_is_warned_of(tmp_path):
    path = tmp_path / "shutline.env"
    assert checks.private_file_findings(path) == []
    path.write_text("SECRET_KEY=x", encoding="utf-8")
    for mode, expected in ((0o600, []), (0o400, []), (0o640, ["jobs.W004"]), (0o604, ["jobs.W004"])):
        os.chmod(path, mode)
        assert ids(checks.private_file_findings(path)) == expected


@pytest.mark.parametrize(
    ("args", "kwargs", "bad"),
    [
        (None, None, False),
        ("1, 'two'", "a=1", False),
        ("'one'", "{'a': 1}", False),
        ("(", None, True),
        ("now()", None, True),
        (None, "a=now()", True),
        (None, "a=1, (", True),
        (None, "1, 2", True),
        (None, "**x", True),
    ],
)
def test_arguments_django_q2_cannot_read(args, kwargs, bad):
    assert checks.unreadable_arguments(args, kwargs) == bad


@pytest.mark.django_db
def test_schedules_are_looked_at_with_the_database_only():
    Schedule.objects.create(name="twice", func="math.floor", args="(")
    Schedule.objects.create(name="twice", func="math.floor", schedule_type=Schedule.CRON, cron="* * * * *")
    ours = [message for message in run_checks(databases=["default"]) if (message.id or "").startswith("jobs.E")]
    assert sorted(ids(ours)) == ["jobs.E004", "jobs.E006"]
    assert all("twice" in message.msg for message in ours)
    assert [message for message in run_checks() if (message.id or "").startswith("jobs.E")] == []


@pytest.mark.django_db
def test_cron_without_its_package_is_an_error():
    Schedule.objects.create(name="nightly", func="math.floor", schedule_type=Schedule.CRON, cron="0 1 * * *")
    schedules = list(Schedule.objects.all())
    assert ids(checks.schedule_findings(schedules, croniter_is_there=False)) == ["jobs.E005"]
    assert checks.schedule_findings(schedules, croniter_is_there=True) == []


@pytest.mark.django_db(transaction=True)
def test_the_reason_one_unreadable_schedule_stops_django_q2_itself():
    """Against the real scheduler: the finding E004 names is what stops every other schedule."""
    Schedule.objects.create(name="good", func="math.floor", args="1.5", schedule_type=Schedule.HOURLY)
    bad = Schedule.objects.create(name="bad", func="math.floor", args="now()", schedule_type=Schedule.HOURLY)
    Schedule.objects.update(next_run="2026-01-01T00:00:00Z")
    scheduler(broker=ORM("shutline"))
    assert OrmQ.objects.count() == 0
    bad.delete()
    scheduler(broker=ORM("shutline"))
    assert OrmQ.objects.count() == 1
