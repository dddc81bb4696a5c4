"""The client's own page through a real browser client, checked against the rules of the reference on client links
(OWASP ASVS 5.0 as quoted there) and of the screens: reading writes nothing, every other visitor is refused."""

from __future__ import annotations

import datetime as dt
import re

import pytest
from django.conf import settings
from django.db import connection
from django.test import Client as Browser
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from jobs.domain.clients import add_client_away, arrange_access
from jobs.domain.links import exchange_link, make_link, revoke_link
from jobs.domain.slot_offers import offer_slot
from jobs.domain.visits import book_visit
from jobs.models import (
    AccessArrangement,
    ClientAway,
    ClientDecision,
    ClientLink,
    ClientSession,
    Declaration,
    LinkScope,
    Message,
    Room,
    SlotOffer,
    Survey,
    Visit,
)
from tests.addresses import addresses
from tests.factories import make_client, make_commission
from tests.jobs.client_cast import make_cast, right_now

pytestmark = pytest.mark.django_db
DAY = dt.timedelta(days=1)

# Typed into every field a client can type in.
HOSTILE = [
    "first\r\nBcc: other@example.org",
    "\"quoted\" 'single' <b>bold</b> & more",
    "right \u202eto left\u202c \u05d0\u05d1\u05d2",
    "\U0001f6aa\U0001f469\u200d\U0001f527 door",
    "x" * 5000,
]


def quarter(now: dt.datetime, days: int, hour: int = 9) -> dt.datetime:
    return (now + days * DAY).replace(hour=hour, minute=0, second=0, microsecond=0)


def client_names() -> set[str]:
    return {name for name, address in addresses().items() if address.startswith("/your-")}


OPEN_TO_ALL = {"client_entry", "client_new_link", "client_link_asked", "client_left"}


@pytest.fixture
def cast():
    return make_cast()


def full(cast) -> dict[str, str]:
    """Something in every part of the page; returns addresses that lead somewhere."""
    room = Room.objects.create(commission=cast.commission, name="Hall")
    Survey.objects.create(room=room, taken_on=(cast.now - 3 * DAY).date())
    start = quarter(cast.now, 5)
    offer = offer_slot(
        commission=cast.commission, kind="fitting", person=cast.maker, starts_at=start,
        ends_at=start + dt.timedelta(hours=2), now=cast.now, actor=cast.maker, reason="The van is free.",
    )  # fmt: skip
    away = add_client_away(
        client=cast.commission.client, first_day=(cast.now + 20 * DAY).date(), last_day=(cast.now + 22 * DAY).date(),
        now=cast.now, actor=None,
    )  # fmt: skip
    book_visit(
        commission=cast.commission, kind="survey", person=cast.maker, starts_at=quarter(cast.now, 9),
        ends_at=quarter(cast.now, 9, 11), workshop=cast.workshop, now=cast.now, actor=None,
    )  # fmt: skip
    cast.browser.post(reverse("client_declare"), {"answer": "same"})
    decision = ClientDecision.objects.get()
    found = addresses(token=cast.token, pk=decision.pk)
    found["client_pick"] = reverse("client_pick", args=[offer.pk])
    found["client_away_remove"] = reverse("client_away_remove", args=[away.pk])
    return {name: found[name] for name in client_names() & set(found)}


def counts() -> tuple[int, ...]:
    offers = SlotOffer.objects.filter(taken_at__isnull=True)
    return ClientDecision.objects.count(), offers.count(), ClientAway.objects.count(), Message.objects.count()


# In by the link


def test_the_entry_page_is_the_same_for_every_token_and_asks_the_database_nothing_of_it(cast):
    pages = []
    for token in (cast.token, "x" * 43, "y"):
        with CaptureQueriesContext(
            connection,
        ) as caught:
            answer = Browser().get(reverse("client_entry", args=[token]))
        assert not any("clientlink" in one["sql"] for one in caught.captured_queries)
        body = re.sub(r'name="csrfmiddlewaretoken" value="\w+"', "", answer.content.decode()).replace(token, "TOKEN")
        pages.append((answer.status_code, body))
    assert pages[0] == pages[1] and pages[0][0] == 200
    assert cast.commission.client.name not in pages[0][1]


