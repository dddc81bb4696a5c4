"""The shell scripts: their pure parts with made-up commands on PATH, then one real start."""

from __future__ import annotations

import os
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]


def shell(code: str, folder: Path, path: str = "", **environment: str) -> subprocess.CompletedProcess[str]:
    """Runs bash lines after script/lib.sh, standing in `folder`; the commands of `path` come first."""
    clean = {
        "PATH": f"{path}:{os.environ['PATH']}" if path else os.environ["PATH"],
        "HOME": str(folder),
        **environment,
    }
    lines = f"set -euo pipefail\n. {ROOT}/script/lib.sh\n{code}"
    return subprocess.run(
        ["bash", "-c", lines],
        cwd=folder,
        env=clean,
        capture_output=True,
        text=True,
        stdin=subprocess.DEVNULL,
        check=False,
    )


def command(folder: Path, name: str, body: str) -> None:
    folder.mkdir(exist_ok=True)
    (folder / name).write_text(f"#!/bin/bash\n{body}\n", encoding="utf-8")
    (folder / name).chmod(0o755)


@pytest.fixture
def bin_folder(tmp_path: Path) -> Path:
    (tmp_path / "bin").mkdir()
    return tmp_path / "bin"


@pytest.mark.parametrize("script", ["script/lib.sh", "script/start", "script/test", ".ci/run"])
def test_scripts_parse_and_are_executable(script: str):
    assert subprocess.run(["bash", "-n", ROOT / script], check=False).returncode == 0
    assert os.access(ROOT / script, os.X_OK) == (script != "script/lib.sh")


def test_help_names_every_option_and_an_unknown_one_ends_with_two():
    helped = subprocess.run([ROOT / "script/start", "--help"], capture_output=True, text=True, check=False)
    assert helped.returncode == 0
    assert "script/start --once" in helped.stdout
    wrong = subprocess.run([ROOT / "script/start", "--twice"], capture_output=True, text=True, check=False)
    assert (wrong.returncode, wrong.stdout) == (2, "")
    assert wrong.stderr == helped.stdout


def test_quietly_keeps_talk_in_the_log(tmp_path: Path):
    done = shell("make_folders; quietly 'Sawing ...' echo sawdust", tmp_path)
    assert (done.returncode, done.stdout, done.stderr) == (0, "Sawing ...\n", "")
    assert (tmp_path / "var/log/start.log").read_text() == "\n== Sawing ...\nsawdust\n"


def test_quietly_shows_only_what_failed_and_stops(tmp_path: Path):
    code = "make_folders; quietly 'One ...' echo fine; quietly 'Two ...' bash -c 'echo splinter; exit 3'; echo never"
    done = shell(code, tmp_path)
    assert (done.returncode, done.stdout) == (1, "One ...\nTwo ...\n")
    assert done.stderr == "    splinter\n\nThis did not work: Two ...\n  The whole story is in var/log/start.log\n"


def test_folders_are_for_their_owner_alone(tmp_path: Path):
    assert shell("make_folders", tmp_path).returncode == 0
    assert [(tmp_path / f"var/{name}").stat().st_mode & 0o777 for name in ("private", "log")] == [0o700, 0o700]


def test_an_old_python_is_passed_over_and_none_is_told_plainly(tmp_path: Path, bin_folder: Path):
    for name in ("python3", "python3.14", "python3.13", "python3.12", "python3.11"):
        command(bin_folder, name, "exit 1")
    done = shell("find_python; echo $python", tmp_path, str(bin_folder))
    assert done.returncode == 1
    assert "Shutline needs Python 3.11 or newer" in done.stderr
    assert "sudo apt-get install python3 python3-venv" in done.stderr
    command(bin_folder, "python3.12", "exit 0")
    assert shell("find_python; echo $python", tmp_path, str(bin_folder)).stdout == "python3.12\n"
    command(bin_folder, "mine", "exit 0")
    assert shell("find_python; echo $python", tmp_path, str(bin_folder), PYTHON="mine").stdout == "mine\n"


