"""Picking an offered time: the unique quarter-hour rows decide, one after the other and at the same moment."""

from __future__ import annotations

import datetime as dt

import pytest

from jobs.domain.client_decisions import undo_decision
from jobs.domain.links import make_link
from jobs.domain.slot_offers import offer_slot, pick_offer, withdraw_offer
from jobs.domain.visits import SlotTaken, book_visit, keep_to_arrange
from jobs.models import ClientDecision, SlotOffer, Visit, VisitSlot
from jobs.queries.slot_offers import open_offers
from jobs.refusal import Refusal
from tests.factories import NOW, make_client, make_commission, make_maker, make_workshop
from tests.threads import at_once

HOUR, DAY = dt.timedelta(hours=1), dt.timedelta(days=1)
NINE = dt.datetime(2027, 3, 17, 9, tzinfo=dt.UTC)


@pytest.fixture
def cast(db):
    workshop, maker = make_workshop(), make_maker()
    other = make_client(name="Otis Brand", email="brand@example.org")
    return workshop, maker, make_commission(maker=maker), make_commission(maker=maker, client=other)


def offer(commission, starts_at=NINE, hours=2, **fields) -> SlotOffer:
    return offer_slot(
        **{
            "commission": commission, "kind": "fitting", "person": commission.maker, "starts_at": starts_at,
            "ends_at": starts_at + hours * HOUR, "now": NOW, "actor": None,
        } | fields
    )  # fmt: skip


def pick(offered, workshop, link=None, now=NOW) -> ClientDecision:
    link = link or make_link(commission=offered.commission, now=NOW, actor=None)[0]
    return pick_offer(offer=offered, link=link, workshop=workshop, now=now)


def undo(decision, workshop, now=NOW) -> None:
    undo_decision(decision=decision, workshop=workshop, now=now)


def test_picking_books_the_visit_and_closes_the_other_offers(cast):
    workshop, maker, commission, _ = cast
    first, second = offer(commission), offer(commission, NINE + DAY)
    survey = offer(commission, NINE + 2 * DAY, kind="survey")
    decision = pick(first, workshop)
    visit = Visit.objects.get()
    assert (visit.starts_at, visit.ends_at, visit.kind, visit.person) == (NINE, NINE + 2 * HOUR, "fitting", maker)
    assert decision.said == "You picked Wednesday 17 March 2027, 9:00 to 11:00, for the fitting."
    assert open_offers(commission, NOW) == [survey]
    second.refresh_from_db()
    assert second.withdrawn_at == NOW
    with pytest.raises(SlotTaken):
        pick(first, workshop)


def test_picking_for_a_visit_moves_it_with_its_identity_and_sequence_up(cast):
    """RFC 5546 2.1.4: a changed event keeps its UID and raises SEQUENCE."""
    workshop, maker, commission, _ = cast
    visit = book_visit(
        commission=commission, kind="fitting", person=maker, starts_at=NINE + 3 * DAY, ends_at=NINE + 3 * DAY + HOUR,
        workshop=workshop, now=NOW, actor=maker,
    )  # fmt: skip
    decision = pick(offer(commission, visit=visit), workshop)
    moved = Visit.objects.get()
    assert (moved.uid, moved.sequence, moved.starts_at) == (visit.uid, 1, NINE)
    undo(decision, workshop)
    back = Visit.objects.get()
    assert (back.uid, back.sequence, back.starts_at) == (visit.uid, 2, NINE + 3 * DAY)
    assert VisitSlot.objects.count() == 4 and len(open_offers(commission, NOW)) == 1


def test_the_second_of_two_reads_a_kind_sentence_and_changes_nothing(cast):
    workshop, _, commission, other = cast
    mine, theirs, spare = offer(commission), offer(other, NINE + HOUR), offer(other, NINE + DAY)
    pick(mine, workshop)
    with pytest.raises(SlotTaken, match="a little quicker"):
        pick(theirs, workshop)
    assert Visit.objects.count() == 1 and ClientDecision.objects.count() == 1
    assert open_offers(other, NOW) == [spare]


def test_undoing_a_new_visit_cancels_it_and_opens_the_offers_again(cast):
    workshop, _, commission, _ = cast
    first, second = offer(commission), offer(commission, NINE + DAY)
    decision = pick(first, workshop)
    undo(decision, workshop)
    assert Visit.objects.get().state == "cancelled" and not VisitSlot.objects.exists()
    assert open_offers(commission, NOW) == [first, second]
    with pytest.raises(Refusal, match="already"):
        undo(decision, workshop)