def test_the_button_exchanges_the_link_for_a_cookie_and_a_clean_address(cast):
    browser = Browser()
    answer = browser.post(reverse("client_entry", args=[cast.token]))
    assert (answer.status_code, answer["Location"]) == (302, "/your-furniture/")
    cookie = answer.cookies[settings.CLIENT_COOKIE_NAME]
    assert (cookie["httponly"], cookie["samesite"], cookie["path"]) == (True, "Lax", "/")
    assert cookie.value != cast.token
    assert browser.get("/your-furniture/").status_code == 200


def test_over_https_the_cookie_is_secure(cast, settings):
    settings.SESSION_COOKIE_SECURE = True
    answer = Browser().post(reverse("client_entry", args=[cast.token]))
    assert answer.cookies[settings.CLIENT_COOKIE_NAME]["secure"] is True


def test_run_out_taken_back_and_unknown_links_get_the_same_kind_page(cast):
    _, old_token = make_link(commission=cast.commission, now=cast.now - 100 * DAY, actor=None)
    back, back_token = make_link(commission=cast.commission, now=cast.now, actor=None)
    revoke_link(link=back, now=cast.now, actor=None)
    bodies = set()
    for token in (old_token, back_token, "x" * 43):
        answer = Browser().post(reverse("client_entry", args=[token]))
        assert answer.status_code == 403
        body = re.sub(r'name="csrfmiddlewaretoken" value="\w+"', "", answer.content.decode())
        bodies.add(body.replace(token, "TOKEN"))
    (body,) = bodies
    assert "Send me a new link" in body and "01632 960000" in body
    assert cast.commission.client.name not in body and "example.org" not in body


def test_asking_for_a_new_link_answers_the_same_whoever_asks(cast):
    known = Browser().post(reverse("client_new_link"), {"token": cast.token})
    unknown = Browser().post(reverse("client_new_link"), {"token": "x" * 43})
    nothing = Browser().post(reverse("client_new_link"))
    answers = {(one.status_code, one["Location"], str(one.cookies)) for one in (known, unknown, nothing)}
    assert answers == {(302, reverse("client_link_asked"), "")}
    assert Message.objects.filter(kind="client_link").count() == 1


def test_tries_are_counted_in_the_shared_cache(cast, settings):
    settings.ACCOUNT_RATE_LIMITS = settings.ACCOUNT_RATE_LIMITS | {
        "client_new_link": "2/h/ip",
        "client_link": "2/h/ip",
    }
    for name, args in (("client_new_link", []), ("client_entry", ["x" * 43])):
        codes = [Browser().post(reverse(name, args=args)).status_code for _ in range(3)]
        assert codes[2] == 429 and 429 not in codes[:2]


# Every address, every wrong visitor, every wrong method


def test_without_a_standing_cookie_every_address_is_shut(cast):
    found = full(cast)
    other = make_cast(client=make_client(name="Otis Brand", email="brand@example.org"))
    strangers = {"none": Browser(), "wrong": Browser(), "run out": Browser(), "taken back": Browser()}
    strangers["wrong"].cookies[settings.CLIENT_COOKIE_NAME] = cast.token
    session, cookie = exchange_link(token=cast.token, now=cast.now)
    ClientSession.objects.filter(pk=session.pk).update(expires_at=cast.now - DAY)
    strangers["run out"].cookies[settings.CLIENT_COOKIE_NAME] = cookie
    strangers["taken back"] = other.browser
    revoke_link(link=other.link, now=other.now, actor=None)
    before = counts()
    for who, browser in strangers.items():
        for name in sorted(set(found) - OPEN_TO_ALL):
            for method in ("get", "head", "post"):
                answer = getattr(browser, method)(found[name])
                assert answer.status_code == 403, (who, name, method)
                assert cast.commission.what not in answer.content.decode()
    assert counts() == before


