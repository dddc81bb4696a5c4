from __future__ import annotations

import base64
import datetime as dt
import hashlib

import pytest

from jobs.domain import links
from jobs.invites.client_link import client_link
from jobs.models import ClientLink, ClientSession, DaybookLine, LinkScope, Message
from jobs.refusal import Refusal
from jobs.sweep import sweep
from tests.factories import NOW, make_client, make_commission, make_maker, make_workshop

pytestmark = pytest.mark.django_db
DAY = dt.timedelta(days=1)


@pytest.fixture
def commission():
    make_workshop()
    return make_commission(maker=make_maker())


def test_a_token_has_256_bits_and_only_its_hash_is_kept(commission):
    """OWASP ASVS 5.0 7.2.3: 128 bits at least (as the reference quotes it). SHA-256 by the standard library."""
    link, token = links.make_link(commission=commission, now=NOW, actor=None)
    assert len(base64.urlsafe_b64decode(token + "=")) == 32
    assert link.token_hash == hashlib.sha256(token.encode()).hexdigest()
    assert token not in str(ClientLink.objects.values()) + str(DaybookLine.objects.values())


def test_an_exchange_counts_and_gives_a_cookie_that_is_not_the_token(commission):
    link, token = links.make_link(commission=commission, now=NOW, actor=None, scope=LinkScope.VIEW)
    session, cookie = links.exchange_link(token=token, now=NOW + DAY)
    link.refresh_from_db()
    assert (link.use_count, link.last_used_at) == (1, NOW + DAY)
    assert cookie != token and session.expires_at == NOW + 31 * DAY
    assert links.session_of(cookie, now=NOW + 30 * DAY) == session
    assert links.session_of(token, now=NOW + DAY) is None


def test_a_session_ends_with_its_time_and_never_outlives_its_link(commission):
    _, token = links.make_link(commission=commission, now=NOW, actor=None, days=5)
    session, cookie = links.exchange_link(token=token, now=NOW)
    assert session.expires_at == NOW + 5 * DAY
    assert links.session_of(cookie, now=NOW + 5 * DAY) is None
    assert links.exchange_link(token=token, now=NOW + 5 * DAY) is None


def test_revoking_shuts_the_link_and_every_browser_at_once(commission):
    link, token = links.make_link(commission=commission, now=NOW, actor=None)
    _, cookie = links.exchange_link(token=token, now=NOW)
    links.revoke_link(link=link, now=NOW, actor=None)
    assert links.session_of(cookie, now=NOW) is None
    assert links.exchange_link(token=token, now=NOW) is None
    with pytest.raises(Refusal, match="taken back already"):
        links.revoke_link(link=link, now=NOW, actor=None)


def test_a_browser_that_left_is_out_and_the_link_stays_good(commission):
    _, token = links.make_link(commission=commission, now=NOW, actor=None)
    session, cookie = links.exchange_link(token=token, now=NOW)
    links.end_session(session=session, now=NOW)
    assert links.session_of(cookie, now=NOW) is None
    assert links.exchange_link(token=token, now=NOW) is not None


@pytest.mark.parametrize("days", [0, -1, 367])
def test_a_link_lasts_between_a_day_and_a_year(commission, days):
    with pytest.raises(Refusal, match="1 to 366") as caught:
        links.make_link(commission=commission, now=NOW, actor=None, days=days)
    assert caught.value.field == "days" and not ClientLink.objects.exists()


def test_asking_twice_in_an_hour_sends_one_mail_and_unknown_tokens_none(commission):
    workshop = commission.maker and make_workshop()
    link, token = links.make_link(commission=commission, now=NOW, actor=None)
    links.revoke_link(link=link, now=NOW, actor=None)
    for _ in range(2):
        assert links.ask_for_link(token=token, cookie="", workshop=workshop, now=NOW) is not None
    assert links.ask_for_link(token="x" * 43, cookie="y", workshop=workshop, now=NOW) is None
    assert [message.to_email for message in Message.objects.filter(kind="client_link")] == ["quennell@example.org"]


def test_the_mail_carries_a_link_that_opens_and_that_nobody_stored(commission, mailoutbox):
    workshop = commission.maker and make_workshop()
    _, token = links.make_link(commission=commission, now=NOW, actor=None)
    links.ask_for_link(token=token, cookie="", workshop=workshop, now=NOW)
    sweep(NOW)
    (mail,) = mailoutbox
    fresh = mail.body.partition("/your-link/")[2].partition("/")[0]
    assert mail.to == ["Priscilla Quennell <quennell@example.org>"] and fresh != token
    assert links.exchange_link(token=fresh, now=NOW) is not None
    assert "Priscilla" not in mail.body.partition("/your-link/")[2].split()[0]


def test_without_a_mail_address_asking_becomes_a_call():
    workshop = make_workshop()
    commission = make_commission(maker=make_maker(), client=make_client(email=""))
    _, token = links.make_link(commission=commission, now=NOW, actor=None)
    assert links.ask_for_link(token=token, cookie="", workshop=workshop, now=NOW).channel == "call"


def test_the_nightly_duty_takes_old_sessions_and_links_and_then_nothing_more(commission):
    workshop = make_workshop()
    _, token = links.make_link(commission=commission, now=NOW, actor=None, days=10)
    links.exchange_link(token=token, now=NOW)
    assert links.forget_old_links(workshop, NOW + 11 * DAY) == 1
    assert not ClientSession.objects.exists() and ClientLink.objects.count() == 1
    assert links.forget_old_links(workshop, NOW + 377 * DAY) == 1
    assert links.forget_old_links(workshop, NOW + 377 * DAY) == 0


def test_what_is_kept_of_a_sent_mail_has_no_token_in_it(commission, mailoutbox):
    workshop = commission.maker and make_workshop()
    _, token = links.make_link(commission=commission, now=NOW, actor=None)
    message = links.ask_for_link(token=token, cookie="", workshop=workshop, now=NOW)
    sweep(NOW)
    fresh = mailoutbox[0].body.partition("/your-link/")[2].partition("/")[0]
    message.refresh_from_db()
    assert message.state == "sent" and len(fresh) == 43
    assert fresh not in message.body and fresh not in message.html and fresh not in str(Message.objects.values())


def test_a_mail_to_the_client_carries_a_link_of_its_own(commission):
    """What the post's templates ask for their one action: a fresh link, to the client's own address only."""
    message = Message(commission=commission, to_email="QUENNELL@example.org", state="sending")
    assert "/your-link/" in client_link(message, NOW)
    message.to_email = "neighbour@example.org"
    assert client_link(message, NOW) == "" and ClientLink.objects.count() == 1
