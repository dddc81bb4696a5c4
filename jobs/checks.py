"""What is looked at before Shutline runs (`manage.py check`), beyond Django's own checks.

The findings are those that django-q2 and SQLite do not report themselves: they would go wrong later, in silence.
"""

from __future__ import annotations

import ast
import importlib.util
import stat
from collections import Counter
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.checks import CheckMessage, Error, Tags, Warning, register
from django.db import DEFAULT_DB_ALIAS, connections
from django.db.utils import DatabaseError

from config.refusals import weak_field_keys, weak_secret_key

# File systems over which SQLite's write-ahead log is not safe: all processes must share one host's memory
# (SQLite documentation, "Write-Ahead Logging", section 1, disadvantages).
NETWORK_FILE_SYSTEMS = frozenset(
    {"nfs", "nfs4", "cifs", "smb3", "smbfs", "9p", "afs", "ceph", "lustre", "glusterfs", "ncpfs", "vboxsf", "webdav"}
    | {"fuse.sshfs", "fuse.glusterfs", "fuse.davfs2", "fuse.rclone", "fuse.s3fs", "fuse.ceph"}
)
MOUNTS = Path("/proc/self/mounts")


def queue_findings(cluster: Mapping[str, Any]) -> list[CheckMessage]:
    """Errors in the settings of django-q2 (Q_CLUSTER); times in seconds."""
    timeout_s, retry_s = cluster.get("timeout"), cluster.get("retry", 60)
    if not timeout_s or timeout_s >= retry_s:
        return [
            Error(
                f"Q_CLUSTER: timeout ({timeout_s}) must be set and be less than retry ({retry_s}).",
                hint="A task would be started again while it still runs. Raise retry.",
                id="jobs.E001",
            )
        ]
    found: list[CheckMessage] = []
    workers = cluster.get("workers") or 1
    # The clock of retry starts when a task leaves the database, so the tasks queued before it count as well.
    longest_s = timeout_s * (cluster.get("queue_limit", workers**2) / workers + 1)
    if retry_s <= longest_s:
        hint = f"A task can wait behind others for {longest_s:.0f} s. Raise retry above that."
        found.append(Error(f"Q_CLUSTER: retry ({retry_s}) is too short.", hint=hint, id="jobs.E002"))
    if cluster.get("orm") != DEFAULT_DB_ALIAS:
        hint = "Queued tasks must be rows of the same database, or they are run before their data is there."
        found.append(Error("Q_CLUSTER: orm must be 'default'.", hint=hint, id="jobs.E003"))
    return found


@register()
def check_queue(app_configs: Any, **kwargs: Any) -> list[CheckMessage]:
    return queue_findings(settings.Q_CLUSTER)


def file_system_of(path: Path, mounts: str) -> str:
    """The type of the file system that holds `path`, from the text of /proc/mounts; "" where none fits."""
    best, kind = -1, ""
    for line in mounts.splitlines():
        fields = line.split(" ")
        if len(fields) < 3:
            continue
        # The kernel writes a space in a folder's name as \040.
        folder = Path(fields[1].encode("latin-1", "replace").decode("unicode_escape"))
        # A later mount over the same folder hides the earlier one, hence >=.
        if (path == folder or folder in path.parents) and len(folder.parts) >= best:
            best, kind = len(folder.parts), fields[2]
    return kind


def place_findings(database: Mapping[str, Any], mounts: str) -> list[CheckMessage]:
    """A warning where the SQLite file of this entry of DATABASES lies on a network file system."""
    if not database["ENGINE"].endswith("sqlite3"):
        return []
    path = Path(database["NAME"]).resolve()
    kind = file_system_of(path, mounts)
    if kind not in NETWORK_FILE_SYSTEMS:
        return []
    return [
        Warning(
            f"The database {path} lies on a network file system ({kind}).",
            hint="Its log can be damaged there. Set SHUTLINE_VAR to a folder on this machine's own disk, "
            "or DATABASE_URL to a PostgreSQL server.",
            id="jobs.W001",
        )
    ]


