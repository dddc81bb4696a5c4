from __future__ import annotations

import base64
import socket
import stat
from pathlib import Path

import pytest
from cryptography.fernet import Fernet

from config import first_run


@pytest.fixture
def listener():
    """A program that listens on some port of 127.0.0.1."""
    with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        yield taken.getsockname()[1]


def test_private_file_holds_two_different_keys_that_their_users_accept(tmp_path: Path):
    path = tmp_path / "private" / "shutline.env"
    assert first_run.write_private_file(path, "http://localhost:8000")
    secret_key, field_key = (first_run.saved_value(path, name) for name in ("SECRET_KEY", "FIELD_KEYS"))
    # Checked by the library that will use it, not by our own reading of the format.
    assert Fernet(field_key).decrypt(Fernet(field_key).encrypt(b"1066")) == b"1066"
    assert len(base64.urlsafe_b64decode(secret_key + "==")) == 64
    assert secret_key != field_key
    assert first_run.saved_value(path, "PUBLIC_URL") == "http://localhost:8000"


def test_private_file_is_for_its_owner_alone(tmp_path: Path):
    path = tmp_path / "private" / "shutline.env"
    first_run.write_private_file(path, "http://localhost:8000")
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert stat.S_IMODE(path.parent.stat().st_mode) == 0o700


def test_private_file_is_written_once(tmp_path: Path):
    path = tmp_path / "private" / "shutline.env"
    first_run.write_private_file(path, "http://localhost:8000")
    before = path.read_bytes()
    assert not first_run.write_private_file(path, "http://localhost:9999")
    assert path.read_bytes() == before


def test_two_installations_never_share_keys():
    assert first_run.private_text("") != first_run.private_text("")


def test_a_taken_port_moves_up_and_says_so(listener: int):
    chosen = first_run.choose_address({"PORT": str(listener)}, "")
    assert chosen.port > listener
    assert chosen.note == "moved"
    assert chosen.url == f"http://localhost:{chosen.port}"


def test_a_free_port_is_kept(listener: int):
    port = first_run.free_port(listener)
    assert first_run.choose_address({}, f"http://localhost:{port}") == first_run.Address(
        port, f"http://localhost:{port}", "same"
    )


def test_an_address_behind_a_proxy_is_never_moved(listener: int):
    environment = {"PORT": str(listener), "PUBLIC_URL": "https://jobs.example.org"}
    with pytest.raises(ValueError, match=f"Port {listener} is taken"):
        first_run.choose_address(environment, "")
    port = first_run.free_port(listener)
    chosen = first_run.choose_address(environment | {"PORT": str(port)}, "http://localhost:8000")
    assert chosen == first_run.Address(port, "https://jobs.example.org", "same")


@pytest.mark.parametrize("text", ["80", "0", "70000", "eight", "8000.5", "-8000", "८०००"])
def test_a_port_that_is_none_is_named(text: str):
    with pytest.raises(ValueError, match=r"PORT is .*1024 to 65535"):
        first_run.choose_address({"PORT": text}, "")


def test_address_keeps_keys_given_by_the_environment(tmp_path: Path):
    environment = {"SHUTLINE_VAR": str(tmp_path), "SECRET_KEY": "s", "FIELD_KEYS": "f"}
    first_run.address(environment)
    assert not (tmp_path / "private").exists()
    line = first_run.address({"SHUTLINE_VAR": str(tmp_path)})
    saved = first_run.saved_value(tmp_path / "private" / "shutline.env", "PUBLIC_URL")
    assert line.split()[1] == saved


def test_saved_value_reads_quotes_and_export_and_nothing_else(tmp_path: Path):
    path = tmp_path / "x.env"
    path.write_text("# PUBLIC_URL=http://no\nexport PUBLIC_URL='https://yes.example.org'\n", encoding="utf-8")
    assert first_run.saved_value(path, "PUBLIC_URL") == "https://yes.example.org"
    assert first_run.saved_value(path, "URL") == ""
    assert first_run.saved_value(tmp_path / "none", "PUBLIC_URL") == ""
