"""A planted code is searched for in every byte the program makes. It is in none of them, but for the one page that
shows it to somebody who has just given a second factor."""

from __future__ import annotations

import base64
import datetime as dt
import io
import logging
import sqlite3
import subprocess
import time
from itertools import product

import pytest
from allauth.mfa.models import Authenticator
from django.apps import apps
from django.conf import settings
from django.core import serializers
from django.db import connection
from django.db.models.signals import post_save
from django.test import Client as Browser
from django.urls import reverse
from weasyprint import HTML

from aftercare.demo.codes import DEMO_PLACE
from aftercare.demo.story import tell
from jobs.domain.codes import delete_code, keep_code, reveal_code
from jobs.domain.feeds import make_feed
from jobs.domain.links import exchange_link, make_link
from jobs.domain.sign_in import add_wall_screen
from jobs.models import AccessCode, CodeKind, Commission, DaybookLine, Message, RevealLog, Role, Workshop
from jobs.roles import URLS, May
from jobs.sweep import sweep
from tests.addresses import addresses
from tests.factories import make_commission, make_maker, make_workshop
from tests.needle import holds

PLANTED, PLACE = "Zq4821#Xw7", "third fern by the sundial"

pytestmark = pytest.mark.django_db


def test_the_search_finds_what_is_there():
    """The search itself, against a mail, a page, a PDF and a dump that do hold the text."""
    for made in (
        f"code {PLANTED}",
        PLANTED.encode("utf-16-le"),
        PLANTED.encode().hex(),
        b"xx" + base64.b64encode(f"ab{PLANTED}cd".encode()),
        b"Subject: x\nContent-Transfer-Encoding: base64\n\n" + base64.encodebytes(f"the {PLANTED}".encode() * 9),
    ):
        assert holds(made, PLANTED), made
    assert not holds("Zq4821 Xw7", PLANTED)


def pdf_text(made: bytes) -> str:
    return subprocess.run(["pdftotext", "-", "-"], input=made, capture_output=True, check=True).stdout.decode()


def test_the_reading_of_a_pdf_finds_what_is_there():
    assert PLANTED in pdf_text(HTML(string=f"<p>{PLANTED}</p>").write_pdf())


def plant(sender, instance, created, **kwargs):
    workshop = Workshop.objects.first()
    if created and workshop is not None:
        for opens in ("key_safe", "alarm"):
            keep_code(
                commission=instance,
                opens=opens,
                code=PLANTED,
                place=PLACE,
                workshop=workshop,
                now=dt.datetime.combine(instance.opened_on, dt.time(9), dt.UTC),
                actor=None,
            )


@pytest.fixture
def logged():
    """Everything the program logs, the database's own statements with their values among it."""
    said, database = io.StringIO(), logging.getLogger("django.db.backends")
    handler = logging.StreamHandler(said)
    logging.getLogger().addHandler(handler)
    level = database.level
    database.setLevel(logging.DEBUG)
    connection.force_debug_cursor = True
    yield said
    connection.force_debug_cursor = False
    database.setLevel(level)
    logging.getLogger().removeHandler(handler)


@pytest.fixture
def story(tmp_path, settings, logged):
    """The demo's whole story with codes planted in every commission the moment it is opened."""
    settings.MEDIA_ROOT = tmp_path / "media"
    settings.EMAIL_BACKEND, settings.OUTBOX_DIR = "jobs.outbox.OutboxBackend", tmp_path / "outbox"
    post_save.connect(plant, sender=Commission)
    said = []
    try:
        tell(dt.datetime.now(dt.UTC), tmp_path / "out", said.append, None)
        yield said
    finally:
        post_save.disconnect(plant, sender=Commission)


def browsers(commission: Commission) -> dict[str, Browser]:
    """Every kind of visitor, the client of `commission` among them."""
    found = {"nobody": Browser(), "wall": Browser()}
    for role in (Role.MAKER, Role.HELPER):
        found[role.value] = Browser()
        person = make_maker(role=role, may_see_codes=True, email=f"{role.value}@example.org")
        found[role.value].force_login(person)
    now = dt.datetime.now(dt.UTC)
    _, token = make_link(commission=commission, now=now, actor=None)
    session = exchange_link(token=token, now=now)
    assert session is not None
    found["client"] = Browser()
    found["client"].cookies[settings.CLIENT_COOKIE_NAME] = session[1]
    _, code = add_wall_screen(name="Bench", now=now, actor=None)
    found["wall"].post(reverse("pair_wall_screen"), {"code": code})
    return found


# The office opens what a maker opens; what a role may not open is refused before anything is looked up (test_roles).
OPENS = {
    "nobody": {May.ANYONE},
    "client": {May.ANYONE},
    "wall": {May.BOARD, May.TICK},
    "helper": {May.BOARD, May.TICK, May.SITE, May.CODES},
    "maker": set(May),
}


