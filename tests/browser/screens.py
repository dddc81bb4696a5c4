"""Photograph every screen that can be reached by links, at wall, laptop and phone size, into var/screens/.

    .venv/bin/python -m tests.browser.screens [--dark] [--axe]

Makes a demo workshop in a folder of its own, serves it on loopback, signs in and follows every link, one page for
each named URL. At the end it names the URLs that no link leads to: a feature without a way to reach it is none.
"""

from __future__ import annotations

import argparse
import os
import re
import shutil
import socket
import subprocess
import sys
import tempfile
import time
from collections import Counter, deque
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import urljoin, urlsplit

from playwright.sync_api import Browser, Page, sync_playwright

ROOT = Path(__file__).resolve().parents[2]
SIZES = {"wall": (1920, 1080), "laptop": (1366, 768), "phone": (390, 844)}
ARGUMENTS = ["--no-sandbox", "--disable-gpu", "--disable-background-networking"]
EMAIL, PASSWORD = "maker@example.org", "plane-and-scraper-42"


@contextmanager
def demo_server() -> Iterator[str]:
    """A demo workshop served on a free port; yields its address."""
    with tempfile.TemporaryDirectory() as folder:
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            port = probe.getsockname()[1]
        env = os.environ | {
            "SHUTLINE_VAR": folder,
            "PUBLIC_URL": f"http://localhost:{port}",
            "SECRET_KEY": "screens-" + "9aZ_" * 20,
            "FIELD_KEYS": "c2NyZWVuc3NjcmVlbnNzY3JlZW5zc2NyZWVuc3NjcmU=",
        }
        for command in ("migrate -v0", "createcachetable", "collectstatic --no-input -v0", "demo"):
            subprocess.run([sys.executable, "manage.py", *command.split()], cwd=ROOT, env=env, check=True)
        subprocess.run([sys.executable, "manage.py", "shell", "-c", MAKE_LOGIN], cwd=ROOT, env=env, check=True)
        server = subprocess.Popen(
            [sys.executable, "-m", "gunicorn", "config.wsgi", "-b", f"127.0.0.1:{port}", "--threads", "4"],
            cwd=ROOT,
            env=env,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        try:
            wait_for(port)
            yield f"http://localhost:{port}"
        finally:
            server.terminate()
            server.wait(20)


MAKE_LOGIN = f"""
from jobs.models import Person
maker = Person.objects.filter(role="maker").order_by("pk").first()
maker.email = {EMAIL!r}
maker.set_password({PASSWORD!r})
maker.save()
"""


def wait_for(port: int) -> None:
    for _ in range(120):
        with socket.socket() as probe:
            if probe.connect_ex(("127.0.0.1", port)) == 0:
                return
        time.sleep(0.5)
    raise RuntimeError("the server did not start within a minute")


def name_of(path: str) -> str | None:
    """The URL name of a path, or None where it is none of ours."""
    from django.urls import Resolver404, resolve

    try:
        return resolve(path).view_name
    except Resolver404:
        return None


def every_name() -> set[str]:
    """The names of all URLs of jobs and aftercare that answer to GET without a token."""
    from aftercare.urls import urlpatterns as aftercare
    from jobs.urls import urlpatterns as jobs

    return {pattern.name for pattern in [*jobs, *aftercare] if getattr(pattern, "name", None)}


def sign_in(page: Page, base: str) -> None:
    page.goto(f"{base}/account/login/")
    page.fill("[name=login]", EMAIL)
    page.fill("[name=password]", PASSWORD)
    page.click("main form button >> nth=0")
    page.wait_for_load_state()


LOOKED_AT_EACH = 12  # pages of one name that are read for links; nine commissions of the demo differ


def walk(page: Page, base: str) -> dict[str, str]:
    """One path for each URL name that a link leads to, "" where only a button does; breadth first from the board."""
    found: dict[str, str] = {}
    looked: Counter[str] = Counter()
    waiting, seen = deque(["/"]), {"/"}
    while waiting:
        path = waiting.popleft()
        name = name_of(urlsplit(path).path)
        if name is None or looked[name] >= LOOKED_AT_EACH or "logout" in name:
            continue
        looked[name] += 1
        answer = page.request.get(base + path)
        is_page = answer.status == 200 and "text/html" in answer.headers.get("content-type", "")
        found[name] = found.get(name) or (path if is_page else "")
        if not is_page:
            continue
        text = answer.text()
        for action in re.findall(r'<form\b[^>]*\baction="([^"]+)"', text):
            found.setdefault(name_of(urlsplit(urljoin(base + path, action)).path) or "", "")
        for link in re.findall(r'<a\b[^>]*\bhref="([^"]+)"', text):
            target = urlsplit(urljoin(base + path, link.replace("&amp;", "&")))
            whole = target.path + (f"?{target.query}" if target.query else "")
            if target.netloc == urlsplit(base).netloc and whole not in seen:
                seen.add(whole)
                waiting.append(whole)
    return found


def photograph(browser: Browser, base: str, found: dict[str, str], out: Path, dark: bool) -> list[str]:
    """Every page at every size. Returns sentences on what is wrong: sideways scroll, console errors."""
    wrong: list[str] = []
    for size, (width, height) in SIZES.items():
        page = browser.new_page(viewport={"width": width, "height": height}, color_scheme="dark" if dark else "light")
        said: list[str] = []
        page.on("console", lambda message, said=said: said.append(message.text) if message.type == "error" else None)
        sign_in(page, base)
        said.clear()
        for name, path in sorted(found.items()):
            if not path:
                continue
            page.goto(base + path)
            over = page.evaluate("document.documentElement.scrollWidth") - width
            if over > 0:
                wrong.append(f"{name} at {size} size scrolls sideways by {over} px")
            page.screenshot(path=str(out / f"{name}-{size}.png"), full_page=size != "wall")
            wrong += [f"{name} at {size} size, console: {text}" for text in said]
            said.clear()
        page.close()
    return wrong


def axe_faults(browser: Browser, base: str, found: dict[str, str]) -> list[str]:
    """What axe finds on each page at WCAG 2.2 AA."""
    from axe_playwright_python.sync_playwright import Axe

    page = browser.new_page(viewport={"width": 390, "height": 844})
    sign_in(page, base)
    wrong = []
    for name, path in sorted(found.items()):
        if not path:
            continue
        page.goto(base + path)
        options = {"runOnly": {"type": "tag", "values": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]}}
        for fault in Axe().run(page, options=options).response["violations"]:
            places = "; ".join(node["html"][:100] for node in fault["nodes"][:3])
            wrong.append(f"{name}: {fault['id']}, {fault['help']}: {places}")
    page.close()
    return wrong


def main() -> int:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--dark", action="store_true")
    options.add_argument("--axe", action="store_true")
    options.add_argument("--out", default=str(ROOT / "var" / "screens"))
    chosen = options.parse_args()
    out = Path(chosen.out)
    shutil.rmtree(out, ignore_errors=True)
    out.mkdir(parents=True)
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
    os.environ.setdefault("SECRET_KEY", "only-to-read-the-urls" + "x" * 40)
    os.environ.setdefault("FIELD_KEYS", "c2NyZWVuc3NjcmVlbnNzY3JlZW5zc2NyZWVuc3NjcmU=")
    import django

    django.setup()
    with demo_server() as base, sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path="/usr/bin/chromium", args=ARGUMENTS)
        page = browser.new_page()
        sign_in(page, base)
        found = walk(page, base)
        wrong = photograph(browser, base, found, out, chosen.dark)
        if chosen.axe:
            wrong += axe_faults(browser, base, found)
        browser.close()
    pages = sum(bool(path) for path in found.values())
    print(f"{pages} pages at {len(SIZES)} sizes in {out}")
    for sentence in wrong:
        print("WRONG", sentence)
    for name in sorted(every_name() - set(found)):
        print("no link leads to", name)
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