@register()
def check_database_place(app_configs: Any, **kwargs: Any) -> list[CheckMessage]:
    if not MOUNTS.exists():  # no Linux
        return []
    mounts = MOUNTS.read_text(encoding="utf-8", errors="replace")
    return place_findings(settings.DATABASES[DEFAULT_DB_ALIAS], mounts)


@register()
def check_keys(app_configs: Any, **kwargs: Any) -> list[CheckMessage]:
    """On an address others can reach the settings refuse these keys outright; here they are only named."""
    if settings.TESTING:
        return []
    found: list[CheckMessage] = []
    hint = "Let script/start write new ones."
    if finding := weak_secret_key(settings.SECRET_KEY):
        found.append(Warning(finding, hint=hint, id="jobs.W002"))
    if finding := weak_field_keys(settings.FIELD_KEYS, settings.SECRET_KEY):
        found.append(Warning(finding, hint=hint, id="jobs.W003"))
    return found


def private_file_findings(path: Path) -> list[CheckMessage]:
    """A warning where others on the machine may read the file with the keys."""
    if not path.exists() or not path.stat().st_mode & (stat.S_IRWXG | stat.S_IRWXO):
        return []
    return [Warning(f"Others on this machine can read {path}.", hint=f"chmod 600 '{path}'", id="jobs.W004")]


@register()
def check_private_file(app_configs: Any, **kwargs: Any) -> list[CheckMessage]:
    return private_file_findings(Path(settings.PRIVATE_FILE))


def unreadable_arguments(args: str | None, kwargs: str | None) -> bool:
    """Whether django-q2 would fail to read a schedule's arguments; the same two ways it tries itself."""
    try:
        if args:
            ast.literal_eval(args)
    except (ValueError, SyntaxError, TypeError, MemoryError, RecursionError):
        return True
    if not kwargs:
        return False
    try:
        return not isinstance(ast.literal_eval(kwargs), dict)
    except (ValueError, SyntaxError, TypeError, MemoryError, RecursionError):
        pass
    try:
        call = ast.parse(f"f({kwargs})", mode="eval").body
        if not isinstance(call, ast.Call) or call.args:
            return True
        for keyword in call.keywords:
            ast.literal_eval(keyword.value)
    except (ValueError, SyntaxError, TypeError, MemoryError, RecursionError):
        return True
    return False


def schedule_findings(schedules: Sequence[Any], *, croniter_is_there: bool) -> list[CheckMessage]:
    """Rows of django_q's Schedule that would stop every schedule (it reads all of them in one transaction)."""
    found: list[CheckMessage] = []
    hint = "One such row stops every schedule. Delete it; script/start writes the one that is needed."
    for schedule in schedules:
        name = schedule.name or f"number {schedule.pk}"
        if unreadable_arguments(schedule.args, schedule.kwargs):
            found.append(Error(f"Schedule {name}: its arguments cannot be read.", hint=hint, id="jobs.E004"))
        if schedule.schedule_type == schedule.CRON and not croniter_is_there:
            found.append(Error(f"Schedule {name} needs the package croniter.", hint=hint, id="jobs.E005"))
    names = Counter(schedule.name for schedule in schedules if schedule.name)
    for name, times in names.items():
        if times > 1:
            hint = "script/start, or manage.py first_start, leaves one."
            found.append(Error(f"Schedule {name} is there {times} times.", hint=hint, id="jobs.E006"))
    return found


@register(Tags.database)
def check_schedules(app_configs: Any, databases: Sequence[str] | None = None, **kwargs: Any) -> list[CheckMessage]:
    if DEFAULT_DB_ALIAS not in (databases or []):
        return []
    from django_q.models import Schedule

    try:
        if Schedule._meta.db_table not in connections[DEFAULT_DB_ALIAS].introspection.table_names():
            return []
        schedules = list(Schedule.objects.order_by("pk"))
    except DatabaseError:
        # Before the first migrate, or between two versions of the table: nothing to look at yet.
        return []
    return schedule_findings(schedules, croniter_is_there=importlib.util.find_spec("croniter") is not None)