def pages(numbers: list[int], uuid: object) -> list[tuple[str, bytes]]:
    """Every address of the program, for one commission after another, as each kind of visitor that may open it."""
    made, asked = [], set()
    first = Commission.objects.get(number=numbers[0])
    _, token = make_feed(now=dt.datetime.now(dt.UTC), actor=None, person=first.maker)
    visitors = browsers(first)
    for number, who in product(numbers, visitors):
        for pk in (Commission.objects.get(number=number).pk, 1):
            for name, address in addresses(number=number, pk=pk, uuid=uuid, token=token).items():
                if URLS[name] not in OPENS[who] or (who, address) in asked:
                    continue
                asked.add((who, address))
                answer = visitors[who].get(address)
                body = b"".join(answer.streaming_content) if answer.streaming else answer.content
                made.append((f"{name} as {who}: {answer.status_code}", str(answer.headers).encode()))
                made.append((f"{name} as {who}: {answer.status_code}", body))
    return made


def everything_stored() -> list[tuple[str, bytes]]:
    """Every row of every table as the database has it, and the database file itself where there is one."""
    made = [
        (model._meta.label, serializers.serialize("json", model._base_manager.all()).encode())
        for model in apps.get_models(include_auto_created=True)
    ]
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            raw: sqlite3.Connection = cursor.connection
            made.append(("dump", "\n".join(raw.iterdump()).encode()))
            made.append(("file", raw.serialize()))
    return made


def everything_done_with_codes() -> None:
    """Shown, deleted, swept: each leaves its traces, which are searched as well."""
    workshop, maker = Workshop.objects.get(), make_maker(name="Ash Lowe", email="ash@example.org")
    now = dt.datetime.now(dt.UTC)
    # The demo keeps a code of its own, of a key safe: those of alarms are all ours.
    first, second = AccessCode.objects.filter(opens=CodeKind.ALARM).order_by("pk")[:2]
    shown = reveal_code(code=first, person=maker, second_factor_at=now, workshop=workshop, now=now)
    assert (shown.code, shown.place) == (PLANTED, PLACE)
    delete_code(code=second, now=now, actor=maker)
    sweep(now + dt.timedelta(days=1))
    assert RevealLog.objects.exists() and DaybookLine.objects.filter(act="reveal_code").exists()


def check_what_was_searched(made: list[tuple[str, bytes]]) -> None:
    """Every address as every visitor, the important ones open; mails as they left."""
    names = {name for name, _ in made}
    assert {name.partition(" as ")[0] for name in names if " as " in name} == set(addresses())
    assert {name.partition(" as ")[2].partition(":")[0] for name in names if " as " in name} == set(OPENS)
    opened = {name.partition(" as ")[0] for name in names if name.endswith("as maker: 200")}
    assert {"commission", "job_board", "client", "codes", "messages", "workshop"} <= opened
    assert {
        "feed as nobody: 200",
        "client_page as client: 200",
        "job_board as wall: 200",
        "site_day as helper: 200",
    } <= names
    assert sum(name.endswith(".eml") for name in names) >= 2


@pytest.mark.timeout(
    900
)  # the whole story, 700 pages and 21 documents: some 30 s of processor, minutes on a busy machine
def test_the_planted_code_is_nowhere(story, tmp_path, logged):
    assert AccessCode.objects.count() >= 12
    live = list(Commission.objects.filter(closed_on__isnull=True).order_by("-pk").values_list("number", flat=True))
    code = AccessCode.objects.filter(commission__number=live[0]).first()
    made = pages([live[0], Commission.objects.order_by("pk")[0].number], code.pk)
    everything_done_with_codes()
    made += [(str(path), path.read_bytes()) for path in tmp_path.rglob("*") if path.is_file()]
    made += everything_stored()
    made += [("log", logged.getvalue().encode()), ("said", "\n".join(story).encode())]
    made += [("python", repr([vars(one) for one in AccessCode.objects.all()]).encode())]
    pdfs = [body for _, body in made if body.startswith(b"%PDF")]
    made += [("text of a PDF", pdf_text(body).encode()) for body in pdfs]
    check_what_was_searched(made)
    assert pdfs and Message.objects.exists() and "INSERT INTO" in logged.getvalue()
    for body, name in {body: name for name, body in made}.items():
        assert holds(body, PLANTED, PLACE, DEMO_PLACE) == [], name


def test_the_one_page_that_shows_it_is_found_by_the_same_search():
    maker = make_maker()
    workshop = make_workshop()
    now = dt.datetime.now(dt.UTC)
    kept = keep_code(
        commission=make_commission(maker=maker), opens="gate", code=PLANTED, place=PLACE, workshop=workshop, now=now,
        actor=None,
    )  # fmt: skip
    factor = Authenticator.objects.create(user=maker, type=Authenticator.Type.TOTP, data={})
    browser = Browser()
    browser.force_login(maker)
    session = browser.session
    session["account_authentication_methods"] = [
        {"method": "mfa", "type": "totp", "id": factor.pk, "at": time.time()}
    ]
    session["account_authentication_methods_user"] = str(maker.pk)
    session.save()
    answer = browser.post(reverse("reveal_code", args=[kept.pk]))
    assert answer.status_code == 200 and holds(answer.content, PLANTED, PLACE) == [PLANTED, PLACE]


def test_only_two_addresses_ask_for_codes():
    assert {name for name, ability in URLS.items() if ability == May.CODES} == {"codes", "reveal_code"}