def test_only_missing_packages_are_installed_after_an_update(tmp_path: Path, bin_folder: Path):
    command(
        bin_folder,
        "dpkg-query",
        'case "$*" in *libhave*) printf installed;; *libhalf*) printf config-files;; *) exit 1;; esac',
    )
    command(bin_folder, "apt-get", 'echo "$*" >>said')
    command(bin_folder, "id", "echo 0")
    done = shell("make_folders; install_packages 'the saw' libhave libhalf libnone", tmp_path, str(bin_folder))
    assert (done.returncode, done.stdout) == (0, "Installing the saw (system packages: libhalf libnone) ...\n")
    assert (tmp_path / "said").read_text().splitlines() == [
        "update -q",
        "install -y -q --no-install-recommends libhalf libnone",
    ]
    assert shell("install_packages 'the saw' libhave", tmp_path, str(bin_folder)).stdout == ""


def test_without_the_right_to_install_nothing_is_tried(tmp_path: Path, bin_folder: Path):
    command(bin_folder, "apt-get", "echo never >>said")
    command(bin_folder, "id", "echo 1000")
    command(bin_folder, "sudo", "exit 1")
    assert shell("install_packages 'the saw' libnone", tmp_path, str(bin_folder)).returncode == 1
    assert not (tmp_path / "said").exists()


def test_missing_pango_names_the_line_for_each_system(tmp_path: Path, bin_folder: Path):
    command(bin_folder, "thepython", "exit 1")
    command(bin_folder, "id", "echo 1000")
    command(bin_folder, "sudo", "exit 1")
    done = shell("python=thepython; check_pango; echo never", tmp_path, str(bin_folder))
    assert (done.returncode, done.stdout) == (1, "")
    assert "sudo apt-get install libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0" in done.stderr
    assert "sudo dnf install pango" in done.stderr
    assert "brew install pango" in done.stderr


def test_requirements_are_installed_again_only_after_a_change(tmp_path: Path):
    command(tmp_path / "bin", "python", '[ "$1" = -VV ] && echo Python || echo "$*" >>said')
    (tmp_path / ".venv").mkdir()
    (tmp_path / "requirements.txt").write_text("a==1\n", encoding="utf-8")
    code = (
        f"make_folders; venv_python={tmp_path}/bin/python; install_requirements 'Once ...' s.stamp requirements.txt"
    )
    install = "-m pip install --disable-pip-version-check --no-input -r requirements.txt"
    talk = [shell(code, tmp_path).stdout for _ in range(2)]
    assert talk == ["Once ...\n", ""]
    (tmp_path / "requirements.txt").write_text("a==2\n", encoding="utf-8")
    assert shell(code, tmp_path).stdout == "Once ...\n"
    log = (tmp_path / "said").read_text().splitlines()
    assert log == [install, install]


def test_a_failed_install_is_tried_again(tmp_path: Path):
    command(tmp_path / "bin", "python", '[ "$1" = -VV ] && echo Python || exit 1')
    (tmp_path / ".venv").mkdir()
    (tmp_path / "requirements.txt").write_text("a==1\n", encoding="utf-8")
    code = (
        f"make_folders; venv_python={tmp_path}/bin/python; install_requirements 'Once ...' s.stamp requirements.txt"
    )
    assert [shell(code, tmp_path).returncode for _ in range(2)] == [1, 1]
    assert not (tmp_path / ".venv/s.stamp").exists()


def test_no_registry_address_is_pinned():
    for name in ("requirements.txt", "requirements-test.txt"):
        lines = (ROOT / name).read_text(encoding="utf-8").splitlines()
        pins = [line for line in lines if line and not line.startswith(("#", "-r "))]
        assert pins
        assert all("==" in pin and "/" not in pin and not pin.startswith("-") for pin in pins), name
