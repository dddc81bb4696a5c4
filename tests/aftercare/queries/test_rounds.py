from __future__ import annotations

import datetime as dt
from itertools import permutations

import pytest

from aftercare.booking.routes import DayWindow, RoundVisit
from aftercare.domain.journeys import keep_journey
from aftercare.domain.rounds import take_rounds
from aftercare.queries.rounds import longest_round, rounds_plan
from aftercare.queries.rounds_map import MapStop, rounds_map
from aftercare.queries.rounds_page import effect_words
from jobs.domain.clients import add_client_away
from jobs.models import Attendance, Message, VisitKind, VisitState
from jobs.refusal import Refusal
from jobs.travel import Place, travel_minutes
from tests.aftercare.domain.test_other_time import at, handed_over
from tests.factories import NOW, make_client, make_commission, make_maker, make_visit, make_workshop

pytestmark = pytest.mark.django_db
HOME = Place(52.48, -1.9)
NEAR_BY = [(52.60, -1.70), (52.61, -1.69), (52.62, -1.70)]


@pytest.fixture
def cast():
    return make_workshop(), make_maker()


def three(workshop, maker):
    """Three neighbours, as handing over books them: 21 April, and near each other where that was found."""
    found = []
    for number, (latitude_deg, longitude_deg) in enumerate(NEAR_BY):
        handover = handed_over(
            workshop, maker, latitude_deg=latitude_deg, longitude_deg=longitude_deg,
            client=make_client(name=f"Client {number}", address=f"{number + 1} Row\nNearby"),
        )  # fmt: skip
        found.append(handover)
    return found


def minutes(one, other):
    return travel_minutes(one, other, speed_kmh=45, winding=1.3, unknown_minutes=30)


def test_three_neighbours_join_into_one_round_and_the_saving_is_brute_forced(cast):
    three(*cast)
    (found,) = rounds_plan(cast[0], NOW).rounds
    places = [Place(*spot) for spot in NEAR_BY]
    alone = sum(2 * minutes(HOME, place) for place in places)
    together = min(
        minutes(HOME, a) + minutes(a, b) + minutes(b, c) + minutes(c, HOME) for a, b, c in permutations(places)
    )
    assert len(found.stops) == 3
    assert (found.travel_minutes, found.saved_minutes) == (together, alone - together)


def test_looking_moves_nothing_and_tells_nobody(cast):
    handovers = three(*cast)
    before = [(one.return_visit.starts_at, one.return_visit.sequence) for one in handovers]
    waiting = Message.objects.count()
    rounds_plan(cast[0], NOW)
    for one in handovers:
        one.return_visit.refresh_from_db()
    assert [(one.return_visit.starts_at, one.return_visit.sequence) for one in handovers] == before
    assert Message.objects.count() == waiting


def test_what_a_client_agreed_to_stays_and_the_others_come_to_it(cast):
    handovers = three(*cast)
    agreed = handovers[2].return_visit
    agreed.attendance = Attendance.ACCEPTED
    agreed.save()
    plan = rounds_plan(cast[0], NOW)
    (found,) = plan.rounds
    assert found.day == cast[0].local_day(agreed.starts_at)
    assert agreed.pk not in [stop.visit.pk for stop in plan.moves]
    assert agreed.starts_at in [stop.starts_at for stop in found.stops]


def test_a_visit_less_than_a_week_away_stays(cast):
    three(*cast)
    later = at(4, 16, 12)
    plan = rounds_plan(cast[0], later)
    assert all(move.visit.starts_at > later + dt.timedelta(days=7) for move in plan.moves)


def test_a_visit_alone_on_its_day_keeps_its_hour(cast):
    handover = handed_over(*cast)
    plan = rounds_plan(cast[0], NOW)
    assert plan.moves == () and plan.fingerprint == ""
    assert plan.rounds[0].stops[0].starts_at == handover.return_visit.starts_at
    assert plan.rounds[0].saved_minutes == 0
    assert effect_words(plan) == ()


def test_a_declined_visit_is_not_put_back_on_its_day(cast):
    handover = handed_over(*cast)
    visit = handover.return_visit
    visit.attendance = Attendance.DECLINED
    visit.save()
    (move,) = rounds_plan(cast[0], NOW).moves
    assert move.starts_at.date() != visit.starts_at.date()


def test_everybodys_rounds_are_their_own(cast):
    workshop, maker = cast
    three(workshop, maker)
    handed_over(workshop, make_maker(name="Jo Elder"), latitude_deg=52.60, longitude_deg=-1.70)
    found = rounds_plan(workshop, NOW).rounds
    assert sorted((str(one.person), len(one.stops)) for one in found) == [("Jo Elder", 1), ("Robin Thorn", 3)]


def test_a_typed_journey_counts_in_the_rounds(cast):
    workshop, maker = cast
    three(workshop, maker)
    keep_journey(here="Fieldgate", there="Nearby", minutes=70, now=NOW, actor=maker)
    (found,) = rounds_plan(workshop, NOW).rounds
    assert found.stops[0].travel_minutes == 70
    assert found.leaves_at == found.stops[0].starts_at - dt.timedelta(minutes=70)


