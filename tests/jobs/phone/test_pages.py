"""The phone's pages: rendered by the server, usable without scripts, and never with a code or money on them."""

from __future__ import annotations

import datetime as dt
import gzip
import json
import re
from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test import Client as Browser
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from jobs.models import Person, Piece, Role, SiteAct, Snag, StagePayment, Step, StepKind, Visit, VisitKind
from jobs.phone.shell import shell
from tests.factories import make_commission, make_maker, make_workshop
from tests.jobs.phone.cast import BEHIND, Phone, jpeg, site_cast
from tests.jobs.site_cast import make_pieces, make_room
from tests.jobs.views.cast import signed_in

PAGES = ("site_today", "site_acts")
# Queries of a page with session and sign-in, whatever the number of pieces, acts, snags and visits.
QUERIES = {"site_today": 6, "site_acts": 5, "site_phone": 28}


@pytest.fixture
def cast(db, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    return site_cast()


def visit_today(commission, maker, hours=1, kind=VisitKind.FITTING):
    start = timezone.now().replace(minute=0, second=0, microsecond=0) + dt.timedelta(minutes=hours)
    return Visit.objects.create(
        commission=commission, kind=kind, person=maker, starts_at=start, ends_at=start + dt.timedelta(minutes=30),
        changed_at=timezone.now(),
    )  # fmt: skip


def form(phone, act, **fields):
    address = reverse("site_form", args=[phone.commission.number])
    return phone.browser.post(address, {"act": act, "key": str(uuid4()), **fields}, follow=True)


def test_the_day_lists_its_visits_and_the_other_commissions(cast):
    _, maker, commission, phone = cast
    other = make_commission(maker=maker, nickname="Quarry Row")
    visit_today(commission, maker)
    page = phone.browser.get(reverse("site_today")).content.decode()
    assert f'data-pack="/site/ /site/{commission.number}/"' in page
    assert "Quarry Row" in page and reverse("site_phone", args=[other.number]) in page
    assert "Look at the code before you leave signal" in page


def test_the_page_of_a_commission_has_every_part(cast):
    _, _, commission, phone = cast
    answer = phone.browser.get(reverse("site_phone", args=[commission.number]))
    page = answer.content.decode()
    for part in ("Pieces", "Hours", "Steps", "Snags", "Photographs", "Light", "The sheet", "Begin: Load"):
        assert part in page, part
    assert "camera=(self)" in answer["Permissions-Policy"]
    assert "camera=()" in phone.browser.get(reverse("site_today"))["Permissions-Policy"]
    assert phone.browser.get(reverse("site_phone", args=[99999])).status_code == 404


def test_money_is_never_on_the_phone(cast):
    _, _, commission, phone = cast
    StagePayment.objects.create(commission=commission, event="deposit", amount_pence=123_456)
    page = phone.browser.get(reverse("site_phone", args=[commission.number])).content.decode()
    assert "£" not in page and "1,234" not in page and "1234.56" not in page


def test_every_act_works_without_scripts(cast):
    _, _, commission, phone = cast
    load = Step.objects.get(commission=commission, kind=StepKind.LOAD)
    piece, room = commission.pieces.first(), commission.rooms.get()
    said = [
        form(phone, f"start_step?step={load.pk}"),
        form(phone, f"tick_piece?piece={piece.pk}&stage=loaded&present=1"),
        form(phone, "tick_piece?present=1", label="P2", stage="loaded"),
        form(phone, "start_timer?kind=load"),
        form(phone, "note_snag", place="Door 3", words="rubs", picture=SimpleUploadedFile("a.jpg", jpeg())),
        form(phone, "add_photograph", purpose="work", picture=SimpleUploadedFile("b.jpg", jpeg())),
        form(phone, f"note_light?room={room.pk}"),
        form(phone, f"finish_step?step={load.pk}"),
    ]
    for answer, words in zip(
        said,
        [
            "begun",
            "in the van",
            "in the van",
            "Timer begun",
            "Snag noted",
            "Photograph added",
            "Light noted",
            "finished",
        ],
        strict=True,
    ):
        assert words in answer.content.decode()
    assert SiteAct.objects.filter(outcome="done").count() == 8
    assert Snag.objects.get().photograph is not None
    assert Piece.objects.filter(loaded_at__isnull=False).count() == 2


def test_a_form_sent_twice_acts_once_and_bad_ones_say_why(cast):
    _, _, _, phone = cast
    key = str(uuid4())
    for _ in range(2):
        form(phone, "note_snag", place="Door", words="rubs", key=key)
    assert Snag.objects.count() == 1
    assert "another act" in form(phone, "note_snag", place="Plinth", words="gap", key=key).content.decode()
    assert "no act of this kind" in form(phone, "sell_van").content.decode()
    assert "UUID" in form(phone, "stop_timer", key="x").content.decode()
    assert "fill it in" in form(phone, "note_snag", place="", words="x").content.decode()
    no_picture = SimpleUploadedFile("a.jpg", b"no picture at all")
    assert "Not done" in form(phone, "add_photograph", purpose="work", picture=no_picture).content.decode()
    assert phone.browser.get(reverse("site_form", args=[phone.commission.number])).status_code == 404


def test_the_probe_says_who_is_signed_in_and_gives_a_token_that_works(cast):
    _, maker, _, phone = cast
    strict = Browser(enforce_csrf_checks=True)
    strict.force_login(maker)
    told = strict.get(reverse("site_probe")).json()
    assert (told["person"], told["name"]) == (maker.pk, maker.name)
    body = json.dumps({"device": "p", "person": maker.pk, "acts": [phone.act("stop_timer")]})
    address = reverse("site_acts")
    assert strict.post(address, body, content_type="application/json").status_code == 403
    with_token = strict.post(address, body, content_type="application/json", headers={"X-CSRFToken": told["token"]})
    assert with_token.status_code == 200


def test_signed_out_and_by_role(cast):
    _, _, commission, _phone = cast
    stranger = Browser()
    for address in (reverse("site_acts"), reverse("site_probe"), reverse("site_phone", args=[commission.number])):
        assert stranger.get(address).status_code == 302
    assert stranger.post(reverse("site_acts"), "{}", content_type="application/json").status_code == 302
    assert stranger.put(reverse("site_photograph", args=[uuid4(), 0]), b"x").status_code == 302
    helper = Phone(make_maker(role=Role.HELPER), commission)
    [(outcome, _)] = helper.results(helper.act("note_snag", place="Door", words="rubs"))
    assert outcome == "done"
    refused = SiteAct.objects.create(
        key=uuid4(), person=helper.person, commission=commission, kind="stop_timer", outcome="refused",
        happened_at=timezone.now(), received_at=timezone.now(), sentence="no",
    )  # fmt: skip
    assert helper.browser.post(reverse("settle_site_act", args=[refused.pk])).status_code == 403
    assert "Seen to" not in helper.browser.get(reverse("site_acts")).content.decode()
    for name in PAGES:
        assert helper.browser.get(reverse(name)).status_code == 200


def test_the_number_of_queries_does_not_grow(cast):
    _workshop, maker, commission, phone = cast
    small = make_commission(maker=maker, done=BEHIND)
    make_pieces(small, maker, b"name,room,track,width_mm,height_mm,depth_mm\r\nPlinth,,carcasses,900,100,18")
    make_room(small)
    visit_today(small, maker)

    def count(name, *args):
        with CaptureQueriesContext(connection) as seen:
            assert phone.browser.get(reverse(name, args=args)).status_code == 200
        return len(seen)

    phone.results(phone.act("note_snag", place="Door", words="rubs"))
    first = {name: count(name) for name in PAGES} | {"site_phone": count("site_phone", small.number)}
    for number in range(2, 6):
        visit_today(make_commission(maker=maker), maker, hours=number)
    phone.results(*[phone.act("note_snag", place=f"Door {n}", words="rubs") for n in range(20)])
    second = {name: count(name) for name in PAGES} | {"site_phone": count("site_phone", commission.number)}
    assert first == QUERIES and second == QUERIES


def test_manifest_and_worker_are_open_and_hold_nothing_of_anybody(db):
    make_workshop(name="Secret Joinery")
    stranger = Browser()
    manifest = stranger.get(reverse("manifest"))
    facts = manifest.json()
    assert manifest["Content-Type"] == "application/manifest+json"
    assert (facts["start_url"], facts["scope"], facts["display"]) == ("/site/", "/site/", "standalone")
    assert {icon["sizes"] for icon in facts["icons"]} == {"192x192", "512x512"}
    worker = stranger.get(reverse("service_worker"))
    text = worker.content.decode()
    files, version = shell()
    assert worker["Content-Type"].startswith("text/javascript") and version in text
    assert json.loads(re.search(r"FILES = (\[.*?\]);", text)[1]) == list(files)
    assert all(name.startswith("/static/") for name in files)
    assert "Secret" not in text + manifest.content.decode()


def test_the_first_view_is_small(cast):
    """Page, styles and modules with gzip, as the design's budget has it: 100 kB without photographs."""
    from django.contrib.staticfiles import finders

    from jobs.phone.shell import shell_files

    _, _, commission, phone = cast
    page = phone.browser.get(reverse("site_phone", args=[commission.number])).content
    files = [finders.find(name) for name in shell_files()]
    assert all(files)
    sizes = [len(gzip.compress(page))]
    for name in files:
        with open(name, "rb") as file:
            sizes.append(len(gzip.compress(file.read())))
    print(f"first view: {sum(sizes)} bytes, of them the page {sizes[0]}")
    assert sum(sizes) <= 100_000


def test_the_navigation_names_it(db):
    make_workshop()
    person = make_maker()
    assert isinstance(person, Person)
    assert "On site" in signed_in(person).get("/").content.decode()
