from __future__ import annotations

import datetime as dt
import hashlib

import pytest
from allauth.account.models import EmailAddress
from django.contrib.auth import authenticate

from jobs.domain.people import save_person
from jobs.domain.sign_in import (
    INVITATION_LASTS,
    PAIRING_LASTS,
    accept_invitation,
    add_wall_screen,
    device_of,
    invite_person,
    new_invitation_token,
    pair_wall_screen,
    revoke_wall_screen,
    standing_invitation,
    withdraw_invitations,
)
from jobs.domain.steps import finish_step
from jobs.models import DaybookLine, Device, Invitation, Message, Person, Role, SendPolicy, StepKind
from jobs.refusal import Refusal
from jobs.roles import May, may
from jobs.sweep import sweep
from tests.factories import NOW, make_commission, make_helper, make_maker, make_workshop

pytestmark = pytest.mark.django_db
NEW_PASSWORD = "four-dry-oak-boards"
SECOND = dt.timedelta(seconds=1)


@pytest.fixture
def workshop():
    return make_workshop()


@pytest.fixture
def maker():
    return make_maker()


@pytest.fixture
def invited(workshop, maker):
    person = make_helper(email="sam@example.org")
    return invite_person(person=person, workshop=workshop, now=NOW, actor=maker)


def token_of(invitation, now=NOW):
    return new_invitation_token(invitation.pk, now=now)


def accept(token, *, password=NEW_PASSWORD, now=NOW):
    return accept_invitation(token=token, password=password, now=now)


def test_an_invited_person_sets_a_password_and_can_sign_in(invited, rf):
    token = token_of(invited)
    person = accept(token)
    assert authenticate(rf.post("/"), email="sam@example.org", password=NEW_PASSWORD) == person
    assert EmailAddress.objects.get(user=person).verified
    assert Invitation.objects.get().used_at == NOW
    with pytest.raises(Refusal, match="used already"):
        accept(token)


def test_the_token_is_kept_as_a_hash_only(invited):
    token = token_of(invited)
    assert len(token) == 43  # 32 bytes in base64 without padding: 256 bits
    stored = Invitation.objects.get().token_hash
    assert stored == hashlib.sha256(token.encode()).hexdigest() and token not in stored


def test_an_invitation_lasts_three_days_from_its_mail(invited):
    mailed = NOW + dt.timedelta(days=2)
    token = token_of(invited, mailed)
    assert standing_invitation(token, now=mailed + INVITATION_LASTS - SECOND)
    assert standing_invitation(token, now=mailed + INVITATION_LASTS) is None
    with pytest.raises(Refusal, match="run out"):
        accept(token, now=mailed + INVITATION_LASTS)


def test_a_mail_tried_again_carries_a_new_link_and_voids_the_first(invited):
    first, second = token_of(invited), token_of(invited)
    assert standing_invitation(first, now=NOW) is None
    assert standing_invitation(second, now=NOW) == invited


def test_inviting_again_withdraws_the_earlier_one(invited, workshop, maker):
    token = token_of(invited)
    invite_person(person=invited.person, workshop=workshop, now=NOW, actor=maker)
    assert standing_invitation(token, now=NOW) is None and token_of(invited) is None
    assert Message.objects.filter(kind="invitation").count() == 2
    assert withdraw_invitations(person=invited.person, now=NOW) == 1


@pytest.mark.parametrize("fields", [{"email": None}, {"is_active": False}])
def test_who_cannot_be_invited(workshop, maker, fields):
    person = make_helper(**{"email": "sam@example.org"} | fields)
    with pytest.raises(Refusal, match=str(person)):
        invite_person(person=person, workshop=workshop, now=NOW, actor=maker)
    assert not Message.objects.exists()


def test_somebody_who_leaves_cannot_use_an_invitation_any_more(invited, maker):
    token = token_of(invited)
    person = invited.person
    person.is_active = False
    save_person(person=person, now=NOW, actor=maker)
    assert standing_invitation(token, now=NOW) is None and token_of(invited) is None
    # Nor after coming back: it was withdrawn, not only hidden.
    person.is_active = True
    save_person(person=person, now=NOW, actor=maker)
    assert standing_invitation(token, now=NOW) is None


@pytest.mark.parametrize("password", ["short", "password1234", "sam@example.org", ""])
def test_a_weak_password_is_refused_and_the_link_still_works(invited, password):
    token = token_of(invited)
    with pytest.raises(Refusal, match="Password") as refused:
        accept(token, password=password)
    assert refused.value.field == "password"
    assert not Person.objects.get(pk=invited.person_id).has_usable_password()
    assert accept(token).has_usable_password()


@pytest.mark.parametrize("token", ["", "x", "é", "None", "0" * 64])
def test_no_other_token_opens(invited, token):
    token_of(invited)
    assert standing_invitation(token, now=NOW) is None


