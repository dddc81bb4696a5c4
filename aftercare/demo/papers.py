"""What the demo leaves on disk: the invite, the handover pack and a picture of the job board."""

from __future__ import annotations

import datetime as dt
import re
import shutil
import subprocess
import tempfile
from email import message_from_bytes, policy
from pathlib import Path

from django.conf import settings
from django.contrib.staticfiles import finders
from django.template.loader import render_to_string
from django.utils import timezone

from jobs.models import Message, Workshop
from jobs.queries.board import job_board

BROWSERS = ("chromium", "chromium-browser", "google-chrome")


def save_attachments(message: Message, out: Path) -> list[Path]:
    """The invite and the pack, taken out of the mail as it was written to the outbox."""
    name = re.sub(r"[^A-Za-z0-9-]+", "_", message.message_id.strip("<>"))[:120]
    mail = message_from_bytes((Path(settings.OUTBOX_DIR) / f"{name}.eml").read_bytes(), policy=policy.default)
    saved = []
    for part in mail.iter_attachments():
        target = out / (part.get_filename() or "paper")
        target.write_bytes(part.get_content())
        saved.append(target)
    return saved


def save_board(workshop: Workshop, now: dt.datetime, out: Path) -> Path:
    """The job board as PNG where Chromium is there, else as a page with its style inside."""
    page = out / "job-board.html"
    with timezone.override(workshop.tz):
        html = render_to_string(
            "jobs/board.html", {"board": job_board(workshop, now), "workshop": workshop, "now": now}
        )
    page.write_text(_with_styles_inside(html), encoding="utf-8")
    browser = next((found for name in BROWSERS if (found := shutil.which(name))), None)
    picture = out / "job-board.png"
    if browser and _photograph(browser, page, picture):
        page.unlink()
        return picture
    return page


def _with_styles_inside(html: str) -> str:
    def inside(link: re.Match[str]) -> str:
        found = finders.find(re.sub(r"\.[0-9a-f]{12}(?=\.css$)", "", link["path"]))
        return f"<style>{Path(str(found)).read_text(encoding='utf-8')}</style>" if found else ""

    html = re.sub(r'<link rel="stylesheet" href="/static/(?P<path>[^"]+)">', inside, html)
    return re.sub(r"<script[^>]*></script>", "", html)


def _photograph(browser: str, page: Path, picture: Path) -> bool:
    with tempfile.TemporaryDirectory() as profile:
        command = [
            browser, "--headless", "--no-sandbox", "--disable-gpu", "--disable-background-networking",
            "--hide-scrollbars", f"--user-data-dir={profile}", "--window-size=1920,1080",
            f"--screenshot={picture}", page.resolve().as_uri(),
        ]  # fmt: skip
        try:
            subprocess.run(command, capture_output=True, timeout=90, check=True)
        except (subprocess.SubprocessError, OSError):
            return False
    return picture.exists()
