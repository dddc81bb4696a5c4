"""Reading an issued pack back, byte for byte."""

from __future__ import annotations

import hashlib

from aftercare.models import IssuedPack


class PackDamaged(RuntimeError):
    """The file is gone or is not the one that was issued."""


def stored_bytes(pack: IssuedPack) -> bytes:
    """The PDF as it was issued. Raises `PackDamaged`, saying which pack, rather than hand out another document."""
    which = f"revision {pack.revision} of the pack for commission {pack.handover.commission.number}"
    try:
        with pack.file.open("rb") as file:
            data: bytes = file.read()
    except FileNotFoundError as missing:
        raise PackDamaged(f"The file of {which} is missing: restore it from the backup.") from missing
    if hashlib.sha256(data).hexdigest() != pack.sha256:
        raise PackDamaged(f"The file of {which} has changed since it was issued: restore it from the backup.")
    return data
