from __future__ import annotations

import os
import re
from collections.abc import Sequence
from pathlib import Path

from django.conf import settings
from django.core.mail import EmailMessage
from django.core.mail.backends.base import BaseEmailBackend


def outbox_path(message_id: str) -> Path:
    """The file of the mail with this Message-ID."""
    name = re.sub(r"[^A-Za-z0-9-]+", "_", message_id.strip("<>"))[:120]
    return Path(settings.OUTBOX_DIR) / f"{name}.eml"


def delete_from_outbox(message_id: str) -> None:
    """Take a mail's file away, if there is one."""
    path = outbox_path(message_id)
    for one in (path, path.with_suffix(".part")):
        one.unlink(missing_ok=True)


class OutboxBackend(BaseEmailBackend):
    """Writes each mail as an .eml file where no mail server is configured, so that nothing is lost or pretended."""

    def send_messages(self, email_messages: Sequence[EmailMessage]) -> int:
        folder = Path(settings.OUTBOX_DIR)
        folder.mkdir(parents=True, exist_ok=True)
        for mail in email_messages:
            message = mail.message()
            target = outbox_path(str(message["Message-ID"]))
            unfinished = target.with_suffix(".part")
            with unfinished.open("wb") as file:
                file.write(message.as_bytes(linesep="\r\n"))  # type: ignore[call-arg]
                file.flush()
                os.fsync(file.fileno())
            # The same Message-ID written again replaces itself: a replay does not look like a second mail.
            unfinished.replace(target)
        return len(email_messages)
