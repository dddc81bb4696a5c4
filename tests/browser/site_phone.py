"""A telephone for the browser tests: Chromium with a folder of its own, so that it can be killed and opened again."""

from __future__ import annotations

import gzip
import os
import shutil

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

from tests.factories import PASSWORD

CHROMIUM = os.environ.get("CHROMIUM") or shutil.which("chromium")
ARGUMENTS = ["--no-sandbox", "--disable-gpu", "--disable-background-networking"]
AXE_RULES = {"runOnly": ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa", "best-practice"]}
# What Chromium itself says when the network is cut, which is the point of the test.
MEANT = (
    "Failed to load resource: net::ERR_INTERNET_DISCONNECTED",
    "Failed to load resource: net::ERR_FAILED",
    "Failed to load resource: the server responded with a status of 503",  # "not made ready", by our own worker
)


class Telephone:
    """One phone over several lives; what its browser complains of is kept through all of them."""

    def __init__(self, playwright, folder, url, *, width=390, more=(), **options):
        self.playwright, self.folder, self.url = playwright, str(folder), url
        self.arguments = [*ARGUMENTS, *more]
        self.options = {"viewport": {"width": width, "height": 844}, "has_touch": True, **options}
        self.complaints: list[str] = []
        self.open()

    def open(self):
        self.context = self.playwright.chromium.launch_persistent_context(
            self.folder, executable_path=CHROMIUM, args=self.arguments, **self.options
        )
        self.page = self.context.pages[0] if self.context.pages else self.context.new_page()
        self.page.on("console", self._said)
        self.page.on("pageerror", lambda error: self.complaints.append(str(error)))

    def _said(self, said):
        if said.type in ("error", "warning") and not said.text.startswith(MEANT):
            self.complaints.append(said.text)

    def close(self):
        self.context.close()

    def sign_in(self, person):
        self.page.goto(f"{self.url}/account/login/")
        self.page.fill("[name=login]", person.email)
        self.page.fill("[name=password]", PASSWORD)
        self.page.get_by_role("button", name="Sign in", exact=True).click()
        self.page.wait_for_load_state()

    def go(self, path):
        self.page.goto(self.url + path)
        self.page.wait_for_selector("[data-site][data-awake]")

    def make_ready(self):
        self.page.get_by_role("button", name="Make ready without signal").click()
        self.page.wait_for_selector("text=/Ready without signal, \\d\\d:\\d\\d/")

    def cut(self):
        self.context.set_offline(True)

    def mend(self):
        self.context.set_offline(False)

    def told(self):
        """What stands in the phone's own list, newest first."""
        return [" ".join(one.split()) for one in self.page.locator("[data-told] li").all_inner_texts()]

    def wait_until_sent(self, timeout_ms=20_000):
        waiting = self.page.locator("[data-told] [data-state=kept], [data-told] [data-state=sending]")
        expect(waiting).to_have_count(0, timeout=timeout_ms)

    def look(self):
        """axe and the width, at the window as it is."""
        overflow = self.page.evaluate("document.documentElement.scrollWidth - innerWidth")
        found = Axe().run(self.page, options=AXE_RULES).response["violations"]
        faults = [(one["id"], [node["html"] for node in one["nodes"]]) for one in found]
        return faults + ([("wider than the window", overflow)] if overflow > 0 else [])


def compressed_bytes(answers):
    """What the answers weigh as the running program sends them: gzip, level 6 as zlib's default."""
    return {url: len(gzip.compress(body, 6)) for url, body in answers.items()}
