"""script/start for real, in a folder of its own: serve, sign in with the printed password, stop, start again."""

from __future__ import annotations

import http.cookiejar
import os
import re
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.parse
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
STAMP = ROOT / ".venv/shutline-run.stamp"
pytestmark = [
    pytest.mark.service,
    # Each test starts the whole program two or three times, some 30 s of processor: minutes on a busy machine.
    pytest.mark.timeout(900),
    pytest.mark.skipif(
        not STAMP.exists(), reason="script/start has not made this .venv: run script/start or script/test"
    ),
]
# A workshop that is there already: the demo has tests of its own.
FILL = """
from django.core.management import call_command
from jobs.models import Workshop
call_command("migrate", verbosity=0)
Workshop.objects.create(name="Oak and Ash", email="w@example.org")
"""


def environment(folder: Path, port: int) -> dict[str, str]:
    kept = {name: os.environ[name] for name in ("PATH", "HOME", "LANG") if name in os.environ}
    return kept | {"SHUTLINE_VAR": str(folder), "PORT": str(port), "CHILD_TIME_LIMIT_S": "170"}


@pytest.fixture
def port() -> Iterator[int]:
    """A port nobody uses; the next hundred are not looked at, script/start moves on if it must."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        number = probe.getsockname()[1]
    yield number


@pytest.fixture
def workshop_folder(tmp_path: Path, port: int) -> Path:
    folder = tmp_path / "var of mine"
    folder.mkdir()
    subprocess.run(
        [sys.executable, "-m", "config.first_run", "address"], cwd=ROOT, env=environment(folder, port), check=True
    )
    fill = [sys.executable, "manage.py", "shell", "-v0", "-c", FILL]
    subprocess.run(fill, cwd=ROOT, env=environment(folder, port), check=True)
    return folder


class Running:
    """script/start as a person has it in a terminal: output in a file, Ctrl-C as a signal."""

    def __init__(self, folder: Path, port: int) -> None:
        self.output = folder / "terminal.txt"
        with self.output.open("w") as file:
            self.process = subprocess.Popen(
                [ROOT / "script/start"],
                env=environment(folder, port),
                stdin=subprocess.DEVNULL,
                stdout=file,
                stderr=subprocess.STDOUT,
                start_new_session=True,
            )

    @property
    def said(self) -> str:
        return self.output.read_text(encoding="utf-8")

    def wait_for(self, words: str, seconds: float = 400) -> None:
        until = time.monotonic() + seconds
        while words not in self.said:
            assert time.monotonic() < until and self.process.poll() is None, self.said
            time.sleep(0.1)

    def stop(self) -> None:
        self.process.send_signal(signal.SIGINT)
        self.process.wait(200)


def processes_of(folder: Path) -> list[str]:
    """The command lines of the living processes that work on this folder (Linux)."""
    found = []
    for entry in Path("/proc").glob("[0-9]*"):
        try:
            if f"SHUTLINE_VAR={folder}".encode() in (entry / "environ").read_bytes().split(b"\0"):
                found.append((entry / "cmdline").read_bytes().replace(b"\0", b" ").decode())
        except OSError:
            continue
    return [line for line in found if line]


def sign_in(url: str, email: str, password: str) -> str:
    """The address on which a sign-in ends, through the real form."""
    opener = urllib.request.build_opener(urllib.request.HTTPCookieProcessor(http.cookiejar.CookieJar()))
    page = opener.open(f"{url}/account/login/").read().decode()
    token = re.search(r'name="csrfmiddlewaretoken" value="([^"]+)"', page)
    assert token, page
    fields = {"csrfmiddlewaretoken": token[1], "login": email, "password": password}
    request = urllib.request.Request(
        f"{url}/account/login/", urllib.parse.urlencode(fields).encode(), {"Origin": url, "Referer": url}
    )
    try:
        with opener.open(request) as answer:
            return answer.geturl()
    except urllib.error.HTTPError as error:
        return f"{error.code} {error.geturl()}"


def start_once(folder: Path, port: int, *options: str) -> str:
    done = subprocess.run(
        [ROOT / "script/start", "--once", *options],
        env=environment(folder, port),
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


def test_start_serves_until_ctrl_c_and_starts_again_with_the_same_data(workshop_folder: Path, port: int):
    first = Running(workshop_folder, port)
    try:
        first.wait_for("Shutline is ready")
        url = re.search(r"open\s+(http://localhost:\d+)", first.said)
        password = re.search(r"Password\s+(\S+)", first.said)
        assert url and password, first.said
        assert not sign_in(url[1], "maker@example.org", password[1]).endswith("/account/login/")
        assert sign_in(url[1], "maker@example.org", "not the password").endswith("/account/login/")
        # A second one in the same folder would bring a second worker to the same database.
        second = subprocess.run(
            [ROOT / "script/start"],
            env=environment(workshop_folder, port),
            capture_output=True,
            text=True,
            check=False,
        )
        assert (second.returncode, "already runs from this folder" in second.stderr) == (1, True)
        # A tool that knows the link of a client must not find it in what the terminal said.
        with pytest.raises(urllib.error.HTTPError):
            urllib.request.urlopen(f"{url[1]}/nowhere/{'A1' * 22}?key={'B2' * 22}")
    finally:
        first.stop()
    assert "A1A1" not in first.said and "B2B2" not in first.said
    assert first.process.returncode == 130  # what a shell calls "ended by Ctrl-C" (128 + SIGINT)
    assert processes_of(workshop_folder) == []

    before = (workshop_folder / "private/shutline.env").read_bytes()
    again = start_once(workshop_folder, port)
    assert "Your data is as you left it." in again
    assert "Sign in as before: maker@example.org" in again
    assert (workshop_folder / "private/shutline.env").read_bytes() == before
    assert workshop_folder.stat().st_mode & 0o077 == 0


def test_an_empty_start_gets_no_demo_then_or_later(tmp_path: Path, port: int):
    first = start_once(tmp_path, port, "--empty")
    assert re.search(r"Password\s+\S+", first)
    assert "demo" not in first
    later = start_once(tmp_path, port)
    assert "Your data is as you left it." in later
    assert not (tmp_path / "demo").exists()


def test_a_first_start_makes_the_demo_and_a_second_keeps_it(tmp_path: Path, port: int):
    first = start_once(tmp_path, port)
    assert "Making a demo workshop" in first
    assert {path.suffix for path in (tmp_path / "demo").iterdir()} >= {".ics", ".pdf"}
    made = {path.name: path.stat().st_mtime_ns for path in (tmp_path / "demo").iterdir()}
    second = start_once(tmp_path, port)
    assert "Making a demo workshop" not in second
    assert {path.name: path.stat().st_mtime_ns for path in (tmp_path / "demo").iterdir()} == made
