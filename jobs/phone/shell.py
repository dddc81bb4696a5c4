"""What the phone keeps of the program itself, with a version that changes when any of it does."""

from __future__ import annotations

import hashlib
from functools import cache
from pathlib import Path

from django.conf import settings
from django.contrib.staticfiles import finders
from django.templatetags.static import static

STYLES = ("css/tokens.css", "css/page.css", "css/form.css", "css/site.css", "css/phone.css")
OTHERS = ("js/page.js", "img/mark.svg", "img/phone-192.png")


def shell_files() -> tuple[str, ...]:
    folder = Path(settings.BASE_DIR) / "static" / "js" / "site"
    return (*STYLES, *OTHERS, *(f"js/site/{path.name}" for path in sorted(folder.glob("*.js"))))


@cache
def shell() -> tuple[tuple[str, ...], str]:
    """Addresses of the files, and the version: 12 hexadecimal figures over addresses and contents."""
    urls, taken = [], hashlib.sha256()
    for name in shell_files():
        found = finders.find(name)
        urls.append(static(name))
        taken.update(urls[-1].encode())
        taken.update(Path(str(found)).read_bytes() if found else b"")
    return tuple(urls), taken.hexdigest()[:12]
