from __future__ import annotations

import itertools
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.invites.judging import proposal_in_words
from jobs.invites.replies import Envelope, KnownVisit, Reply, Verdict, judge, read_reply
from tests.jobs.invites import replies_as_sent as sent
from tests.jobs.invites.samples import ASKED_AT, ATTENDEE, BASE, TOKEN, UID

ARRIVED_AT = datetime(2026, 9, 1, 10, 0, 30, tzinfo=UTC)
KNOWN = KnownVisit(UID, 0, ATTENDEE, TOKEN, "NEEDS-ACTION", "Europe/London", asked_at=ASKED_AT)
ENVELOPE = Envelope(arrived_at=ARRIVED_AT, sender=ATTENDEE, tokens=(TOKEN,))
REPLY = Reply("REPLY", UID, ATTENDEE, "ACCEPTED", ENVELOPE, sequence=0, dtstamp=ASKED_AT + timedelta(minutes=5))


def read(raw: bytes, arrived_at: datetime = ARRIVED_AT) -> Reply:
    found = read_reply(raw, organiser_base=BASE, arrived_at=arrived_at)
    assert isinstance(found, Reply), found
    return found


def taken(known: KnownVisit, verdict: Verdict) -> KnownVisit:
    """The visit after a verdict, as the caller stores it."""
    if verdict.action != "accept" or verdict.attendance is None:
        return known
    return replace(known, attendance=verdict.attendance, last_reply_at=verdict.reply_at, last_tie_at=verdict.tie_at)


@pytest.mark.parametrize(
    ("raw", "attendance", "sentence"),
    [
        (sent.first_program(), "ACCEPTED", "They accept."),
        (sent.first_program("TENTATIVE"), "TENTATIVE", "They may come; not sure yet."),
        (sent.second_program(), "ACCEPTED", "They accept."),
        (sent.third_program(), "DECLINED", "They decline."),
    ],
)
def test_the_three_programs_replies_are_taken(raw: bytes, attendance: str, sentence: str) -> None:
    verdict = judge(read(raw), KNOWN)
    assert (verdict.action, verdict.attendance, verdict.sentence) == ("accept", attendance, sentence)


FAULTS = [
    ("sender", replace(REPLY, envelope=replace(ENVELOPE, sender="eve@example.org")), "hold", "from eve@example.org"),
    ("no sender", replace(REPLY, envelope=replace(ENVELOPE, sender=None)), "hold", "clearly who sent it"),
    ("attendee", replace(REPLY, attendee_email="eve@example.org"), "hold", "answers for eve@example.org"),
    ("no token", replace(REPLY, envelope=replace(ENVELOPE, tokens=())), "hold", "visit's own address"),
    ("wrong token", replace(REPLY, envelope=replace(ENVELOPE, tokens=("e" * 32,))), "hold", "visit's own address"),
    ("two tokens", replace(REPLY, envelope=replace(ENVELOPE, tokens=(TOKEN, "e" * 32))), "hold", "several visits"),
    ("uid", replace(REPLY, uid="another"), "ignore", "do not know"),
    ("no answer", replace(REPLY, attendance="NEEDS-ACTION"), "ignore", "no answer yet"),
    ("delegated", replace(REPLY, attendance="DELEGATED"), "hold", "“DELEGATED”"),
    ("later version", replace(REPLY, sequence=3), "hold", "not sent"),
]


@pytest.mark.parametrize(("name", "reply", "action", "words"), FAULTS, ids=[fault[0] for fault in FAULTS])
def test_a_doubtful_reply_changes_nothing(name: str, reply: Reply, action: str, words: str) -> None:
    verdict = judge(reply, KNOWN)
    assert (verdict.action, verdict.attendance) == (action, None)
    assert words in verdict.sentence


def test_a_reply_to_no_visit_of_ours_is_ignored() -> None:
    assert judge(REPLY, None).action == "ignore"


def test_an_answer_to_the_earlier_date_is_ignored() -> None:
    """RFC 5546 2.1.5: the higher SEQUENCE wins, whatever the stamps say."""
    moved = replace(KNOWN, sequence=1)
    late = replace(
        REPLY,
        dtstamp=ASKED_AT + timedelta(days=3),
        envelope=replace(ENVELOPE, arrived_at=ASKED_AT + timedelta(days=4)),
    )
    assert judge(late, moved).sentence == "It answers an earlier date of this visit."
    assert judge(replace(late, sequence=1), moved).action == "accept"


def test_without_a_version_an_older_stamp_is_a_doubt_for_a_person() -> None:
    moved = replace(KNOWN, sequence=1, asked_at=ASKED_AT + timedelta(hours=3))
    assert judge(replace(REPLY, sequence=None), moved).action == "hold"
    fresh = replace(
        REPLY, sequence=None, dtstamp=None, envelope=replace(ENVELOPE, arrived_at=ASKED_AT + timedelta(hours=4))
    )
    assert judge(fresh, moved).action == "accept"


def test_an_older_stamp_after_a_newer_answer_is_ignored() -> None:
    known = taken(KNOWN, judge(REPLY, KNOWN))
    older = replace(REPLY, attendance="DECLINED", dtstamp=ASKED_AT + timedelta(minutes=1))
    assert judge(older, known).sentence == "A later answer is already here."