def test_undoing_where_the_visit_had_no_day_makes_it_to_arrange_again(cast):
    workshop, maker, commission, _ = cast
    visit = keep_to_arrange(commission=commission, kind="fitting", person=maker, reasons="", now=NOW, actor=None)
    decision = pick(offer(commission, visit=visit), workshop)
    undo(decision, workshop)
    assert sorted(Visit.objects.values_list("state", flat=True)) == ["cancelled", "to_arrange"]
    (again,) = open_offers(commission, NOW)
    assert again.visit.state == "to_arrange"
    assert pick(again, workshop, now=NOW + HOUR).facts["visit"] == again.visit_id


def test_undo_is_refused_after_the_hour_and_where_the_old_time_has_gone(cast):
    workshop, maker, commission, other = cast
    visit = book_visit(
        commission=commission, kind="fitting", person=maker, starts_at=NINE + 3 * DAY, ends_at=NINE + 3 * DAY + HOUR,
        workshop=workshop, now=NOW, actor=maker,
    )  # fmt: skip
    decision = pick(offer(commission, visit=visit), workshop)
    pick(offer(other, NINE + 3 * DAY), workshop)
    with pytest.raises(Refusal, match="has gone by now"):
        undo(decision, workshop)
    with pytest.raises(Refusal, match="hour"):
        undo(decision, workshop, NOW + HOUR + dt.timedelta(seconds=1))
    decision.refresh_from_db()
    assert decision.undone_at is None and Visit.objects.get(pk=visit.pk).starts_at == NINE


@pytest.mark.parametrize(
    ("fields", "field", "words"),
    [
        ({"starts_at": NOW.replace(minute=30) - DAY}, "starts_at", "gone by"),
        ({"kind": "return"}, "kind", "finds its own times"),
        ({"hours": -1}, "ends_at", "end before it starts"),
        ({"starts_at": NINE + dt.timedelta(minutes=7)}, "starts_at", "quarter hour"),
    ],
)
def test_a_time_that_cannot_be_is_not_offered(cast, fields, field, words):
    with pytest.raises(Refusal, match=words) as caught:
        offer(cast[2], **fields)
    assert caught.value.field == field and not SlotOffer.objects.exists()


def test_the_same_time_is_offered_once_and_again_after_it_was_taken_back(cast):
    _, _, commission, _ = cast
    first = offer(commission)
    with pytest.raises(Refusal, match="offered already"):
        offer(commission)
    withdraw_offer(offer=first, now=NOW, actor=None)
    assert offer(commission).pk != first.pk


def test_a_visit_of_another_commission_is_not_moved(cast):
    workshop, maker, commission, other = cast
    visit = book_visit(
        commission=other, kind="fitting", person=maker, starts_at=NINE, ends_at=NINE + HOUR, workshop=workshop,
        now=NOW, actor=None,
    )  # fmt: skip
    with pytest.raises(Refusal, match="not a visit of this kind"):
        offer(commission, visit=visit)


@pytest.mark.django_db(transaction=True)
@pytest.mark.usefixtures("file_database")
def test_two_clients_press_at_the_same_moment_and_one_has_it():
    """Four times over, each for another kind of visit: exactly one visit, and the other reads the sentence."""
    workshop, maker = make_workshop(), make_maker()
    commissions = [make_commission(maker=maker, client=make_client(email=f"c{n}@example.org")) for n in range(2)]
    links = [make_link(commission=one, now=NOW, actor=None)[0] for one in commissions]
    kinds = ("survey", "delivery", "fitting", "other")
    rounds = [[offer(one, NINE + n * DAY, kind=kind) for one in commissions] for n, kind in enumerate(kinds)]
    for pair in rounds:
        outcomes = at_once(
            lambda pair=pair: pick(pair[0], workshop, links[0]),
            lambda pair=pair: pick(pair[1], workshop, links[1]),
        )
        outcome_names = sorted(type(one).__name__ for one in outcomes)
        assert outcome_names == ["ClientDecision", "SlotTaken"], outcomes
    (counts,) = at_once(lambda: (Visit.objects.count(), VisitSlot.objects.count(), ClientDecision.objects.count()))
    assert counts == (4, 32, 4)


@pytest.mark.django_db(transaction=True)
@pytest.mark.usefixtures("file_database")
def test_one_offer_pressed_twice_at_the_same_moment_is_one_visit():
    workshop, maker = make_workshop(), make_maker()
    commission = make_commission(maker=maker)
    link, _ = make_link(commission=commission, now=NOW, actor=None)
    offered = offer(commission)
    outcomes = at_once(*[lambda: pick(offered, workshop, link) for _ in range(3)])
    (visits,) = at_once(lambda: Visit.objects.count())
    assert sorted(type(one).__name__ for one in outcomes) == ["ClientDecision", "SlotTaken", "SlotTaken"]
    assert visits == 1
