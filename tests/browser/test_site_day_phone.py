"""The phone's pages in Chromium: axe, sizes, weight, no scripts, labels through the camera, light of a photograph."""

from __future__ import annotations

import datetime as dt

import pytest
from django.urls import reverse
from django.utils import timezone
from PIL import Image
from playwright.sync_api import sync_playwright

from jobs.models import Photograph, SiteAct
from tests.browser.site_phone import CHROMIUM, Telephone, compressed_bytes

pytestmark = [
    pytest.mark.browser,
    pytest.mark.django_db(transaction=True),
    pytest.mark.skipif(CHROMIUM is None, reason="no Chromium here: set CHROMIUM to its path"),
]


@pytest.mark.parametrize("width", [390, 320])
def test_axe_targets_and_weight(cast, live_server, tmp_path, width):
    _, maker, commission, phone = cast
    phone.results(phone.act("note_snag", place="Door 3", words="scratched"))
    with sync_playwright() as playwright:
        telephone = Telephone(playwright, tmp_path / "phone", live_server.url, width=width)
        telephone.sign_in(maker)
        answers = {}
        telephone.page.on("response", lambda one: answers.setdefault(one.url, one))
        telephone.go(f"/site/{commission.number}/")
        telephone.page.wait_for_timeout(300)
        bodies = {url: one.body() for url, one in answers.items() if one.ok and "/probe/" not in url}
        weights = compressed_bytes(bodies)
        print(f"first view at {width} px: {sum(weights.values())} bytes in {len(weights)} answers")
        assert sum(weights.values()) <= 100_000
        telephone.page.evaluate("document.querySelectorAll('details').forEach(one => { one.open = true })")
        assert telephone.look() == []
        assert telephone.page.evaluate(SMALL_TARGETS) == []
        main = telephone.page.locator("[data-bar-steps] button:visible").bounding_box()
        assert 56 <= main["height"] <= 64 and main["width"] >= width - 40
        for path in (reverse("site_today"), reverse("site_acts")):
            telephone.page.goto(live_server.url + path)
            telephone.page.wait_for_timeout(200)
            assert telephone.look() == [], path
        assert telephone.complaints == []
        telephone.close()


# Buttons, links of lists, fields: at least 44 px high (WCAG 2.2, 2.5.5).
SMALL_TARGETS = """[...document.querySelectorAll(
    "button, main .jumps a, main select, main summary, main input:not([type=hidden], [type=radio], [type=checkbox])"
  )]
  .filter(one => one.checkVisibility() && one.getBoundingClientRect().height < 44)
  .map(one => one.outerHTML.slice(0, 120))"""


def test_without_scripts_the_forms_do_it(cast, live_server, tmp_path):
    _, maker, commission, _ = cast
    with sync_playwright() as playwright:
        telephone = Telephone(playwright, tmp_path / "phone", live_server.url, java_script_enabled=False)
        telephone.sign_in(maker)
        page = telephone.page
        page.goto(f"{live_server.url}/site/{commission.number}/")
        page.fill("#piece-label", "P07")
        page.get_by_role("button", name="Count it").click()
        assert "P07 Carcass 7 is in the room." in page.content()
        page.locator("[data-bar-steps]").get_by_role("button", name="Begin: Load").click()
        assert "“Load” begun." in page.content()
        assert telephone.complaints == []
        telephone.close()


# Chromium on Linux reads no codes: this stands in for its detector, the camera is Chromium's own false one.
FALSE_DETECTOR = """globalThis.BarcodeDetector = class {
  async detect(video) {
    return video.readyState < 2 ? [] : [{ rawValue: globalThis.inThePicture }];
  }
};"""
FALSE_CAMERA = ["--use-fake-device-for-media-stream", "--use-fake-ui-for-media-stream"]


def test_labels_through_the_camera_and_light_from_a_photograph(cast, live_server, tmp_path):
    _, maker, commission, _ = cast
    piece = commission.pieces.get(number=12)
    taken = (timezone.now() - dt.timedelta(days=1)).replace(hour=12, minute=15, second=0, microsecond=0)
    with sync_playwright() as playwright:
        telephone = Telephone(playwright, tmp_path / "phone", live_server.url, more=FALSE_CAMERA)
        telephone.sign_in(maker)
        page = telephone.page
        page.add_init_script(FALSE_DETECTOR)
        telephone.go(f"/site/{commission.number}/")
        page.evaluate("address => { globalThis.inThePicture = address }", f"https://example.org/pieces/{piece.pk}/")
        page.get_by_role("button", name="Scan labels").click()
        page.wait_for_selector("text=in the room: Sent")
        page.wait_for_timeout(800)  # the label stays in the picture and is not counted again
        page.get_by_role("button", name="Stop scanning").click()
        page.locator("summary", has_text="From a photograph").click()
        page.set_input_files("#light-picture", str(with_camera_time(tmp_path, taken)))
        page.get_by_role("button", name="Note the hour of the photograph").click()
        page.wait_for_selector("text=/Light noted.*Sent/")
        telephone.wait_until_sent()
        assert telephone.complaints == []
        telephone.close()
    assert list(SiteAct.objects.order_by("pk").values_list("kind", "outcome")) == [
        ("tick_piece", "done"),
        ("note_light", "done"),
    ]
    piece.refresh_from_db()
    assert piece.in_room_at is not None
    note = commission.rooms.get().light_notes.get()
    assert (note.noted_at, note.source) == (taken, "photograph")
    assert not Photograph.objects.exists()


def with_camera_time(folder, taken):
    """A JPEG whose camera showed a clock an hour ahead of UTC; written by Pillow, an independent reader of EXIF."""
    path = folder / "light.jpg"
    picture = Image.new("RGB", (64, 48), "white")
    exif = picture.getexif()
    shown = taken + dt.timedelta(hours=1)
    exif.get_ifd(0x8769).update({0x9003: shown.strftime("%Y:%m:%d %H:%M:%S"), 0x9011: "+01:00"})
    picture.save(path, exif=exif)
    return path
