"""Settings are read in a process of their own: in this one they are those of the test run."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest
from cryptography.fernet import Fernet

from config import refusals

ROOT = Path(__file__).resolve().parents[2]
GOOD = {
    "PUBLIC_URL": "https://jobs.example.org",
    "SECRET_KEY": "mV9-" + "wq7Zr2" * 10,
    "FIELD_KEYS": Fernet.generate_key().decode(),
}
ASK = "from django.conf import settings as s; print(s.DEBUG, s.SESSION_COOKIE_SECURE, s.ALLOWED_HOSTS[0])"


def read_settings(folder: Path, ask: str = ASK, **environment: str) -> subprocess.CompletedProcess[str]:
    clean = {name: os.environ[name] for name in ("PATH", "HOME", "LANG") if name in os.environ}
    clean |= {"SHUTLINE_VAR": str(folder), "DJANGO_SETTINGS_MODULE": "config.settings", **environment}
    return subprocess.run(
        [sys.executable, "-c", ask], cwd=ROOT, env=clean, capture_output=True, text=True, check=False
    )


def test_good_settings_start(tmp_path: Path):
    done = read_settings(tmp_path, **GOOD)
    assert (done.returncode, done.stdout.strip()) == (0, "False True jobs.example.org"), done.stderr


@pytest.mark.parametrize(
    ("wrong", "sentence"),
    [
        ({"DEBUG": "1"}, "DEBUG is on"),
        ({"SECRET_KEY": "short"}, "SECRET_KEY is too short"),
        ({"SECRET_KEY": "ab" * 40}, "SECRET_KEY is too short or too plain"),
        ({"SECRET_KEY": "only-for-the-test-run-" + "k" * 50}, "published default"),
        ({"FIELD_KEYS": "not-a-key"}, "FIELD_KEYS: key 1 is no Fernet key"),
        ({"FIELD_KEYS": f"{GOOD['FIELD_KEYS']},{GOOD['FIELD_KEYS'][:-4]}"}, "FIELD_KEYS: key 2 is no Fernet key"),
        ({"FIELD_KEYS": GOOD["SECRET_KEY"]}, "FIELD_KEYS is the same as SECRET_KEY"),
        ({"FIELD_KEYS": refusals.TEST_FIELD_KEY}, "published key of the test run"),
        ({"SECRET_KEY": ""}, "SECRET_KEY is not set"),
        ({"PUBLIC_URL": "jobs.example.org"}, "PUBLIC_URL is 'jobs.example.org'"),
        ({"PUBLIC_URL": "https://jobs.example.org/app"}, "Leave out what stands behind"),
        ({"EXTRA_HOSTS": "*"}, "EXTRA_HOSTS is \\*"),
        ({"EMAIL_URL": "mail.example.org"}, "EMAIL_URL is no address"),
    ],
)
def test_unsafe_settings_are_refused_by_name(tmp_path: Path, wrong: dict[str, str], sentence: str):
    done = read_settings(tmp_path, **(GOOD | wrong))
    assert done.returncode != 0
    last = done.stderr.strip().splitlines()[-1]
    assert last.startswith("django.core.exceptions.ImproperlyConfigured"), done.stderr
    assert sentence.replace("\\", "") in last


def test_other_machines_without_a_certificate_are_refused_alike(tmp_path: Path):
    done = read_settings(tmp_path, **(GOOD | {"PUBLIC_URL": "http://workshop.example.org:8000", "DEBUG": "1"}))
    assert "DEBUG is on" in done.stderr


def test_this_machine_alone_may_be_debugged(tmp_path: Path):
    done = read_settings(tmp_path, **(GOOD | {"PUBLIC_URL": "http://localhost:8000", "DEBUG": "1"}))
    assert (done.returncode, done.stdout.strip()) == (0, "True False localhost"), done.stderr


def test_a_folder_may_be_called_anything(tmp_path: Path):
    folder = tmp_path / "50% oak #2 ?"
    done = read_settings(
        folder, "from django.conf import settings as s; print(s.DATABASES['default']['NAME'])", **GOOD
    )
    assert done.stdout.strip() == str(folder / "shutline.sqlite3"), done.stderr


def test_loading_the_sun_never_looks_like_a_test_run():
    loaded = "print('pytest' in sys.modules, 'ortools' in sys.modules)"
    ask = f"import sys; from config.preload import preload; preload(); {loaded}"
    done = subprocess.run([sys.executable, "-c", ask], cwd=ROOT, capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False False"


def test_every_generated_fernet_key_passes():
    for _ in range(200):
        assert refusals.weak_field_keys([Fernet.generate_key().decode()], GOOD["SECRET_KEY"]) == ""


@pytest.mark.parametrize("key", ["", "x", "é" * 44, "A" * 44, "A" * 43 + "=", "+" * 43 + "=", "A" * 48])
def test_no_key_passes_that_the_library_refuses(key: str):
    try:
        Fernet(key)
        accepted = True
    except ValueError:
        accepted = False
    assert refusals.is_fernet_key(key) == accepted
