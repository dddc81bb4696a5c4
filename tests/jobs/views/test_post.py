from __future__ import annotations

import datetime as dt
import io

import pypdf
import pytest
import time_machine
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client as Browser

from jobs.domain.messages import queue_message
from jobs.domain.sending import beat
from jobs.domain.visits import book_visit
from jobs.models import DaybookLine, Heartbeat, HeldReply, Message, MessageState, Role, VisitKind
from tests.factories import NOW, make_client, make_commission, make_maker, make_visit, make_workshop
from tests.jobs.invites.replies_as_sent import counter, first_program
from tests.jobs.invites.samples import ATTENDEE, BASE, TOKEN, UID

pytestmark = pytest.mark.django_db
MINUTE = dt.timedelta(minutes=1)


@pytest.fixture(autouse=True)
def clock():
    with time_machine.travel(NOW, tick=False):
        yield


@pytest.fixture
def shop():
    return make_workshop(email=BASE)


@pytest.fixture
def maker(shop):
    return make_maker()


@pytest.fixture
def browser(maker):
    signed_in = Browser()
    signed_in.force_login(maker, backend="allauth.account.auth_backends.AuthenticationBackend")
    return signed_in


@pytest.fixture
def visit(maker):
    client = make_client(name="Ada Quill", email=ATTENDEE)
    commission = make_commission(maker=maker, client=client)
    return make_visit(
        commission, kind=VisitKind.RETURN, uid=UID, organiser_token=TOKEN, starts_at=NOW + dt.timedelta(days=20)
    )


def call(shop, maker, due_at=NOW, **fields):
    commission = make_commission(maker=maker, client=make_client(name="Nell Tarrant", email=""))
    start = NOW.replace(minute=0) + dt.timedelta(days=9)
    visit = book_visit(
        commission=commission, kind=VisitKind.SURVEY, person=maker, starts_at=start,
        ends_at=start + dt.timedelta(hours=1), workshop=shop, now=NOW, actor=maker,
    )  # fmt: skip
    return visit.messages.get()


# calls and letters


def test_a_client_without_e_mail_is_a_call_on_the_board_with_a_done_button(browser, shop, maker):
    message = call(shop, maker)
    page = browser.get("/").content.decode()
    assert "Ring Nell Tarrant" in page and f"/messages/{message.pk}/call-made/" in page and "Wed 10 Mar"[4:] in page
    answer = browser.post(f"/messages/{message.pk}/call-made/", {"from": "board"})
    assert (answer.status_code, answer.url) == (302, "/")
    message.refresh_from_db()
    assert (message.state, message.sent_at) == (MessageState.SENT, NOW)
    line = DaybookLine.objects.get(act="make_call")
    assert (line.actor, line.facts) == (maker, {"message": message.pk, "about": "visit_invite"})
    assert "Ring Nell Tarrant" not in browser.get("/").content.decode()


def test_a_call_made_twice_is_noted_once(browser, shop, maker):
    message = call(shop, maker)
    browser.post(f"/messages/{message.pk}/call-made/")
    page = browser.post(f"/messages/{message.pk}/call-made/", follow=True).content.decode()
    assert "no longer to be made" in page
    assert DaybookLine.objects.filter(act="make_call").count() == 1


def test_the_page_of_a_call_says_whom_to_ring_and_what_to_say(browser, shop, maker):
    message = call(shop, maker)
    page = browser.get(f"/messages/{message.pk}/").content.decode()
    assert "01632 960123" in page and "What to say" in page and "Please ring us if the time does not suit" in page


def test_the_letter_has_the_address_the_day_and_the_words(browser, shop, maker):
    message = call(shop, maker)
    page = browser.get(f"/messages/{message.pk}/letter/").content.decode()
    for words in ("Nell Tarrant", "7 Tannery Lane", "Wednesday 10 March 2027", "Friday 19 March 2027"):
        assert words in page
    assert "calendar" not in page.split("<article>")[1].split("</article>")[0]


