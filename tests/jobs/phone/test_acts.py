"""What a phone tells has one effect a key, however often it is told, and nothing that was told is lost.

Checked by brute force: the rows of the database are counted after each telling.
"""

from __future__ import annotations

import datetime as dt
import json
from uuid import uuid4

import pytest
from django.urls import reverse
from django.utils import timezone

from jobs.domain.erasing_site import forget_site
from jobs.domain.site_acts import SentAct, record_act
from jobs.models import DaybookLine, HourEntry, Piece, SiteAct, Snag, Step, StepKind
from jobs.refusal import Refusal
from jobs.registries import SiteActKind, site_acts
from tests.factories import make_maker
from tests.jobs.phone.cast import Phone, site_cast
from tests.threads import at_once

MINUTE, HOUR = dt.timedelta(minutes=1), dt.timedelta(hours=1)


@pytest.fixture
def cast(db):
    return site_cast()


def step_of(commission, kind):
    return Step.objects.get(commission=commission, kind=kind)


def test_a_whole_site_day_is_told_at_once_with_its_own_hours(cast):
    _, maker, commission, phone = cast
    load, piece = step_of(commission, StepKind.LOAD), commission.pieces.first()
    began = timezone.now() - 3 * HOUR
    results = phone.results(
        phone.act("start_timer", ago=3 * HOUR, kind="load"),
        phone.act("start_step", ago=3 * HOUR - MINUTE, step=load.pk),
        phone.act("tick_piece", ago=2 * HOUR, piece=piece.pk, stage="loaded", present=1),
        phone.act("tick_piece", ago=2 * HOUR - MINUTE, label="p02", stage="loaded", present=1),
        phone.act("finish_step", ago=HOUR, step=load.pk),
        phone.act("stop_timer", ago=HOUR),
        phone.act("note_snag", ago=MINUTE, place="Door 3", words="scratched"),
    )
    assert [outcome for outcome, _ in results] == ["done"] * 7, results
    load.refresh_from_db()
    assert abs(load.started_at - began) < 2 * MINUTE and abs(load.finished_at - began - 2 * HOUR) < 2 * MINUTE
    entry = HourEntry.objects.get()
    assert (entry.kind, entry.minutes, entry.person) == ("load", 120, maker)
    assert [one.label for one in commission.pieces.filter(loaded_at__isnull=False)] == ["P01", "P02"]
    assert Snag.objects.get().words == "scratched"
    assert SiteAct.objects.filter(device="phone-1", outcome="done").count() == 7


def test_told_five_times_it_happens_once(cast):
    _, _, _, phone = cast
    acts = [phone.act("note_snag", place="Plinth", words=f"gap {n}") for n in range(4)]
    first = phone.tell(*acts).json()
    lines = DaybookLine.objects.count()
    for _ in range(4):
        assert phone.tell(*acts).json() == first
    assert Snag.objects.count() == 4 and SiteAct.objects.count() == 4 and DaybookLine.objects.count() == lines


def test_a_key_of_another_act_is_not_taken_for_a_replay(cast):
    _, _, commission, phone = cast
    key = uuid4()
    phone.results(phone.act("note_snag", key=key, place="Plinth", words="gap"))
    [(outcome, sentence)] = phone.results(phone.act("note_snag", key=key, place="Door", words="other"))
    assert outcome == "refused" and "another act" in sentence and Snag.objects.count() == 1
    other = Phone(make_maker(), commission)
    [(outcome, _)] = other.results(phone.act("note_snag", key=key, place="Plinth", words="gap"))
    assert outcome == "refused" and Snag.objects.count() == 1