def test_another_clients_cookie_finds_nothing_of_this_one(cast):
    found = full(cast)
    other = make_cast(client=make_client(name="Otis Brand", email="brand@example.org"), what="linen press")
    assert other.browser.get(found["client_done"]).status_code == 404
    for name in ("client_undo", "client_pick", "client_away_remove"):
        assert other.browser.post(found[name]).status_code == 404, name
    page = other.browser.get(reverse("client_page")).content.decode()
    assert "linen press" in page and cast.commission.what not in page and "van is free" not in page
    assert SlotOffer.objects.filter(taken_at__isnull=True).count() == 1 and ClientAway.objects.count() == 1


def test_a_link_for_looking_sees_the_page_and_answers_nothing():
    cast = make_cast(scope=LinkScope.VIEW)
    Room.objects.create(commission=cast.commission, name="Hall").surveys.create(taken_on=cast.now.date())
    page = cast.browser.get(reverse("client_page"))
    assert page.status_code == 200 and reverse("client_declare") not in page.content.decode()
    for name in ("client_declare", "client_access", "client_away"):
        for method in ("get", "post"):
            answer = getattr(cast.browser, method)(reverse(name))
            assert answer.status_code == 403 and "looking only" in answer.content.decode()
    assert not Declaration.objects.exists()


def test_the_wrong_method_is_refused(cast):
    found = full(cast)
    reading = {"client_page", "client_done", "client_link_asked", "client_left"}
    acting = {"client_undo", "client_away_remove", "client_pick", "client_leave", "client_new_link"}
    for name in (reading | acting) & set(found):
        for method in ("put", "delete", "patch", *(["post"] if name in reading else ["get", "head"])):
            assert getattr(cast.browser, method)(found[name]).status_code == 405, (name, method)
    for name in set(found) - reading - acting:
        assert cast.browser.delete(found[name]).status_code in (403, 405), name


def test_reading_writes_nothing(cast):
    found = full(cast)
    seen = 0
    for name, address in found.items():
        for method in ("get", "head"):
            with CaptureQueriesContext(connection) as caught:
                answer = getattr(cast.browser, method)(address)
            wrote = [one["sql"] for one in caught.captured_queries if not one["sql"].lstrip().startswith("SELECT")]
            assert not wrote, (name, method, wrote)
            seen += answer.status_code == 200
    assert seen >= 12
    cast.link.refresh_from_db()
    assert cast.link.use_count == 1


# What it says and what it never says


def test_the_page_says_what_is_asked_what_comes_and_whom_to_ring(cast):
    full(cast)
    page = cast.browser.get(reverse("client_page")).content.decode()
    for words in (
        "What we ask of you", "What happens next", "We come to measure", "Robin Thorn", "01632 960000",
        "Tell us who opens the door", "Pick a time", "The van is free.", "nothing has changed",
    ):  # fmt: skip
        assert words in page, words


def test_the_page_never_says_what_is_not_for_a_client(cast):
    full(cast)
    away = ClientAway.objects.get()
    arrange_access(
        access=AccessArrangement(
            commission=cast.commission, opener_name="Nan Ferrers", opener_phone="+441632960777", mode="let_in",
            slot_starts=dt.time(9), slot_ends=dt.time(12), parking="back lane", notes="key under the sundial",
        ),
        now=cast.now, actor=None,
    )  # fmt: skip
    cast.commission.hold_reason, cast.commission.held_since = "waits for a cheaper job", cast.now.date()
    cast.commission.save()
    page = cast.browser.get(reverse("client_page")).content.decode()
    days = (f"{away.first_day:%d} ", away.first_day.isoformat(), f"{away.first_day.day} {away.first_day:%B}")
    for words in ("Nan Ferrers", "960777", "sundial", "cheaper job", "slack", *days[1:], "allowance"):
        assert words not in page, words
    door = cast.browser.get(reverse("client_access")).content.decode()
    assert "sundial" not in door and "Nan Ferrers" in door


