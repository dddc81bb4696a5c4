"""The mailbox reader against a real IMAP server, Dovecot, on the loopback address; skipped visibly where absent."""

from __future__ import annotations

import grp
import imaplib
import os
import pwd
import shutil
import socket
import subprocess
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from jobs.invites.imap import FetchedMail, ImapSettings, MailboxOutcome, read_mailbox
from jobs.invites.replies import Reply, read_reply
from tests.jobs.invites import replies_as_sent as sent
from tests.jobs.invites.samples import BASE

DOVECOT = shutil.which("dovecot") or shutil.which("dovecot", path="/usr/sbin")

pytestmark = [
    pytest.mark.service,
    pytest.mark.skipif(DOVECOT is None, reason="Dovecot is not here: Debian's package dovecot-imapd"),
]

CONFIGURATION = """
protocols = imap
listen = 127.0.0.1
base_dir = {home}/run
log_path = {home}/log
ssl = no
disable_plaintext_auth = no
default_internal_user = {user}
default_login_user = {user}
default_internal_group = {group}
first_valid_uid = 1
mail_location = maildir:{home}/mail
service imap-login {{
  chroot =
  inet_listener imap {{
    port = {port}
  }}
  inet_listener imaps {{
    port = 0
  }}
}}
service anvil {{
  chroot =
}}
passdb {{
  driver = static
  args = password=secret
}}
userdb {{
  driver = static
  args = uid={uid} gid={gid} home={home}
}}
"""


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@pytest.fixture
def port() -> Iterator[int]:
    """A Dovecot of our own with one empty mailbox. Its folder has a short name: socket paths are limited."""
    # Dovecot refuses to read mail as root.
    owner = pwd.getpwnam("nobody") if os.getuid() == 0 else pwd.getpwuid(os.getuid())
    home = Path(tempfile.mkdtemp(prefix="dc", dir="/tmp"))
    os.chown(home, owner.pw_uid, owner.pw_gid)
    home.chmod(0o755)
    number = free_port()
    configuration = CONFIGURATION.format(
        home=home,
        port=number,
        uid=owner.pw_uid,
        gid=owner.pw_gid,
        user=owner.pw_name,
        group=grp.getgrgid(owner.pw_gid).gr_name,
    )
    (home / "dovecot.conf").write_text(configuration, encoding="ascii")
    server = subprocess.Popen([str(DOVECOT), "-F", "-c", str(home / "dovecot.conf")])
    try:
        _wait_for(number, home)
        yield number
    finally:
        server.terminate()
        server.wait(timeout=10)
        shutil.rmtree(home, ignore_errors=True)


def _group_name(gid: int) -> str:
    import grp

    return grp.getgrgid(gid).gr_name


def _wait_for(port: int, home: Path) -> None:
    for _ in range(100):
        with socket.socket() as probe:
            if probe.connect_ex(("127.0.0.1", port)) == 0:
                return
        time.sleep(0.05)
    log = home / "log"
    raise AssertionError(log.read_text() if log.exists() else "Dovecot did not start")


def put(port: int, *raws: bytes) -> None:
    with imaplib.IMAP4("127.0.0.1", port, timeout=60) as session:
        session.login("office", "secret")
        for raw in raws:
            assert session.append("INBOX", "", '"01-Sep-2026 11:00:30 +0100"', raw)[0] == "OK"


def settings_for(port: int, **changes: object) -> ImapSettings:
    base: dict[str, object] = {"host": "127.0.0.1", "username": "office", "password": "secret", "port": port}
    return ImapSettings(**(base | {"security": "none", "timeout_s": 5.0} | changes))  # type: ignore[arg-type]


def test_replies_are_read_once_and_marked(port: int) -> None:
    put(port, sent.first_program(), sent.third_program())
    found: list[object] = []

    def handle(mail: FetchedMail) -> None:
        found.append(read_reply(mail.raw, organiser_base=BASE, arrived_at=mail.arrived_at))

    first, second = read_mailbox(settings_for(port), handle), read_mailbox(settings_for(port), handle)
    assert (first, second) == (MailboxOutcome(handled=2), MailboxOutcome())
    assert [
        (reply.attendance, reply.envelope.arrived_at.isoformat()) for reply in found if isinstance(reply, Reply)
    ] == [
        ("ACCEPTED", "2026-09-01T10:00:30+00:00"),
        ("DECLINED", "2026-09-01T10:00:30+00:00"),
    ]


def test_a_mail_whose_handling_failed_comes_again(port: int) -> None:
    put(port, sent.first_program())

    def fail(mail: FetchedMail) -> None:
        raise RuntimeError

    got: list[FetchedMail] = []
    failed, again = read_mailbox(settings_for(port), fail), read_mailbox(settings_for(port), got.append)
    assert (failed.handled, len(failed.failed_uids), again.handled) == (0, 1, 1)
    assert got[0].raw == sent.first_program()


def test_a_large_mail_gives_its_header_only(port: int) -> None:
    put(port, sent.first_program())
    got: list[FetchedMail] = []
    read_mailbox(settings_for(port, size_limit_bytes=100), got.append)
    assert (got[0].whole, b"Message-ID: <reply.1@example.org>" in got[0].raw, b"--b" in got[0].raw) == (
        False,
        True,
        False,
    )


def test_a_mailbox_that_is_not_there_is_told_in_a_sentence(port: int) -> None:
    outcome = read_mailbox(settings_for(port, mailbox='No "such" box'), lambda mail: None)
    assert outcome.fault is not None and "check the user name, the password and the mailbox" in outcome.fault