def test_a_refused_act_is_kept_with_its_sentence_and_shown(cast):
    _, _, commission, phone = cast
    commission.held_since = timezone.now().date()
    commission.save(update_fields=["held_since"])
    load = step_of(commission, StepKind.LOAD)
    [(outcome, sentence)] = phone.results(phone.act("start_step", step=load.pk))
    assert outcome == "refused" and "on hold" in sentence
    row = SiteAct.objects.get()
    assert row.outcome == "refused" and row.sentence == sentence
    page = phone.browser.get(reverse("site_acts")).content.decode()
    assert "on hold" in page and "Seen to" in page
    assert "1 act from phones could not be done" in phone.browser.get(reverse("site_today")).content.decode()
    phone.browser.post(reverse("settle_site_act", args=[row.pk]))
    row.refresh_from_db()
    assert row.seen_at is not None
    answer = phone.browser.post(reverse("settle_site_act", args=[row.pk]), follow=True)
    assert "seen to already" in answer.content.decode()
    assert phone.browser.get(reverse("settle_site_act", args=[row.pk])).status_code == 404
    assert "could not be done" not in phone.browser.get(reverse("site_today")).content.decode()


def test_one_refused_act_does_not_hold_up_the_others(cast):
    _, _, _, phone = cast
    good, bad = phone.act("note_snag", place="Door", words="rubs"), phone.act("note_snag", place="", words="x")
    assert [outcome for outcome, _ in phone.results(bad, good)] == ["refused", "done"]
    assert Snag.objects.count() == 1 and SiteAct.objects.count() == 2


def test_two_phones_that_disagree_keep_both_facts_and_the_newest_is_shown(cast):
    _, maker, commission, phone = cast
    piece = commission.pieces.first()
    other = Phone(maker, commission, "phone-2")
    newer = other.act("tick_piece", ago=5 * MINUTE, piece=piece.pk, stage="loaded", present=1)
    newest = other.act("tick_piece", ago=2 * MINUTE, piece=piece.pk, stage="loaded", present=0)
    older = phone.act("tick_piece", ago=3 * MINUTE, piece=piece.pk, stage="loaded", present=1)
    assert [outcome for outcome, _ in other.results(newer, newest)] == ["done", "done"]
    [(outcome, sentence)] = phone.results(older)  # it happened before the newest, and comes in after it
    assert outcome == "overtaken" and "not in the van" in sentence
    piece.refresh_from_db()
    assert piece.loaded_at is None
    page = phone.browser.get(reverse("site_phone", args=[commission.number])).content.decode()
    assert page.count("P01 Carcass 1 is not in the van") >= 2 and "P01 Carcass 1 is in the van" in page
    assert SiteAct.objects.count() == 3


def test_what_is_so_already_is_no_mistake(cast):
    _, maker, commission, phone = cast
    piece, load = commission.pieces.first(), step_of(commission, StepKind.LOAD)
    other = Phone(maker, commission, "phone-2")
    told = [("tick_piece", {"piece": piece.pk, "stage": "in_room", "present": 1}), ("start_step", {"step": load.pk})]
    for kind, payload in told:
        [(first, _)] = phone.results(phone.act(kind, ago=2 * MINUTE, **payload))
        [(second, _)] = other.results(other.act(kind, ago=MINUTE, **payload))
        assert (first, second) == ("done", "known")
    [(outcome, _)] = phone.results(phone.act("stop_timer"))
    assert outcome == "known"


@pytest.mark.parametrize(
    ("ahead", "outcome"),
    [(dt.timedelta(minutes=4), "done"), (dt.timedelta(minutes=9), "refused"), (-dt.timedelta(days=61), "refused")],
)
def test_a_clock_a_little_ahead_is_taken_as_now(cast, ahead, outcome):
    _, _, commission, phone = cast
    load = step_of(commission, StepKind.LOAD)
    [(found, sentence)] = phone.results(phone.act("start_step", ago=-ahead, step=load.pk))
    assert found == outcome
    load.refresh_from_db()
    assert (load.started_at is not None and load.started_at <= timezone.now()) == (outcome == "done")
    if ahead > dt.timedelta(minutes=5):
        assert "clock is 9 minutes ahead" in sentence


