"""A site day on a phone in Chromium, with the network cut at random places and the browser killed once.

Checked by brute force: what was tapped is counted in the database at the end.
"""

from __future__ import annotations

import json
import random
import re
from pathlib import Path

import pytest
from django.utils import timezone
from playwright.sync_api import sync_playwright

from jobs.models import HourEntry, Photograph, SiteAct, Snag, StepKind
from tests.browser.site_phone import CHROMIUM, Telephone
from tests.factories import make_maker
from tests.jobs.phone.cast import jpeg

SEED, CUTS, ACTS = 20261125, 20, 30

pytestmark = [
    pytest.mark.browser,
    pytest.mark.django_db(transaction=True),
    pytest.mark.skipif(CHROMIUM is None, reason="no Chromium here: set CHROMIUM to its path"),
]


@pytest.fixture
def telephone(cast, live_server, tmp_path):
    _, maker, commission, _ = cast
    with sync_playwright() as playwright:
        found = Telephone(playwright, tmp_path / "phone", live_server.url)
        found.sign_in(maker)
        found.go(f"/site/{commission.number}/")
        yield found
        found.close()


def thirty_acts(page, commission, picture):
    """Thirty taps of a day, in order: steps, timers, pieces by label and by button, snags, light."""

    def count(label):
        def tap():
            page.fill("#piece-label", label)
            page.get_by_role("button", name="Count it").click()

        return tap

    def press(words, within="main"):
        return lambda: page.locator(within).get_by_role("button", name=re.compile(words)).first.click()

    def snag(number):
        def tap():
            open_part("Note a snag")
            page.fill("#snag-place", f"Door {number}")
            page.fill("#snag-words", f"scratch {number}")
            if number == 1:
                page.set_input_files("#snag-picture", str(picture))
            page.get_by_role("button", name="Note the snag").click()

        return tap

    def open_part(words):
        page.locator("summary", has_text=words).evaluate("one => { one.parentElement.open = true }")

    bar, hours = "[data-bar-steps]", "[data-subject=timer]"
    counted = [count(f"P{number:02d}") for number in range(1, 20)]
    return [
        press("^Begin: Load", bar),
        press("^Load", hours),
        *counted[:8],
        press("^Finish: Load", bar),
        press("^Begin: ", bar),
        *counted[8:],
        snag(1),
        snag(2),
        snag(3),
        press("^The light is good now"),
        press("^Put right", "[data-subject^=snag]"),
        press("^Finish: ", bar),
        press("^Begin: ", bar),
    ]


def lose_answers(monkeypatch, chance):
    """Three acts in ten are recorded and their answer is lost on the way: the phone has to tell them again."""
    from jobs.views import phone

    record, lost = phone.record_act, []

    def record_and_lose(**asked):
        row = record(**asked)
        if chance.random() < 0.3:
            lost.append(row.key)
            raise ConnectionError("the answer is lost, for the test")
        return row

    monkeypatch.setattr(phone, "record_act", record_and_lose)
    return lost


def check_everything_once(telephone, commission, maker):
    told = telephone.told()
    assert len(told) == ACTS and all("Sent " in line for line in told), told
    assert SiteAct.objects.count() == ACTS
    refused = list(SiteAct.objects.exclude(outcome="done").values_list("kind", "outcome", "sentence"))
    assert refused == []
    assert commission.pieces.filter(in_room_at__isnull=False).count() == 19
    assert sorted(Snag.objects.values_list("words", flat=True)) == ["gap", "scratch 1", "scratch 2", "scratch 3"]
    assert Snag.objects.get(place="Plinth").done_at is not None
    photograph = Photograph.objects.get()
    assert Snag.objects.get(words="scratch 1").photograph == photograph
    assert max(photograph.width_px, photograph.height_px) == 1600
    assert HourEntry.objects.get().person == maker
    steps = commission.steps
    assert steps.get(kind=StepKind.LOAD).finished_at and steps.get(kind=StepKind.DELIVER).finished_at
    assert steps.get(kind=StepKind.FIT).started_at and not steps.get(kind=StepKind.FIT).finished_at
    assert commission.rooms.get().light_notes.count() == 1


def test_thirty_acts_cut_twenty_times_and_killed_once_happen_once(cast, telephone, tmp_path, monkeypatch):
    _, maker, commission, _ = cast
    Snag.objects.create(commission=commission, place="Plinth", words="gap", seen_on=timezone.now().date())
    picture = tmp_path / "scratch.jpg"
    picture.write_bytes(jpeg(2400, 1600))
    chance = random.Random(SEED)
    lost = lose_answers(monkeypatch, random.Random(SEED + 1))
    telephone.go(f"/site/{commission.number}/")
    telephone.make_ready()
    acts = thirty_acts(telephone.page, commission, picture)
    assert len(acts) == ACTS
    changes = sorted(chance.sample(range(1, ACTS), CUTS))
    killed_after = chance.choice(range(10, 20))
    cut = False
    for number, tap in enumerate(acts, start=1):
        tap()
        if number in changes:  # ten times out of signal and ten times back, in the middle of what is being sent
            telephone.page.wait_for_timeout(chance.choice([0, 5, 30, 120]))
            cut = not cut
            telephone.cut() if cut else telephone.mend()
        telephone.page.locator("[data-told] li").nth(number - 1).wait_for(state="attached")
        if number == killed_after:
            telephone.close()
            telephone.open()
            if cut:
                telephone.cut()
            telephone.go(f"/site/{commission.number}/")
            acts[number:] = thirty_acts(telephone.page, commission, picture)[number:]
    telephone.mend()
    telephone.page.evaluate("dispatchEvent(new Event('online'))")
    send_now = telephone.page.get_by_role("button", name="Send now")
    for _ in range(40):
        telephone.page.wait_for_timeout(150)
        if send_now.is_visible():
            send_now.click()
    telephone.wait_until_sent()
    assert lost, "no answer was lost: nothing was told twice"

    check_everything_once(telephone, commission, maker)
    assert telephone.complaints == []