def test_a_delivery_of_the_same_day_is_gone_round(cast):
    workshop, maker = cast
    three(workshop, maker)
    commission = make_commission(maker=maker)
    for day in (21, 22, 23):
        make_visit(commission, kind=VisitKind.DELIVERY, starts_at=at(4, day, 7), minutes=480, person=maker)
    joined = [one.day for one in rounds_plan(workshop, NOW).rounds if len(one.stops) > 1]
    assert joined and not {dt.date(2027, 4, day) for day in (21, 22, 23)} & set(joined)


def test_yes_moves_what_has_to_move_and_asks_only_those_clients(cast):
    workshop, maker = cast
    handovers = three(workshop, maker)
    Message.objects.update(state="sent")
    plan = rounds_plan(workshop, NOW)
    assert effect_words(plan)[0] == "1 visit moves to another time."
    assert take_rounds(agreed_to=plan.fingerprint, workshop=workshop, now=NOW, actor=maker) == 1
    for one in handovers:
        one.return_visit.refresh_from_db()
    assert len({workshop.local_day(one.return_visit.starts_at) for one in handovers}) == 1
    assert sum(one.return_visit.slots.count() for one in handovers) == 18
    waiting = Message.objects.filter(state="waiting", kind="visit_invite")
    assert waiting.count() == 1
    assert rounds_plan(workshop, NOW).moves == ()


def test_a_changed_record_makes_the_yes_void(cast):
    workshop, maker = cast
    handovers = three(workshop, maker)
    plan = rounds_plan(workshop, NOW)
    commission = make_commission(maker=maker)
    day = plan.rounds[0].day
    make_visit(commission, starts_at=at(day.month, day.day, 6), minutes=660, person=maker)
    with pytest.raises(Refusal, match="changed since this page was drawn"):
        take_rounds(agreed_to=plan.fingerprint, workshop=workshop, now=NOW, actor=maker)
    with pytest.raises(Refusal):
        take_rounds(agreed_to="", workshop=workshop, now=NOW, actor=maker)
    for one in handovers:
        one.return_visit.refresh_from_db()
        assert one.return_visit.sequence == 0


def test_a_visit_to_arrange_finds_its_place_or_is_named_with_the_reason(cast):
    workshop, maker = cast
    handover = handed_over(workshop, maker)
    visit = handover.return_visit
    visit.slots.all().delete()
    type(visit).objects.filter(pk=visit.pk).update(state=VisitState.TO_ARRANGE, starts_at=None, ends_at=None)
    (move,) = rounds_plan(workshop, NOW).moves
    assert move.visit.pk == visit.pk
    add_client_away(
        client=handover.commission.client, first_day=dt.date(2027, 4, 1), last_day=dt.date(2027, 6, 1), now=NOW,
        actor=maker,
    )  # fmt: skip
    plan = rounds_plan(workshop, NOW)
    assert [one.reason for one in plan.left_out] == ["no day and hour is open for it"]


@pytest.mark.parametrize("count", [1, 3])
def test_the_same_queries_for_one_visit_and_three(cast, count, django_assert_num_queries):
    for number in range(count):
        handed_over(*cast, latitude_deg=52.5 + number / 50)
    with django_assert_num_queries(10):  # nine of facts (no room, so no notes: eight), journeys, handovers
        rounds_plan(cast[0], NOW)


def test_the_map_is_in_proportion_and_names_what_it_cannot_show():
    """By hand at latitude 60, where a degree of longitude is half a degree of latitude: two east is as far as one
    north."""
    home, east, north = Place(60.0, 0.0), Place(60.0, 0.002), Place(60.001, 0.0)
    found = rounds_map(home, [[MapStop("A1", east), MapStop("A2", north), MapStop("A3", None)]])
    wide = found.spots[0].x - found.home.x
    high = found.home.y - found.spots[1].y
    assert wide == pytest.approx(high, rel=0.01)
    assert found.missing == ("A3",)
    assert rounds_map(home, [[MapStop("A1", None)]]) is None


def test_stops_on_one_spot_share_a_label():
    found = rounds_map(HOME, [[MapStop("A1", Place(52.6, -1.7))], [MapStop("B1", Place(52.6, -1.7))]])
    assert [spot.label for spot in found.spots] == ["A1, B1"]


def test_many_visits_on_the_same_days_make_shorter_rounds():
    """By hand, on eleven days: 8 visits make 218 sets of up to five, so 2398; 12 make 298 of up to three, so 3278."""
    days = [DayWindow(dt.date(2027, 4, 1) + dt.timedelta(days=n), 480, 1020) for n in range(11)]
    lengths = [longest_round([RoundVisit(n, 90, tuple(days)) for n in range(count)]) for count in (8, 12, 20, 40)]
    assert lengths == [5, 3, 2, 2]