def test_a_stop_from_before_the_timer_began_stops_nothing(cast):
    phone = cast[3]
    phone.results(phone.act("start_timer", ago=10 * MINUTE, kind="fit"))
    [(outcome, _)] = phone.results(phone.act("stop_timer", ago=HOUR))
    assert outcome == "refused" and HourEntry.objects.get().ended_at is None


def good(phone):
    return phone.act("note_snag", place="Door", words="rubs")


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda body: body | {"acts": "none"}, "list of acts"),
        (lambda body: body | {"acts": []}, "From 1 to 50"),
        (lambda body: body | {"acts": body["acts"] * 51}, "From 1 to 50"),
        (lambda body: body | {"person": 10**6}, "somebody else"),
        (lambda body: body | {"device": "x" * 37}, "device"),
        (lambda body: body | {"acts": [5]}, "object"),
        (lambda body: body | {"acts": [body["acts"][0] | {"key": "one"}]}, "UUID"),
        (lambda body: body | {"acts": [body["acts"][0] | {"kind": "sell_van"}]}, "no act of this kind"),
        (lambda body: body | {"acts": [body["acts"][0] | {"commission": 0}]}, "no commission"),
        (lambda body: body | {"acts": [body["acts"][0] | {"commission": True}]}, "no commission"),
        (lambda body: body | {"acts": [body["acts"][0] | {"happened_at": "today"}]}, "instant with its zone"),
        (lambda body: body | {"acts": [body["acts"][0] | {"happened_at": "2027-03-10T10:42:00"}]}, "its zone"),
        (lambda body: body | {"acts": [body["acts"][0] | {"happened_at": "9999-99-10T10:42:00Z"}]}, "its zone"),
        (lambda body: body | {"acts": [body["acts"][0] | {"payload": {"a": 1}}]}, "Every entry is text"),
        (lambda body: body | {"acts": [body["acts"][0] | {"payload": {"a": "x\x00"}}]}, "control signs"),
        (
            lambda body: body | {"acts": [body["acts"][0] | {"payload": {str(n): "" for n in range(41)}}]},
            "at most 40",
        ),
        (lambda body: "{", "JSON"),
        (lambda body: "[" * 5000, "JSON"),
        (lambda body: json.dumps(body) + " " * 300_000, "256 kB"),
    ],
)
def test_what_cannot_be_read_is_refused_with_a_sentence_and_nothing_is_kept(cast, change, words):
    _, maker, _, phone = cast
    answer = phone.post(change({"device": "phone-1", "person": maker.pk, "acts": [good(phone)]}))
    assert answer.status_code == 400 and words in answer.json()["sentence"], answer.content
    assert not SiteAct.objects.exists() and not Snag.objects.exists()


@pytest.mark.parametrize(
    ("kind", "payload", "words"),
    [
        ("start_step", {"step": "99999"}, "not of this commission"),
        ("start_step", {}, "not of this commission"),
        ("start_step", {"step": "1" * 30}, "not of this commission"),
        ("tick_piece", {"label": "P99", "stage": "loaded", "present": 1}, "write it as P07"),
        ("tick_piece", {"label": "oak", "stage": "loaded", "present": 1}, "write it as P07"),
        ("tick_piece", {"label": "P01", "stage": "sold", "present": 1}, "Count at wrap"),
        ("start_timer", {"kind": "sleep"}, "choose one of the list"),
        ("note_snag", {"place": "x" * 81, "words": "y"}, "80 is the most"),
        ("note_snag", {"place": "x", "words": "y", "cause": "gnomes"}, "choose one"),
        ("note_snag", {"place": "x", "words": "y", "room": "99999"}, "room is not"),
        ("note_snag", {"place": "x", "words": "y", "photograph": "q"}, "take it again"),
        ("note_snag", {"place": "x", "words": "y", "photograph": str(uuid4())}, "not come through"),
        ("finish_snag", {"snag": "99999"}, "not of this commission"),
        ("add_photograph", {}, "choose one"),
        ("note_light", {"room": "99999"}, "not of this commission"),
        ("check_door", {"visit": "99999"}, "not of this commission"),
    ],
)
def test_what_cannot_be_done_is_kept_as_refused(cast, kind, payload, words):
    [(outcome, sentence)] = cast[3].results(cast[3].act(kind, **payload))
    assert outcome == "refused" and words in sentence, sentence
    assert SiteAct.objects.get().sentence == sentence