def test_kept_words_export_and_a_page_out_of_signal(cast, telephone):
    _, _, commission, _ = cast
    page = telephone.page
    telephone.make_ready()
    kept = page.evaluate(
        "caches.open('site-day').then(day => day.keys()).then(all => all.map(one => new URL(one.url).pathname))"
    )
    assert sorted(kept) == sorted(["/site/", f"/site/{commission.number}/"])
    telephone.cut()
    telephone.go(f"/site/{commission.number}/")
    assert "Ready without signal" in page.inner_text("[data-ready]")
    page.fill("#piece-label", "P99")
    page.get_by_role("button", name="Count it").click()
    page.wait_for_selector("text=No piece of this commission has the label P99")
    page.fill("#piece-label", "p3")
    page.get_by_role("button", name="Count it").click()
    page.wait_for_selector("text=1 kept on this phone: no signal.")
    assert re.fullmatch(r"\d\d:\d\d P03 Carcass 3: in the room: Kept on this phone", telephone.told()[0])
    assert "saved" not in page.inner_text("main").lower()
    with page.expect_download() as download:
        page.get_by_role("button", name="Export what is unsent").click()
    told = json.loads(Path(download.value.path()).read_text(encoding="utf-8"))
    assert [(act["kind"], act["payload"]["label"]) for act in told["acts"]] == [("tick_piece", "P03")]
    # A page that was not made ready says so; a page outside the site day is never kept.
    page.goto(f"{telephone.url}/site/98765/")
    assert "not made ready on this phone" in page.content()
    telephone.go("/site/")
    assert "1 kept on this phone" in page.inner_text("[data-sum]")
    # An act that has waited for more than a day is said aloud.
    page.evaluate(AGE_IT)
    telephone.go("/site/")
    assert "waited for more than a day" in page.inner_text("[data-old]")
    telephone.mend()
    page.get_by_role("button", name="Send now").click()
    telephone.wait_until_sent()
    assert re.search(r"Sent \d\d:\d\d", telephone.told()[0])
    assert page.locator("[data-old]").is_hidden()
    assert commission.pieces.get(number=3).in_room_at is not None
    assert telephone.complaints == []


AGE_IT = """new Promise((done) => {
  const open = indexedDB.open("shutline-site");
  open.onsuccess = () => {
    const store = open.result.transaction("acts", "readwrite").objectStore("acts");
    store.getAll().onsuccess = (event) => {
      const act = event.target.result[0];
      act.happened_at = new Date(Date.now() - 25 * 3600 * 1000).toISOString();
      store.put(act).onsuccess = () => { open.result.close(); done(); };
    };
  };
})"""


def test_refused_acts_are_said_and_another_persons_wait(cast, telephone):
    _, _, commission, _ = cast
    page = telephone.page
    telephone.make_ready()
    commission.held_since = timezone.now().date()
    commission.save(update_fields=["held_since"])
    page.locator("[data-bar-steps]").get_by_role("button", name="Begin: Load").click()
    page.wait_for_selector("[data-told] [data-state=refused]")
    assert "▲ Not done" in telephone.told()[0] and "on hold" in telephone.told()[0]
    assert "1 not done" in page.inner_text("[data-sum]")
    telephone.cut()
    page.fill("#piece-label", "P05")
    page.get_by_role("button", name="Count it").click()
    page.wait_for_selector("text=1 kept on this phone")
    telephone.mend()
    telephone.context.clear_cookies()
    page.get_by_role("button", name="Send now").click()
    page.wait_for_selector("text=sign in again to send")
    telephone.sign_in(make_maker())
    telephone.go(f"/site/{commission.number}/")
    page.wait_for_selector("text=belong to somebody else")
    assert not commission.pieces.filter(in_room_at__isnull=False).exists()
    # Whoever signs out takes the pages of the day off the phone; what is unsent stays.
    page.get_by_role("button", name="Sign out").click()
    page.wait_for_url("**/account/login/**")
    assert page.evaluate("caches.has('site-day')") is False
    telephone.sign_in(cast[1])
    telephone.go("/site/")
    telephone.wait_until_sent()
    assert commission.pieces.get(number=5).in_room_at is not None
    assert telephone.complaints == []


def test_a_newer_version_waits_until_it_is_taken(cast, telephone, monkeypatch):
    from jobs.views import phone

    page = telephone.page
    telephone.make_ready()
    files, version = phone.shell()
    assert page.evaluate("caches.keys()") == [f"site-shell-{version}", "site-day"]
    monkeypatch.setattr(phone, "shell", lambda: (files, "another"))
    page.reload()
    page.get_by_role("button", name="Take it now").click()
    page.wait_for_event("load")
    page.wait_for_selector("[data-site][data-awake]")
    for _ in range(40):
        if sorted(page.evaluate("caches.keys()")) == ["site-day", "site-shell-another"]:
            break
        page.wait_for_timeout(100)
    assert sorted(page.evaluate("caches.keys()")) == ["site-day", "site-shell-another"]
    telephone.cut()
    telephone.go(f"/site/{cast[2].number}/")
    assert telephone.complaints == []
