"""Every kind of mail against the rules for mail that anybody can read.

Rules: lang and dir on the page and on a wrapper, since mail programs strip the first; headings in order; text for
pictures; no layout tables (W3C techniques H57, H42, H37 and failure F46, from memory); subject 20 to 50 characters,
text part with the same words (this project's own rules).
"""

from __future__ import annotations

import datetime as dt
import email
import re
from email.policy import default
from html.parser import HTMLParser
from types import SimpleNamespace

import pytest

from aftercare.pack import mail as pack_mail
from jobs.invites.mail import Attachment
from jobs.registries import client_links
from tests.factories import make_workshop
from tests.jobs.invites.every_mail import compose, every_message

pytestmark = pytest.mark.django_db
SECRET = "Zk3vJt0uA5fD9sQ2wE7rT6yU1iO4pL8kJhGfDsAqWeR"  # 43 signs, as a client link has
NASTY = 'Zoë "O\'Hara"\r\nBcc: all@example.org\r\n\r\n<b>&amp; \u202eevil\u202c שלום 🪚'


class Reader(HTMLParser):
    """What of a page's markup the rules speak of, and its words paragraph by paragraph."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.headings: list[int] = []
        self.blocks: list[str] = []
        self.open: list[str] = []
        self.feed(html)
        self.close()

    def handle_starttag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))
        if re.fullmatch(r"h[1-6]", tag):
            self.headings.append(int(tag[1]))
        if tag in ("p", "li"):
            self.blocks.append("")
        if tag not in ("meta", "br", "img"):
            self.open.append(tag)

    def handle_endtag(self, tag):
        assert self.open.pop() == tag, f"</{tag}> closes nothing"

    def handle_data(self, data):
        if self.blocks and {"p", "li"} & set(self.open):
            self.blocks[-1] += data


@pytest.fixture
def paper(monkeypatch):
    """The pack itself is tested elsewhere and takes seconds to press."""
    monkeypatch.setattr(pack_mail, "pack_for_sending", lambda handover, now: SimpleNamespace(revision=1))
    monkeypatch.setattr(pack_mail, "pack_after_check", lambda check, handover, now: SimpleNamespace(revision=2))
    monkeypatch.setattr(
        pack_mail, "_paper", lambda pack: Attachment("handover-pack.pdf", b"%PDF-", "application/pdf")
    )


@pytest.fixture
def link(monkeypatch):
    address = f"https://shutline.example.org/c/{SECRET}"
    monkeypatch.setattr(client_links, "entries", {"page": (1, lambda commission, now: address)})
    return address


def plain(text: str) -> str:
    return re.sub(r"\s+", " ", text).strip()


def html_of(mail) -> str:
    return next(str(content) for content, kind in mail.alternatives if kind == "text/html")


@pytest.mark.parametrize("with_link", [True, False])
def test_the_markup_and_the_words_of_every_mail(paper, monkeypatch, with_link):
    address = f"https://shutline.example.org/c/{SECRET}"
    found = {"page": (1, lambda commission, now: address)} if with_link else {}
    monkeypatch.setattr(client_links, "entries", found)
    workshop = make_workshop(phone="+441632960777")
    for kind, message in every_message(workshop).items():
        mail = compose(message, workshop)
        page = Reader(html_of(mail))
        assert page.open == [], kind
        by_tag = dict(reversed(page.tags))
        assert by_tag["html"] == {"lang": "en-GB", "dir": "ltr"}, kind
        assert (by_tag["div"]["lang"], by_tag["div"]["dir"]) == ("en-GB", "ltr"), kind
        assert page.headings[0] == 1 and page.headings.count(1) == 1, kind
        assert all(later - earlier <= 1 for earlier, later in zip(page.headings, page.headings[1:], strict=False)), (
            kind
        )
        assert not {"table", "font", "center", "script"} & {tag for tag, _ in page.tags}, kind
        assert all("alt" in attrs for tag, attrs in page.tags if tag == "img"), kind
        sizes = [int(size) for size in re.findall(r"font-size:(\d+)px", html_of(mail))]
        assert min(sizes) >= 16, kind
        assert 20 <= len(mail.subject) <= 50, (kind, mail.subject)
        assert len([1 for tag, _ in page.tags if tag == "a"]) <= 1, f"{kind}: one action"
        text = plain(mail.body)
        for block in page.blocks:
            for line in filter(None, map(plain, re.split(r"(?<=\.) |, if the line above does not open: ", block))):
                if "address in full" not in line and line not in (
                    "Choose a password",
                    "Open the page about your furniture",
                ):
                    assert line.rstrip(".:") in text, (kind, line, text)


def test_a_link_goes_to_the_client_alone_and_is_kept_nowhere(paper, link):
    from jobs.models import Message
    from jobs.sweep import sweep

    workshop = make_workshop()
    messages = every_message(workshop)
    for kind, message in messages.items():
        mail = compose(message, workshop)
        assert (link in mail.body) <= (message.to_email == "quennell@example.org"), kind
    assert link in compose(messages["return_reminder"], workshop).body
    assert link in html_of(compose(messages["return_reminder"], workshop))
    message = messages["survey_confirmation"]
    sweep(message.due_at)
    kept = Message.objects.get(pk=message.pk)
    assert (kept.state, "/c/..." in kept.body, "/c/..." in kept.html) == ("sent", True, True)
    for row in Message.objects.values():
        assert SECRET not in str(row)


def test_no_mail_holds_what_anybody_may_not_read(paper):
    """No note on keys or alarms, no address of a house."""
    workshop = make_workshop()
    for kind, message in every_message(workshop).items():
        mail = compose(message, workshop)
        for words in ("4711", "shed", "Tannery Lane"):
            assert words not in mail.body and words not in html_of(mail), (kind, words)


@pytest.mark.parametrize("email_address", ["quennell@example.org", ""])
def test_whatever_a_client_types_breaks_out_of_nothing(paper, email_address):
    workshop = make_workshop()
    nasty = NASTY.replace("\r\n\r\n", "\r\n")
    messages = every_message(
        workshop, client_name=nasty, what=nasty, nickname=nasty[:30], opener_name=nasty, email=email_address
    )
    for kind, message in messages.items():
        mail = compose(message, workshop)
        raw = mail.message().as_bytes(linesep="\r\n")
        parsed = email.message_from_bytes(raw, policy=default)
        assert parsed["Bcc"] is None and len(parsed.get_all("To")) == 1, kind
        assert "\n" not in str(parsed["Subject"]) and len(str(parsed["Subject"])) <= 200, kind
        assert len(parsed["To"].addresses) == 1 and len(parsed["From"].addresses) == 1, kind
        assert max(map(len, raw.split(b"\r\n"))) <= 998, kind
        assert b"\n" not in raw.replace(b"\r\n", b""), kind
        page = Reader(html_of(mail))
        assert page.open == [] and "b" not in {tag for tag, _ in page.tags}, kind
        html = html_of(mail)
        for name in ("evil", "Zoë"):
            for place in [match.start() for match in re.finditer(name, html[html.index("<body") :])]:
                before = html[html.index("<body") :][:place]
                assert before.rfind("<bdi>") > before.rfind("</bdi>") or "<h1" in before[before.rfind("<") :], kind


def test_a_client_without_e_mail_gets_words_for_the_telephone_and_no_invite(paper):
    workshop = make_workshop(phone="+441632960777")
    messages = every_message(workshop, email="")
    for kind, message in messages.items():
        if message.to_email:
            continue
        mail = compose(message, workshop)
        assert message.channel == "call", kind
        assert "reply to this mail" not in mail.body.lower() and "with this mail" not in mail.body, kind
        assert mail.to and workshop.email in mail.to[0], kind
        assert not [1 for _, mimetype in mail.alternatives if mimetype.startswith("text/calendar")], kind


def test_dates_in_mails_are_told_in_the_workshops_own_time(paper):
    workshop = make_workshop()
    message = every_message(workshop)["fitting_confirmation"]
    start = message.visit.starts_at
    # 31 March 2027, after the clocks went forward on the 28th: one hour later than in UTC.
    assert start.astimezone(dt.UTC).hour == 10
    assert "at 11:00" in compose(message, workshop).body