def test_light_now_and_from_a_photograph(cast):
    _, _, commission, phone = cast
    room = commission.rooms.get()
    noon = timezone.now().replace(hour=12, minute=0) - dt.timedelta(days=1)
    results = phone.results(
        phone.act("note_light", room=room.pk, noted_at=noon.isoformat(), source="photograph", words="soft"),
        phone.act("note_light", room=room.pk, noted_at=(timezone.now() + 3 * MINUTE).isoformat()),
        phone.act("note_light", room=room.pk, noted_at="soon"),
        phone.act("note_light", room=room.pk, noted_at=noon.isoformat()),
    )
    assert [outcome for outcome, _ in results] == ["done", "done", "refused", "known"], results
    first = room.light_notes.get(source="photograph")
    assert (first.noted_at, first.words) == (noon, "soft")


def test_snags_put_right_and_open_again(cast):
    _, _, _commission, phone = cast
    phone.results(good(phone))
    snag = Snag.objects.get()
    assert phone.results(phone.act("finish_snag", ago=2 * MINUTE, snag=snag.pk))[0][0] == "done"
    assert phone.results(phone.act("reopen_snag", ago=MINUTE, snag=snag.pk))[0][0] == "done"
    assert phone.results(phone.act("finish_snag", ago=3 * MINUTE, snag=snag.pk))[0][0] == "overtaken"
    snag.refresh_from_db()
    assert snag.done_at is None


def test_an_act_that_breaks_is_told_again_later_and_the_rest_goes_on(cast, monkeypatch):
    _, _, _, phone = cast

    def breaks(moment):
        raise RuntimeError("a fault of ours")

    monkeypatch.setitem(site_acts.entries, "stop_timer", (100, SiteActKind("Timer stopped", breaks)))
    assert [outcome for outcome, _ in phone.results(phone.act("stop_timer"), good(phone))] == ["later", "done"]
    assert SiteAct.objects.count() == 1


def test_forgetting_a_client_takes_what_phones_said(cast):
    _, _, commission, phone = cast
    phone.results(good(phone))
    forget_site(commission.client_id, timezone.now())
    row = SiteAct.objects.get()
    assert row.payload == {} and row.sentence == ""


@pytest.mark.django_db(transaction=True)
def test_eight_at_once_have_one_effect(file_database):
    workshop, maker, commission, _ = site_cast()
    now = timezone.now()
    sent = SentAct(uuid4(), "note_snag", commission, {"place": "Door", "words": "rubs"}, now, "phone-1")
    piece = Piece.objects.filter(commission=commission).first()
    tick = SentAct(
        uuid4(), "tick_piece", commission, {"piece": str(piece.pk), "stage": "loaded", "present": "1"}, now
    )

    def told(one):
        return lambda: record_act(sent=one, workshop=workshop, now=now, person=maker).outcome

    def rows():
        return Snag.objects.count(), SiteAct.objects.count(), DaybookLine.objects.filter(act="note_snag").count()

    results = at_once(*[told(sent)] * 5, *[told(tick)] * 3)
    [counted] = at_once(rows)
    assert results == ["done"] * 8, results
    assert counted == (1, 2, 1)


def test_a_key_told_by_another_raises(cast):
    workshop, maker, commission, _ = cast
    now = timezone.now()
    sent = SentAct(uuid4(), "stop_timer", commission, {}, now)
    record_act(sent=sent, workshop=workshop, now=now, person=maker)
    with pytest.raises(Refusal, match="another act"):
        record_act(sent=sent, workshop=workshop, now=now, person=make_maker())