def test_the_letter_as_a_pdf_is_one_tagged_page_with_the_same_words(browser, shop, maker):
    """Read back by pypdf, an independent reader."""
    message = call(shop, maker)
    page = browser.get(f"/messages/{message.pk}/letter/").content.decode()
    assert f"/messages/{message.pk}/letter.pdf" in page
    answer = browser.get(f"/messages/{message.pk}/letter.pdf")
    assert answer["Content-Type"] == "application/pdf" and "no-store" in answer["Cache-Control"]
    sheet = pypdf.PdfReader(io.BytesIO(answer.content))
    assert len(sheet.pages) == 1 and sheet.trailer["/Root"]["/MarkInfo"]["/Marked"]
    words = " ".join(sheet.pages[0].extract_text().split())
    for wanted in ("Nell Tarrant", "7 Tannery Lane", "Wednesday 10 March 2027", "Friday 19 March 2027"):
        assert wanted in words
    assert "Reply to this mail" not in words
    assert browser.post(f"/messages/{message.pk}/letter.pdf").status_code == 405


def test_a_letter_whose_reason_has_gone_is_no_pdf(browser, shop, maker):
    message = call(shop, maker)
    Message.objects.update(state=MessageState.WITHDRAWN)
    answer = browser.get(f"/messages/{message.pk}/letter.pdf")
    assert (answer.status_code, answer.url) == (302, f"/messages/{message.pk}/letter/")
    assert "letter.pdf" not in browser.get(answer.url).content.decode()


def test_the_wall_and_the_helper_see_no_names_of_clients(shop, maker):
    call(shop, maker)
    helper = Browser()
    helper.force_login(make_maker(role=Role.HELPER), backend="allauth.account.auth_backends.AuthenticationBackend")
    assert "Tarrant" not in helper.get("/").content.decode()


# what went, waits, failed


@pytest.mark.parametrize("count", [1, 5])
def test_the_list_takes_the_same_queries_whatever_its_length(browser, shop, maker, count, django_assert_num_queries):
    commission = make_commission(maker=maker)
    for state in MessageState.values:
        for n in range(count):
            message = queue_message(
                key=f"{state}{n}", kind="visit_invite", workshop=shop, now=NOW, to_email="a@example.org",
                commission=commission,
            )  # fmt: skip
            Message.objects.filter(pk=message.pk).update(state=state, sent_at=NOW if state == "sent" else None)
    # session, person, workshop; failed, calls, waiting, went; held answers
    with django_assert_num_queries(8):
        assert browser.get("/messages/").status_code == 200


def test_what_failed_is_tried_again_with_one_tap(browser, shop, visit):
    message = queue_message(key="a", kind="visit_invite", workshop=shop, now=NOW, to_email="a@example.org")
    Message.objects.update(state=MessageState.FAILED, error="The mail server said 550.")
    assert "The mail server said 550." in browser.get("/messages/").content.decode()
    page = browser.get("/messages/").content.decode()
    assert "Try again" in page and "Call made" not in page
    assert browser.post(f"/messages/{message.pk}/retry/").status_code == 302
    message.refresh_from_db()
    assert (message.state, message.attempts) == (MessageState.WAITING, 0)
    assert DaybookLine.objects.filter(act="retry_message").count() == 1


def test_a_message_that_waits_reads_as_it_would_go_and_reading_writes_nothing(browser, shop, maker):
    commission = make_commission(maker=maker)
    start = NOW.replace(minute=0) + dt.timedelta(days=9)
    visit = book_visit(
        commission=commission, kind=VisitKind.SURVEY, person=maker, starts_at=start,
        ends_at=start + dt.timedelta(hours=1), workshop=shop, now=NOW, actor=maker,
    )  # fmt: skip
    message = visit.messages.get()
    before = list(Message.objects.values())
    page = browser.get(f"/messages/{message.pk}/").content.decode()
    assert "Robin Thorn comes on Friday 19 March 2027" in page
    assert list(Message.objects.values()) == before


def test_the_html_of_a_mail_is_shown_where_it_can_run_and_fetch_nothing(browser, shop):
    message = queue_message(key="a", kind="visit_invite", workshop=shop, now=NOW, to_email="a@example.org")
    Message.objects.update(state="sent", sent_at=NOW, body="Text", html="<p>Hello <script>alert(1)</script></p>")
    answer = browser.get(f"/messages/{message.pk}/html/")
    assert answer["Content-Security-Policy"] == "sandbox; default-src 'none'; style-src 'unsafe-inline'"
    assert answer["X-Frame-Options"] == "DENY" and answer["Cache-Control"] == "no-store"