def test_headers_title_and_address_give_nothing_away(cast):
    found = full(cast)
    personal = [cast.commission.client.name, cast.commission.what, "Tannery", str(cast.commission.number) + " "]
    for name, address in found.items():
        answer = cast.browser.get(address)
        assert "no-store" in answer["Cache-Control"] and "noindex" in answer["X-Robots-Tag"], name
        assert answer["Referrer-Policy"] == "same-origin"
        if answer.status_code != 200:
            continue
        body = answer.content.decode()
        (title,) = re.findall(r"<title>(.*?)</title>", body, re.DOTALL)
        assert not any(word in title or word in address for word in personal), name
        assert not re.findall(r'(?:src|href|action)="(?:https?:)?//', body), f"{name}: something of a third party"
        assert "<script" not in body and "<style" not in body and " style=" not in body, name
        assert body.count("Ring me instead") == 1 and body.index("Ring me instead") < body.index("<main")
        assert "job_board" not in body and 'href="/commissions' not in body and "countdown" not in body


def test_the_number_of_questions_does_not_grow_with_what_is_on_the_page(cast, django_assert_num_queries):
    full(cast)
    with CaptureQueriesContext(connection) as first:
        cast.browser.get(reverse("client_page"))
    for days in (6, 7, 8):
        offer_slot(
            commission=cast.commission, kind="fitting", person=cast.maker, starts_at=quarter(cast.now, days),
            ends_at=quarter(cast.now, days, 11), now=cast.now, actor=None,
        )  # fmt: skip
    with django_assert_num_queries(len(first.captured_queries)):
        cast.browser.get(reverse("client_page"))
    assert len(first.captured_queries) <= 40


# Answers


def test_a_declaration_is_confirmed_with_its_minute_copied_by_mail_and_taken_back(cast):
    answer = cast.browser.post(reverse("client_declare"), {"answer": "changed", "what_changed": "new floor"})
    decision = ClientDecision.objects.get()
    assert answer["Location"] == reverse("client_done", args=[decision.pk])
    page = cast.browser.get(answer["Location"]).content.decode()
    local = cast.workshop.local(decision.decided_at)
    assert f"{local.hour}:{local.minute:02d}" in page and "That was a mistake" in page
    declaration = Declaration.objects.get()
    assert (declaration.nothing_changed, declaration.what_changed, declaration.way) == (False, "new floor", "link")
    undone = cast.browser.post(reverse("client_undo", args=[decision.pk]))
    assert undone["Location"] == reverse("client_done", args=[decision.pk])
    assert not Declaration.objects.exists()
    assert "You took this back" in cast.browser.get(undone["Location"]).content.decode()
    assert cast.browser.post(reverse("client_undo", args=[decision.pk])).status_code == 422
    receipts = Message.objects.filter(kind="client_receipt").values_list("payload", "to_email")
    assert list(receipts) == [
        ({"decision": decision.pk, "undone": False}, "quennell@example.org"),
        ({"decision": decision.pk, "undone": True}, "quennell@example.org"),
    ]


def test_after_an_hour_it_is_no_longer_taken_back(cast):
    cast.browser.post(reverse("client_declare"), {"answer": "same"})
    ClientDecision.objects.update(decided_at=right_now() - dt.timedelta(minutes=61))
    decision = ClientDecision.objects.get()
    answer = cast.browser.post(reverse("client_undo", args=[decision.pk]))
    assert answer.status_code == 422 and "Please ring us" in answer.content.decode()
    assert Declaration.objects.count() == 1
    assert "That was a mistake" not in cast.browser.get(reverse("client_done", args=[decision.pk])).content.decode()


ACCESS = {"opener_name": "Nan", "opener_phone": "", "opener_email": "", "slot_starts": "09:00", "slot_ends": "12:00",
          "fallback_name": "", "fallback_phone": "", "parking": "front"}  # fmt: skip


