"""The worker, `python -m config.worker`: `manage.py qcluster` with a clean end and the slow imports done first.

honcho and systemd stop a program by a signal to every process of it. django-q2 wants the signal in its first process
alone; with the rest gone at once, that one waits for ever and a task is cut off in the middle. So this process keeps
the cluster in a session of its own and passes the signal to its first process.
"""

from __future__ import annotations

import ctypes
import os
import signal
import subprocess
import sys
from contextlib import suppress
from types import FrameType

# honcho kills after five seconds; an idle cluster needs about two.
GRACE_S = 4.5
PR_SET_PDEATHSIG = 1  # linux/prctl.h


def run_cluster(arguments: list[str]) -> None:
    """The cluster itself; ends on SIGTERM after the tasks under way."""
    if sys.platform == "linux":
        # Should the process above be killed outright, stop as well, instead of working on unseen.
        ctypes.CDLL(None).prctl(PR_SET_PDEATHSIG, signal.SIGTERM)
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
    from django.core.management import execute_from_command_line

    from config.preload import preload

    preload()
    execute_from_command_line(["manage.py", "qcluster", *arguments])


def stop(cluster: subprocess.Popen[bytes], grace_s: float = GRACE_S) -> int:
    """Ask the first process to end; after `grace_s` seconds end the whole session. Returns its exit code."""
    cluster.terminate()
    try:
        return cluster.wait(grace_s)
    except subprocess.TimeoutExpired:
        with suppress(ProcessLookupError):
            os.killpg(cluster.pid, signal.SIGKILL)
        return cluster.wait()


class Stopped(Exception):
    """SIGTERM or SIGINT came."""


def _raise_stopped(number: int, frame: FrameType | None) -> None:
    # A second signal must not cut the clean end short.
    signal.signal(signal.SIGTERM, signal.SIG_IGN)
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    raise Stopped


def main(arguments: list[str]) -> int:
    if arguments[:1] == ["--cluster"]:
        run_cluster(arguments[1:])
        return 0
    signal.signal(signal.SIGTERM, _raise_stopped)
    signal.signal(signal.SIGINT, _raise_stopped)
    command = [sys.executable, "-m", "config.worker", "--cluster", *arguments]
    cluster = subprocess.Popen(command, start_new_session=True)
    try:
        return cluster.wait()
    except Stopped:
        stop(cluster)
        return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
