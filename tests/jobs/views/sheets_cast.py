"""What the tests of the sheets share."""

from __future__ import annotations

import io

from django.test import Client as Browser
from PIL import Image

from jobs.models import Commission
from tests.factories import make_commission, make_maker, make_workshop

BACKEND = "allauth.account.auth_backends.AuthenticationBackend"


def a_commission(**fields) -> Commission:
    make_workshop()
    return make_commission(maker=make_maker(), **fields)


def signed_in(commission: Commission) -> Browser:
    browser = Browser()
    browser.force_login(commission.maker, backend=BACKEND)
    return browser


def picture_bytes(kind="JPEG", size=(64, 48), **options) -> bytes:
    out = io.BytesIO()
    Image.new("RGB", size, (180, 90, 40)).save(out, kind, **options)
    return out.getvalue()