@pytest.mark.parametrize("path", ["messages/1/", "messages/1/html/", "messages/1/letter/"])
def test_looking_is_get_only_and_a_message_that_is_not_there_is_not_found(browser, path):
    assert browser.get(f"/{path}").status_code == 404
    assert browser.post(f"/{path}").status_code == 405


@pytest.mark.parametrize(
    "path",
    ["messages/1/call-made/", "messages/1/retry/", "replies/1/accept/", "replies/1/dismiss/", "feeds/1/take-back/"],
)
def test_a_button_does_nothing_by_get(browser, path):
    assert browser.get(f"/{path}").status_code == 404


# answers


def upload(raw, name="answer.eml"):
    return {"file": SimpleUploadedFile(name, raw)}


def test_an_answer_handed_in_lands_on_the_visit(browser, visit):
    page = browser.post("/replies/", upload(first_program("DECLINED")), follow=True).content.decode()
    assert "They decline." in page
    visit.refresh_from_db()
    assert visit.attendance == "DECLINED"
    assert "Declined" in browser.get("/").content.decode()


def test_a_held_answer_is_shown_and_taken_or_put_aside(browser, visit):
    browser.post("/replies/", upload(first_program(sender="partner@example.org")))
    reply = HeldReply.objects.get()
    page = browser.get("/replies/").content.decode()
    assert "partner@example.org, who was not invited" in page
    assert "An answer to read" in browser.get("/").content.decode()
    assert browser.post(f"/replies/{reply.pk}/accept/").status_code == 302
    visit.refresh_from_db()
    assert visit.attendance == "ACCEPTED"
    browser.post("/replies/", upload(counter(sender="partner@example.org")))
    other = HeldReply.objects.exclude(pk=reply.pk).first() or reply
    browser.post(f"/replies/{other.pk}/dismiss/")
    assert not HeldReply.objects.filter(state="open").exists()


@pytest.mark.parametrize(
    ("data", "words"),
    [
        ({}, "The mail or calendar file: choose one."),
        (upload(b""), "this one is empty"),
        (upload(b"x" * 1_000_001), "larger than 1 MB"),
    ],
)
def test_a_useless_file_is_refused_with_the_remedy(browser, visit, data, words):
    answer = browser.post("/replies/", data)
    assert answer.status_code == 422 and words in answer.content.decode()
    assert not HeldReply.objects.exists()


@pytest.mark.parametrize("count", [1, 4])
def test_the_list_of_answers_takes_the_same_queries_whatever_its_length(
    browser, visit, count, django_assert_num_queries
):
    for n in range(count):
        HeldReply.objects.create(
            digest=f"{n}", visit=visit, state="open", sentence="Held.", arrived_at=NOW, expires_at=NOW
        )
        HeldReply.objects.create(
            digest=f"d{n}", visit=visit, state="dismissed", sentence="Held.", arrived_at=NOW, expires_at=NOW
        )
    with django_assert_num_queries(5):
        browser.get("/replies/")


# the worker


@pytest.mark.parametrize(
    ("age", "is_stalled"), [(None, True), (2 * MINUTE, False), (3 * MINUTE, False), (4 * MINUTE, True)]
)
def test_every_page_warns_when_the_sweeps_stop_and_healthz_fails(browser, shop, visit, age, is_stalled):
    if age is not None:
        beat("sweep", now=NOW - age)
    for path in ("/", "/messages/", "/clients/", visit.commission.get_absolute_url()):
        assert ("Nothing is being sent." in browser.get(path).content.decode()) == is_stalled, path
    signed_out = Browser()
    answer = signed_out.get("/healthz")
    assert answer.status_code == (503 if is_stalled else 200)
    assert "Nothing is being sent" not in signed_out.get("/account/login/").content.decode()


def test_healthz_says_nothing_of_anybody_and_costs_one_query(shop, visit, django_assert_num_queries):
    Heartbeat.objects.create(name="sweep", last_ok_at=NOW)
    with django_assert_num_queries(1):
        answer = Browser().get("/healthz")
    assert answer.content == b"ok\n"
    assert Browser().head("/healthz").status_code == 200
    assert Browser().post("/healthz").status_code == 405
