"""Labels for pieces: a QR code that leads to the piece's page, drawn as SVG."""

from __future__ import annotations

from urllib.parse import urlsplit

import segno
from django.conf import settings
from django.urls import reverse
from django.utils.safestring import SafeString, mark_safe

# Quiet zone of 4 modules and error correction M: ISO/IEC 18004, from memory. M survives a scratched label.
QUIET_MODULES = 4


def piece_url(pk: int) -> str:
    """The address in the code; opening it asks for a sign-in like every other page."""
    return f"{settings.PUBLIC_URL}{reverse('piece', args=[pk])}"


def leads_to_this_machine_only() -> bool:
    """Whether a telephone in the workshop could not follow the code, PUBLIC_URL being an address of this machine."""
    return (urlsplit(settings.PUBLIC_URL).hostname or "") in ("localhost", "127.0.0.1", "::1")


def qr_svg(text: str) -> SafeString:
    """An inline SVG without sizes of its own; made by us from figures alone, so it needs no escaping."""
    code = segno.make(text, error="m", micro=False)
    return mark_safe(code.svg_inline(border=QUIET_MODULES, omitsize=True, svgclass="qr", lineclass=None))