def test_the_sweep_sends_the_link_once_and_keeps_no_copy_of_it(invited, mailoutbox, settings):
    settings.EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"
    assert sweep(NOW).sent == 1 and sweep(NOW).sent == 0
    (mail,) = mailoutbox
    link = next(line for line in mail.body.splitlines() if "/invitation/" in line)
    token = link.rstrip("/").rpartition("/")[2]
    assert link.startswith(settings.PUBLIC_URL) and standing_invitation(token, now=NOW) == invited
    message = Message.objects.get(kind="invitation")
    assert message.policy == SendPolicy.AT_MOST_ONCE
    assert token not in message.body and "/invitation/..." in message.body
    assert token in mail.alternatives[0][0]


def test_a_used_invitation_is_not_mailed(invited, mailoutbox):
    accept(token_of(invited))
    assert sweep(NOW).withdrawn == 1 and not mailoutbox


def test_a_new_mail_address_takes_the_old_one_out_of_the_sign_in(invited, maker, rf):
    person = accept(token_of(invited))
    person.email = "sam.ashby@example.org"
    save_person(person=person, now=NOW, actor=maker)
    assert authenticate(rf.post("/"), email="sam@example.org", password=NEW_PASSWORD) is None
    assert authenticate(rf.post("/"), email="sam.ashby@example.org", password=NEW_PASSWORD) == person


@pytest.mark.parametrize("change", [{"role": Role.HELPER}, {"is_active": False}, {"email": None}])
def test_the_last_maker_who_can_sign_in_stays_one(maker, change):
    for name, value in change.items():
        setattr(maker, name, value)
    with pytest.raises(Refusal, match="nobody could change the workshop"):
        save_person(person=maker, now=NOW, actor=maker)
    make_maker(name="Ash Lowe")
    save_person(person=maker, now=NOW, actor=maker)


def pair(device_code, now=NOW):
    return pair_wall_screen(code=device_code, now=now)


def test_a_wall_screen_is_paired_once_by_its_code(maker):
    made, code = add_wall_screen(name=" Over the bench ", now=NOW, actor=maker)
    assert made.name == "Over the bench" and not made.is_active
    device, token = pair(code.lower().replace("-", " "))
    assert device == made and device.is_active and device_of(token, now=NOW) == made
    assert device.token_hash == hashlib.sha256(token.encode()).hexdigest()
    with pytest.raises(Refusal, match="not a code that waits"):
        pair(code)


def test_the_pairing_code_is_not_stored_and_lasts_ten_minutes(maker):
    made, code = add_wall_screen(name="Bench", now=NOW, actor=maker)
    bare = code.replace("-", "")
    assert len(bare) == 8
    # Short, so a plain hash could be tried out from a copy of the database.
    assert made.pairing_hash not in {hashlib.sha256(text.encode()).hexdigest() for text in (code, bare)}
    with pytest.raises(Refusal):
        pair(code, NOW + PAIRING_LASTS)
    pair(code, NOW + PAIRING_LASTS - SECOND)


@pytest.mark.parametrize("code", ["", "ABCD", "        ", "AAAA-AAAA", "ABCDEFGH" * 3])
def test_a_code_that_is_none_pairs_nothing(maker, code):
    add_wall_screen(name="Bench", now=NOW, actor=maker)
    with pytest.raises(Refusal) as refused:
        pair(code)
    assert refused.value.field == "code" and not Device.objects.get().is_active


def test_a_revoked_screen_is_nobody(maker):
    _, code = add_wall_screen(name="Bench", now=NOW, actor=maker)
    device, token = pair(code)
    assert may(device, May.BOARD) and may(device, May.TICK)
    assert not any(may(device, what) for what in May if what not in (May.BOARD, May.TICK, May.ANYONE))
    revoke_wall_screen(device=device, now=NOW, actor=maker)
    assert device_of(token, now=NOW) is None and not may(Device.objects.get(), May.BOARD)
    with pytest.raises(Refusal, match="already"):
        revoke_wall_screen(device=device, now=NOW, actor=maker)


def test_a_screen_taken_out_before_it_was_paired_cannot_be_paired(maker):
    made, code = add_wall_screen(name="Bench", now=NOW, actor=maker)
    revoke_wall_screen(device=made, now=NOW, actor=maker)
    with pytest.raises(Refusal):
        pair(code)


def test_a_tick_on_the_wall_says_which_screen_and_no_person(maker):
    _, code = add_wall_screen(name="Bench", now=NOW, actor=maker)
    device, _ = pair(code)
    step = make_commission(maker=maker).steps.get(kind=StepKind.SURVEY)
    finish_step(step=step, at=NOW, now=NOW, actor=device)
    line = DaybookLine.objects.get(act="finish_step")
    assert line.actor is None and line.facts["device"] == device.pk


def test_seen_is_written_once_an_hour(maker, django_assert_num_queries):
    _, code = add_wall_screen(name="Bench", now=NOW, actor=maker)
    _, token = pair(code)
    with django_assert_num_queries(1):
        device_of(token, now=NOW + dt.timedelta(minutes=59))
    later = NOW + dt.timedelta(minutes=61)
    with django_assert_num_queries(2):
        device_of(token, now=later)
    assert Device.objects.get().last_seen_at == later