def test_equal_stamps_are_parted_by_the_programs_own_time() -> None:
    """Both answers carry one DTSTAMP; the decline was given later but arrives first."""
    decline = replace(REPLY, attendance="DECLINED", replied_at=ASKED_AT + timedelta(minutes=9))
    accept = replace(REPLY, replied_at=ASKED_AT + timedelta(minutes=6))
    known = taken(KNOWN, judge(decline, KNOWN))
    assert judge(accept, known).action == "ignore"
    assert judge(decline, taken(KNOWN, judge(accept, KNOWN))).attendance == "DECLINED"


def test_equal_stamps_without_own_times_are_parted_by_arrival() -> None:
    first = read(sent.second_program("ACCEPTED"), ARRIVED_AT)
    second = read(sent.second_program("DECLINED"), ARRIVED_AT + timedelta(minutes=2))
    known = taken(KNOWN, judge(first, KNOWN))
    verdict = judge(second, known)
    assert (verdict.action, verdict.attendance) == ("accept", "DECLINED")
    assert judge(first, taken(known, verdict)).action == "ignore"


def test_the_same_answer_again_is_said_to_be_so() -> None:
    known = taken(KNOWN, judge(REPLY, KNOWN))
    assert judge(REPLY, known) == replace(judge(REPLY, KNOWN), sentence="They accept. They had said so before.")


@given(st.permutations(["ACCEPTED", "DECLINED", "TENTATIVE", "DECLINED"]), st.permutations(range(4)))
def test_the_last_answer_given_wins_in_whatever_order_the_mails_come(answers: list[str], order: list[int]) -> None:
    """Brute force: four answers, a minute apart, arriving in any order."""
    replies = [
        replace(REPLY, attendance=answer, dtstamp=ASKED_AT + timedelta(minutes=minute))
        for minute, answer in enumerate(answers)
    ]
    known = KNOWN
    for place, number in enumerate(order):
        arrival = replace(ENVELOPE, arrived_at=ASKED_AT + timedelta(hours=1, minutes=place))
        known = taken(known, judge(replace(replies[number], envelope=arrival), known))
    assert known.attendance == answers[-1]


def test_only_the_right_sender_attendee_and_token_together_change_anything() -> None:
    """Every combination of right and wrong; exactly one of the sixteen is taken."""
    changes = itertools.product(
        (ATTENDEE, "eve@example.org"), (ATTENDEE, "eve@example.org"), (TOKEN, "e" * 32), (UID, "other")
    )
    taken_ones = [
        combination
        for combination in changes
        if judge(
            replace(
                REPLY,
                attendee_email=combination[1],
                uid=combination[3],
                envelope=replace(ENVELOPE, sender=combination[0], tokens=(combination[2],)),
            ),
            KNOWN,
        ).action
        == "accept"
    ]
    assert taken_ones == [(ATTENDEE, ATTENDEE, TOKEN, UID)]


@pytest.mark.parametrize(
    ("start", "end", "words"),
    [
        # A zone name that is not IANA's, meant for the United Kingdom; winter time on 3 November.
        (
            "DTSTART;TZID=GMT Standard Time:20261103T140000",
            "DTEND;TZID=GMT Standard Time:20261103T150000",
            "They propose another time: Tuesday 3 November 2026, 14:00 to 15:00.",
        ),
        # UTC in summer: an hour later on the wall in London.
        (
            "DTSTART:20260908T080000Z",
            "DTEND:20260908T093000Z",
            "They propose another time: Tuesday 8 September 2026, 09:00 to 10:30.",
        ),
        (
            "DTSTART;VALUE=DATE:20261103",
            "DTEND;VALUE=DATE:20261104",
            "They propose another time: Tuesday 3 November 2026, at any time.",
        ),
        (
            "DTSTART;TZID=Nowhere:20261103T140000",
            "DTEND;TZID=Nowhere:20261103T150000",
            "They propose another time: Tuesday 3 November 2026, 14:00 to 15:00 (by their own clock; "
            "we do not know their time zone).",
        ),
        ("DTSTART:2026", "DTEND:never", "They propose another time, but their mail does not say which; please ask."),
    ],
)
def test_a_proposal_is_held_and_told_in_words(start: str, end: str, words: str) -> None:
    verdict = judge(read(sent.counter(start, end)), KNOWN)
    assert (verdict.action, verdict.attendance, verdict.sentence) == ("hold", None, words)


def test_a_proposal_from_a_stranger_is_held_for_that() -> None:
    assert "who was not invited" in judge(read(sent.counter(sender="eve@example.org")), KNOWN).sentence


def test_a_proposal_over_midnight_names_both_days() -> None:
    start = datetime(2026, 12, 31, 23, 0, tzinfo=UTC)
    told = proposal_in_words(start, start + timedelta(hours=2), "Europe/London")
    assert told == "Thursday 31 December 2026, 23:00 to Friday 1 January 2027, 01:00"


def test_the_first_and_last_days_of_the_calendar_do_no_harm() -> None:
    assert proposal_in_words(datetime.max.replace(tzinfo=UTC), None, "Asia/Tokyo").startswith(
        "Friday 31 December 9999"
    )
    assert proposal_in_words(date.min, None, "Europe/London") == "Monday 1 January 1, at any time"
