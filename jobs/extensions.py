"""What the jobs app puts into its own registries; called once from `JobsConfig.ready()`."""

from __future__ import annotations

from jobs.invites import visit_mail
from jobs.registries import MessageKind, message_kinds


def register() -> None:
    message_kinds.add("visit_invite", MessageKind("Invite to a visit", visit_mail.compose_invite))
    message_kinds.add("visit_cancel", MessageKind("A visit does not take place", visit_mail.compose_cancel))