def test_the_client_says_who_opens_and_the_makers_notes_stay(cast):
    arrange_access(
        access=AccessArrangement(commission=cast.commission, opener_name="Old", mode="in_and_out", notes="shy dog",
                                 slot_starts=dt.time(9), slot_ends=dt.time(12)),
        now=cast.now, actor=None,
    )  # fmt: skip
    cast.browser.post(reverse("client_access"), ACCESS)
    kept = AccessArrangement.objects.get()
    assert (kept.opener_name, kept.parking, kept.notes, kept.mode) == ("Nan", "front", "shy dog", "in_and_out")


@pytest.mark.parametrize(
    ("name", "data", "words"),
    [
        ("client_declare", {}, "choose one of the two"),
        ("client_declare", {"answer": "changed", "what_changed": " "}, "say it in a few words"),
        ("client_access", ACCESS | {"slot_ends": "08:00"}, "end before it starts"),
        ("client_access", ACCESS | {"opener_name": ""}, "Who opens the door"),
        ("client_access", ACCESS | {"opener_phone": "12"}, "phone number"),
        ("client_away", {"first_day": "2020-01-01", "last_day": "2020-01-02"}, "gone by"),
        ("client_away", {"first_day": "soon", "last_day": ""}, "no day of the calendar"),
        ("client_away", {"first_day": "2999-02-02", "last_day": "2999-02-01"}, "before the first"),
    ],
)
def test_a_mistake_is_said_beside_its_field_and_nothing_is_kept(cast, name, data, words):
    answer = cast.browser.post(reverse(name), data)
    assert answer.status_code == 422 and words in answer.content.decode()
    assert not ClientDecision.objects.exists() and not Message.objects.exists()


@pytest.mark.parametrize("text", HOSTILE)
@pytest.mark.parametrize(
    ("name", "field", "others"),
    [
        ("client_declare", "what_changed", {"answer": "changed"}),
        ("client_declare", "answer", {}),
        *[("client_access", field, ACCESS) for field in ACCESS],
        ("client_away", "first_day", {"last_day": "2999-01-01"}),
        ("client_away", "last_day", {"first_day": "2999-01-01"}),
        ("client_new_link", "token", {}),
    ],
)
def test_whatever_is_typed_is_kept_as_it_was_or_refused_with_a_sentence(cast, name, field, others, text):
    answer = cast.browser.post(reverse(name), {**others, field: text})
    assert answer.status_code in (302, 422)
    if answer.status_code == 422:
        assert 'class="error-summary"' in answer.content.decode() and not ClientDecision.objects.exists()
    elif name != "client_new_link":
        kept = [*Declaration.objects.values(), *AccessArrangement.objects.values()]
        assert any(row.get(field, "").replace("\r\n", "\n") == text.replace("\r\n", "\n") for row in kept)
    for address in (reverse("client_page"), reverse("client_access")):
        page = cast.browser.get(address)
        assert page.status_code == 200 and "<b>bold" not in page.content.decode()


def test_a_hostile_token_in_the_address_is_a_kind_page():
    make_cast()
    for text in HOSTILE:
        answer = Browser().post(
            reverse("client_entry", args=["t"]).replace("/t/", f"/{text.replace('/', '')[:3000]}/")
        )
        assert answer.status_code in (403, 404)


def test_away_days_are_told_shown_on_their_own_page_only_and_taken_out_again(cast):
    first = (cast.now + 30 * DAY).date()
    data = {"first_day": first.isoformat(), "last_day": first.isoformat()}
    assert cast.browser.post(reverse("client_away"), data).status_code == 302
    assert cast.browser.post(reverse("client_away"), data).status_code == 422
    assert f"{first.day} {first:%B %Y}" in cast.browser.get(reverse("client_away")).content.decode()
    away = ClientAway.objects.get()
    assert cast.browser.post(reverse("client_away_remove", args=[away.pk])).status_code == 302
    assert not ClientAway.objects.exists()


def test_leaving_shuts_this_browser(cast):
    answer = cast.browser.post(reverse("client_leave"))
    assert answer["Location"] == reverse("client_left")
    assert cast.browser.get(reverse("client_page")).status_code == 403
    assert ClientSession.objects.get().ended_at is not None


# The workshop's side


def maker_browser(cast) -> Browser:
    browser = Browser()
    browser.force_login(cast.maker)
    return browser


