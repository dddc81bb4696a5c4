from __future__ import annotations

import os
import signal
import subprocess
import sys
import time

import pytest

from config import worker

pytestmark = pytest.mark.service

# Stands in for the cluster: a first process that ends on SIGTERM or not, and a second one in the same session.
FAMILY = """
import signal, subprocess, sys, time
polite = lambda *_: (child.terminate(), sys.exit(7))
signal.signal(signal.SIGTERM, signal.SIG_IGN if sys.argv[1] == "deaf" else polite)
child = subprocess.Popen([sys.executable, "-c", "import time; time.sleep(60)"])
print(child.pid, flush=True)
time.sleep(60)
"""


def family(kind: str) -> tuple[subprocess.Popen[bytes], int]:
    first = subprocess.Popen([sys.executable, "-c", FAMILY, kind], stdout=subprocess.PIPE, start_new_session=True)
    assert first.stdout is not None
    return first, int(first.stdout.readline())


def is_gone(pid: int) -> bool:
    """No such process, or one that only waits for its parent to notice."""
    for _ in range(600):
        try:
            with open(f"/proc/{pid}/stat", encoding="ascii", errors="replace") as file:
                if file.read().rpartition(")")[2].split()[0] == "Z":
                    return True
        except (FileNotFoundError, ProcessLookupError):
            return True
        time.sleep(0.05)
    return False


def test_the_first_process_alone_gets_the_signal_and_time_to_end():
    first, second = family("polite")
    assert worker.stop(first, grace_s=50) == 7
    assert is_gone(second)


def test_a_deaf_family_is_ended_whole_after_the_grace():
    first, second = family("deaf")
    began = time.monotonic()
    assert worker.stop(first, grace_s=0.3) == -signal.SIGKILL
    assert 0.3 <= time.monotonic() - began < 30  # by itself it would sleep for sixty
    assert is_gone(second)


def test_a_cluster_that_cannot_start_is_not_hidden(tmp_path):
    # Without keys the cluster ends at once, with its own exit code.
    environment = {
        "PATH": os.environ["PATH"],
        "SHUTLINE_VAR": str(tmp_path),
        "DJANGO_SETTINGS_MODULE": "config.settings",
    }
    command = [sys.executable, "-m", "config.worker"]
    done = subprocess.run(command, env=environment, capture_output=True, text=True, timeout=150, check=False)
    assert done.returncode == 1
    assert "SECRET_KEY is not set" in done.stderr
