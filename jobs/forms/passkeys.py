from __future__ import annotations

from typing import Any

from allauth.mfa.webauthn.forms import AddWebAuthnForm


class PasskeyForm(AddWebAuthnForm):
    """The library's form in our words; a passkey signs in by itself unless somebody unticks that."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["name"].label = "Name of the device"
        tick = self.fields["passwordless"]
        tick.initial = True
        tick.label = "Signs in by itself, without the password"
        tick.help_text = "Leave it ticked, unless the device is an old security key without a number of its own."