def test_a_maker_makes_a_link_sees_it_once_and_takes_it_back(cast):
    maker = maker_browser(cast)
    address = reverse("client_links", args=[cast.commission.number])
    page = maker.post(address, {"scope": "view", "days": "30"}).content.decode()
    (shown,) = re.findall(r'value="(http[^"]*/your-link/[^"]+/)"', page)
    assert shown.startswith(settings.PUBLIC_URL)
    again = maker.get(address).content.decode()
    assert "/your-link/" not in again
    link = ClientLink.objects.order_by("-pk")[0]
    assert (link.scope, link.made_by) == ("view", cast.maker)
    assert Browser().post(shown.removeprefix(settings.PUBLIC_URL)).status_code == 302
    maker.post(reverse("revoke_link", args=[link.pk]))
    assert Browser().post(shown.removeprefix(settings.PUBLIC_URL)).status_code == 403


@pytest.mark.parametrize("data", [{}, {"scope": "all", "days": "5"}, {"scope": "view", "days": "0"},
                                  {"scope": "view", "days": "400"}, {"scope": "view", "days": "many"}])  # fmt: skip
def test_a_link_that_cannot_be_made_is_refused_with_a_sentence(cast, data):
    answer = maker_browser(cast).post(reverse("client_links", args=[cast.commission.number]), data)
    assert answer.status_code == 422 and 'class="error-summary"' in answer.content.decode()
    assert ClientLink.objects.count() == 1


@pytest.mark.parametrize("count", [1, 3])
def test_the_list_of_links_takes_the_same_questions_at_any_length(cast, count, django_assert_num_queries):
    for _ in range(count):
        make_link(commission=cast.commission, now=cast.now, actor=cast.maker)
    maker = maker_browser(cast)
    with django_assert_num_queries(5):
        maker.get(reverse("client_links", args=[cast.commission.number]))


def test_a_maker_offers_a_time_and_takes_it_back(cast):
    maker = maker_browser(cast)
    start = quarter(cast.now, 12)
    data = {
        "kind": "fitting", "person": cast.maker.pk, "starts_at": start.strftime("%Y-%m-%dT%H:%M"),
        "ends_at": (start + dt.timedelta(hours=3)).strftime("%Y-%m-%dT%H:%M"), "reason": "Both of us are free.",
    }  # fmt: skip
    add = reverse("offer_slot", args=[cast.commission.number])
    assert maker.post(add, data).status_code == 302
    assert maker.post(add, data).status_code == 422
    assert "Both of us are free." in cast.browser.get(reverse("client_page")).content.decode()
    offer = SlotOffer.objects.get()
    assert "Take it back" in maker.get(cast.commission.get_absolute_url()).content.decode()
    assert maker.get(reverse("withdraw_offer", args=[offer.pk])).status_code == 404
    maker.post(reverse("withdraw_offer", args=[offer.pk]))
    assert cast.browser.post(reverse("client_pick", args=[offer.pk])).status_code == 409
    assert not Visit.objects.exists()


def test_a_past_time_is_not_offered(cast):
    start = quarter(cast.now, -2)
    data = {"kind": "fitting", "person": cast.maker.pk, "starts_at": start.strftime("%Y-%m-%dT%H:%M"),
            "ends_at": (start + dt.timedelta(hours=3)).strftime("%Y-%m-%dT%H:%M")}  # fmt: skip
    answer = maker_browser(cast).post(reverse("offer_slot", args=[cast.commission.number]), data)
    assert answer.status_code == 422 and "gone by" in answer.content.decode()


def test_another_commission_stays_out_of_reach_for_offers(cast):
    other = make_commission(maker=cast.maker)
    start = quarter(cast.now, 12)
    offer = offer_slot(commission=other, kind="fitting", person=cast.maker, starts_at=start,
                       ends_at=start + dt.timedelta(hours=1), now=cast.now, actor=None)  # fmt: skip
    assert cast.browser.post(reverse("client_pick", args=[offer.pk])).status_code == 404
