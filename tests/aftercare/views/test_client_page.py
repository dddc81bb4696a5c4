"""The client's own page after handover: another day for the return visit, the pack, permissions."""

from __future__ import annotations

import datetime as dt
import re

import pytest
import vobject
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from aftercare.domain.client_choices import pick_return_time
from aftercare.domain.handover import hand_over
from aftercare.domain.packs import pack_for_sending
from aftercare.domain.permissions import WORDINGS, give_permission, is_allowed, withdraw_permission
from aftercare.models import Handover, Permission, PhotographUse
from aftercare.queries.alternatives import return_alternatives
from aftercare.queries.client_page import client_reasons
from jobs.domain.visits import SlotTaken, book_visit
from jobs.models import ClientDecision, LinkScope, StepKind, Visit, VisitSlot
from jobs.refusal import Refusal
from jobs.sweep import sweep
from tests.factories import make_client, up_to
from tests.jobs.client_cast import HOSTILE, Cast, make_cast, right_now
from tests.threads import at_once

pytestmark = pytest.mark.django_db
HOUR, SECOND = dt.timedelta(hours=1), dt.timedelta(seconds=1)


@pytest.fixture(autouse=True)
def own_folder(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path


def after_handover(**fields) -> tuple[Cast, Handover]:
    now = right_now()
    cast = make_cast(done=up_to(StepKind.HANDOVER), done_at=now - dt.timedelta(days=1), **fields)
    handover = hand_over(commission=cast.commission, at=now - HOUR, workshop=cast.workshop, now=now, actor=cast.maker)
    assert handover.return_visit.state == "arranged"
    return cast, handover


def options(page: str) -> list[str]:
    return re.findall(r'name="starts_at" value="([^"]+)"', page)


def test_two_other_days_are_offered_each_with_its_reason():
    cast, handover = after_handover()
    page = cast.browser.get(reverse("client_return")).content.decode()
    days = {cast.workshop.local_day(dt.datetime.fromisoformat(one)) for one in options(page)}
    assert len(days) == 2 and cast.workshop.local_day(handover.return_visit.starts_at) not in days
    assert "usual hour" in page


def test_picking_one_moves_the_visit_under_the_same_uid_with_a_fresh_invite(mailoutbox):
    """RFC 5546 2.1.4: same UID, SEQUENCE up; read back by vobject."""
    cast, handover = after_handover()
    before = handover.return_visit
    sweep(right_now() + 2 * SECOND)
    wanted = options(cast.browser.get(reverse("client_return")).content.decode())[1]
    answer = cast.browser.post(reverse("client_return"), {"starts_at": wanted})
    decision = ClientDecision.objects.get()
    assert answer["Location"] == reverse("client_done", args=[decision.pk])
    visit = Visit.objects.get(kind="return")
    assert (visit.uid, visit.sequence, visit.starts_at) == (before.uid, 1, dt.datetime.fromisoformat(wanted))
    mailoutbox.clear()
    sweep(right_now() + 2 * SECOND)
    events = []
    for mail in mailoutbox:
        for content, kind in mail.alternatives:
            if kind.startswith("text/calendar"):
                events.append(vobject.readOne(content).vevent)
    assert {(event.uid.value, event.sequence.value) for event in events} == {(str(before.uid), "1")}
    cast.browser.post(reverse("client_undo", args=[decision.pk]))
    back = Visit.objects.get(kind="return")
    assert (back.uid, back.sequence, back.starts_at) == (before.uid, 2, before.starts_at)
    assert VisitSlot.objects.count() == 6


def test_a_time_that_was_not_offered_is_answered_kindly_with_what_is_free():
    cast, _ = after_handover()
    for typed in ("", "2027-01-01T03:00", HOSTILE[0], HOSTILE[-1]):
        answer = cast.browser.post(reverse("client_return"), {"starts_at": typed})
        page = answer.content.decode()
        assert answer.status_code == 409 and "a little quicker" in page and len(options(page)) == 2
    assert Visit.objects.get(kind="return").sequence == 0 and not ClientDecision.objects.exists()


def test_a_time_taken_in_between_goes_to_the_first_and_the_other_sees_the_next_best():
    cast, _ = after_handover()
    wanted = options(cast.browser.get(reverse("client_return")).content.decode())[0]
    start = dt.datetime.fromisoformat(wanted)
    other = make_cast(client=make_client(name="Otis Brand", email="brand@example.org"))
    book_visit(
        commission=other.commission, kind="other", person=cast.maker, starts_at=start, ends_at=start + HOUR,
        workshop=cast.workshop, now=cast.now, actor=None,
    )  # fmt: skip
    answer = cast.browser.post(reverse("client_return"), {"starts_at": wanted})
    page = answer.content.decode()
    assert answer.status_code == 409 and wanted not in options(page) and len(options(page)) == 2
    assert "Brand" not in page


@pytest.mark.django_db(transaction=True)
@pytest.mark.usefixtures("file_database")
def test_two_clients_pick_one_time_at_the_same_moment_and_one_has_it():
    (first, one), (second, two) = after_handover(), after_handover(client=make_client(name="Otis Brand"))
    candidate = return_alternatives(one, first.workshop, first.now)[0]

    def pick(cast: Cast, handover: Handover):
        return pick_return_time(
            handover=handover, starts_at=candidate.starts_at, offered=[candidate], link=cast.link,
            workshop=cast.workshop, now=right_now(),
        )  # fmt: skip

    outcomes = at_once(lambda: pick(first, one), lambda: pick(second, two))
    (sequences,) = at_once(lambda: sorted(Visit.objects.filter(kind="return").values_list("sequence", flat=True)))
    assert sorted(type(outcome).__name__ for outcome in outcomes) == ["ClientDecision", "SlotTaken"], outcomes
    assert sequences == [0, 1]


def test_a_reason_never_speaks_of_somebody_elses_visit():
    cast, handover = after_handover()
    candidate = return_alternatives(handover, cast.workshop, cast.now)[0]
    told = type(candidate)(
        candidate.starts_at, candidate.ends_at, candidate.day, 1,
        ("on the same round as the visit at 10:00, 5 min away", "Tuesday, as you asked"),
    )  # fmt: skip
    assert client_reasons(told) == ("We are near you that day.", "Tuesday, as you asked.")


def test_after_an_undone_handover_there_is_nothing_to_pick():
    cast, handover = after_handover()
    Handover.objects.update(undone_at=cast.now)
    assert cast.browser.get(reverse("client_return")).status_code == 404
    handover.refresh_from_db()
    with pytest.raises(Refusal):
        pick_return_time(
            handover=handover, starts_at=cast.now, offered=[], link=cast.link, workshop=cast.workshop, now=cast.now
        )
    assert issubclass(SlotTaken, Refusal)


def test_the_pack_is_read_as_a_page_and_as_the_pdf_that_was_issued():
    cast, handover = after_handover()
    pack = pack_for_sending(handover, cast.now)
    page = cast.browser.get(reverse("client_pack"))
    assert page.status_code == 200 and reverse("client_pack_pdf", args=[pack.pk]) in page.content.decode()
    pdf = cast.browser.get(reverse("client_pack_pdf", args=[pack.pk]))
    with pack.file.open("rb") as kept:
        assert b"".join(pdf.streaming_content) == kept.read()
    other = make_cast(client=make_client(name="Otis Brand", email="brand@example.org"))
    assert other.browser.get(reverse("client_pack_pdf", args=[pack.pk])).status_code == 404
    assert other.browser.get(reverse("client_pack")).status_code == 404


def test_boxes_are_unticked_one_a_use_and_each_is_taken_back_by_one_button():
    cast = make_cast()
    address = reverse("client_permissions")
    page = cast.browser.get(address).content.decode()
    assert page.count('type="checkbox"') == len(PhotographUse.values) == 5 and "checked" not in page
    cast.browser.post(address, {"uses": ["web", "press"], "given_by": "Priscilla Quennell"})
    rows = Permission.objects.order_by("use").values_list("use", "wording", "given_by", "way", "withdrawn_at")
    assert list(rows) == [
        (use, WORDINGS[use], "Priscilla Quennell", "link", None) for use in ("press", "web")
    ]  # fmt: skip
    page = cast.browser.get(address).content.decode()
    assert page.count('type="checkbox"') == 3 and page.count("Take this back") == 2
    web = Permission.objects.get(use="web")
    cast.browser.post(reverse("client_permission_withdraw", args=[web.pk]))
    web.refresh_from_db()
    assert web.withdrawn_at is not None and web.withdrawn_way == "link"
    assert (is_allowed(cast.commission, "web"), is_allowed(cast.commission, "press")) == (False, True)
    assert "taken back on" in cast.browser.get(address).content.decode()
    assert cast.browser.post(reverse("client_permission_withdraw", args=[web.pk])).status_code == 422


def test_a_permission_given_by_mistake_is_taken_back_within_the_hour():
    cast = make_cast()
    cast.browser.post(reverse("client_permissions"), {"uses": ["social"], "given_by": "P"})
    cast.browser.post(reverse("client_undo", args=[ClientDecision.objects.get().pk]))
    assert not is_allowed(cast.commission, "social") and Permission.objects.count() == 1


@pytest.mark.parametrize(
    ("data", "words"),
    [
        ({"given_by": "P"}, "tick what you allow"),
        ({"uses": ["web"], "given_by": " "}, "Your name"),
        ({"uses": ["everything"], "given_by": "P"}, "only what is listed"),
        *[({"uses": [text], "given_by": "P"}, "only what is listed") for text in HOSTILE],
    ],
)
def test_what_cannot_be_allowed_is_refused_with_a_sentence(data, words):
    cast = make_cast()
    answer = cast.browser.post(reverse("client_permissions"), data)
    assert answer.status_code == 422 and words in answer.content.decode() and not Permission.objects.exists()


@pytest.mark.parametrize("text", HOSTILE)
def test_any_name_is_kept_as_typed_or_refused(text):
    cast = make_cast()
    answer = cast.browser.post(reverse("client_permissions"), {"uses": ["web"], "given_by": text})
    if len(text) > 120:
        assert answer.status_code == 422 and "at most 120" in answer.content.decode()
    else:
        assert Permission.objects.get().given_by == text
        assert "<b>bold" not in cast.browser.get(reverse("client_permissions")).content.decode()


def test_the_domain_refuses_what_is_no_use_no_way_and_what_stands_already():
    cast = make_cast()
    fields = {"commission": cast.commission, "given_by": "P", "now": cast.now, "actor": None}
    given = give_permission(use="web", way="told", **fields)
    for use, way, words in (("all", "told", "one of the uses"), ("press", "sung", "How"), ("web", "told", "already")):
        with pytest.raises(Refusal, match=words):
            give_permission(use=use, way=way, **fields)
    with pytest.raises(Refusal, match="How"):
        withdraw_permission(permission=given, way="sung", now=cast.now, actor=None)
    withdraw_permission(permission=given, way="written", now=cast.now, actor=None)
    assert give_permission(use="web", way="told", **fields).pk != given.pk
    assert not Permission.objects.filter(use="record").exists()


def test_another_clients_permission_is_out_of_reach_and_looking_is_not_deciding():
    cast = make_cast()
    given = give_permission(commission=cast.commission, use="web", way="told", given_by="P", now=cast.now, actor=None)
    other = make_cast(client=make_client(name="Otis Brand", email="brand@example.org"))
    assert other.browser.post(reverse("client_permission_withdraw", args=[given.pk])).status_code == 404
    looking = make_cast(scope=LinkScope.VIEW)
    assert looking.browser.post(reverse("client_permissions"), {"uses": ["web"], "given_by": "L"}).status_code == 403
    assert is_allowed(cast.commission, "web") and Permission.objects.count() == 1


def test_reading_after_handover_writes_nothing():
    cast, handover = after_handover()
    pack = pack_for_sending(handover, cast.now)
    names = ["client_page", "client_return", "client_pack", "client_permissions"]
    for address in [*map(reverse, names), reverse("client_pack_pdf", args=[pack.pk])]:
        for method in ("get", "head"):
            with CaptureQueriesContext(connection) as caught:
                assert getattr(cast.browser, method)(address).status_code == 200, address
            assert all(one["sql"].startswith("SELECT") for one in caught.captured_queries), address
