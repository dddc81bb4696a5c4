from __future__ import annotations

import datetime as dt

import pytest
from django.urls import reverse

from jobs.models import AccessMode, CarryPlan, CarryRecord, RoutePlace, Van
from tests.factories import NOW, make_access, make_commission, make_maker, make_visit, make_workshop
from tests.jobs.site_cast import make_pieces, make_room, make_route, make_van

pytestmark = pytest.mark.django_db


@pytest.fixture
def maker(time_machine, client):
    time_machine.move_to(NOW, tick=False)
    make_workshop()
    found = make_maker()
    client.force_login(found)
    return found


@pytest.fixture
def commission(maker):
    found = make_commission(maker=maker)
    make_room(found)
    return found


@pytest.fixture
def laden(commission, maker):
    """Forty pieces, the way in, a delivery tomorrow, a slot of 45 minutes, a van."""
    make_pieces(commission, maker)
    make_route(commission)
    make_access(commission, mode=AccessMode.IN_AND_OUT, notes="Key safe 4821, dog called Bramble")
    make_visit(commission, starts_at=NOW + dt.timedelta(days=1))
    CarryPlan.objects.create(commission=commission, drive_minutes=35, van=make_van(), people_and_kit_kg=260)
    return commission


def words(answer):
    return " ".join(answer.content.decode().split())


def test_the_piece_that_will_not_go_is_named_with_the_place(client, laden):
    page = words(client.get(reverse("route", args=[laden.number])))
    assert "1 will not go (P40 Long worktop)." in page
    assert "P40 Long worktop will not go. Quarter landing (landing): will not go" in page
    assert "<svg" in page
    assert "Moretti" in page and "without a published source" in page


def test_places_are_added_with_the_sizes_of_their_kind(client, commission):
    url = reverse("add_route_place", args=[commission.number, "turn"])
    page = words(client.get(url))
    assert 'name="width_out_mm"' in page and 'name="treads"' not in page
    typed = {"name": "Hall corner", "width_mm": "900", "width_out_mm": "820", "height_mm": "2300", "corners": "1"}
    client.post(url, typed)
    place = RoutePlace.objects.get()
    assert (place.kind, place.width_mm, place.width_out_mm, place.position) == ("turn", 900, 820, 1)
    answer = client.post(reverse("edit_route_place", args=[place.pk]), typed | {"width_mm": "0.9"})
    assert answer.status_code == 422
    assert "Is it 900 mm (0.9 m) or 0.9 mm?" in words(answer)
    answer = client.post(reverse("edit_route_place", args=[place.pk]), typed | {"width_mm": "76"})
    assert answer.status_code == 422
    assert "too small" in words(answer)


def test_half_a_stair_is_asked_for_the_rest(client, commission):
    typed = {"name": "Stairs", "width_mm": "800", "height_mm": "1980", "treads": "12", "corners": "0"}
    answer = client.post(reverse("add_route_place", args=[commission.number, "stairs"]), typed)
    assert answer.status_code == 422
    assert "treads, rise and going together" in words(answer)


def test_places_change_their_order_and_are_taken_out(client, commission):
    first, second = make_route(commission)[:2]
    assert client.get(reverse("move_route_place", args=[second.pk, "earlier"])).status_code == 404
    client.post(reverse("move_route_place", args=[second.pk, "earlier"]))
    assert list(commission.route_places.values_list("name", flat=True))[:2] == ["Hall", "Front door"]
    client.post(reverse("remove_route_place", args=[first.pk]))
    assert not RoutePlace.objects.filter(pk=first.pk).exists()
    assert client.get(reverse("add_route_place", args=[commission.number, "ladder"])).status_code == 404


def test_the_protection_plan_says_its_metres_and_where_they_come_from(client, laden):
    """12 x (200 + 230) = 5160 mm and the landing 800 mm, with ten per cent 6.56, rounded up 6.6 m; by hand."""
    page = words(client.get(reverse("route", args=[laden.number])))
    assert "Pack 6.6 m for stairs, 5.8 m for floors and 2 corner guards (4 m)" in page
    assert "no adhesive film on wool" in page


def test_the_carry_says_crew_leaving_time_and_sources(client, laden):
    page = words(client.get(reverse("carry", args=[laden.number])))
    # Access slot 8:30 to 9:15 on the day of the delivery, drive 35 and parking 15 minutes.
    assert "Leave the workshop by <strong>07:40</strong>" in page
    assert "our default without a source" in page
    assert "Health and Safety Executive lifting and lowering filter" in page
    assert "A filter, not a limit and not a permission" in page
    assert "On stairs most of the load falls on the person below" in page
    # 4.4 m2 of 18 mm at 740 kg/m3 is 58.6 kg, above the 37.5 kg of three lifters: by hand
    assert "58.6 kg is above the filter for 3 lifters (37.5 kg)" in page
    assert "P40 Long worktop (68 x 680 x 3630 mm wrapped) does not go into Long van" in page


def test_without_anything_the_carry_names_what_is_missing(client, commission):
    page = words(client.get(reverse("carry", args=[commission.number])))
    for sentence in ("No pieces are entered", "No delivery visit is booked", "No van is chosen"):
        assert sentence in page


def test_own_carries_replace_the_default(client, laden):
    for minutes in (60, 75, 90):
        typed = {"done_on": "2027-03-09", "minutes": minutes, "trips": "30", "floors": "1"}
        client.post(reverse("record_carry", args=[laden.number]), typed)
    page = words(client.get(reverse("carry", args=[laden.number])))
    assert "2.5 min a trip: median of 3 own carries up 1 floor" in page
    answer = client.post(
        reverse("record_carry", args=[laden.number]),
        {"done_on": "2027-03-09", "minutes": "0", "trips": "0", "floors": "1"},
    )
    assert answer.status_code == 422
    assert CarryRecord.objects.count() == 3


def test_vans_are_entered_and_absurd_ones_refused(client, maker):
    typed = {"name": "Short van", "payload_kg": "800", "length_mm": "2500", "width_mm": "1600", "height_mm": "1400"}
    client.post(reverse("new_van"), typed)
    van = Van.objects.get()
    assert "Short van" in words(client.get(reverse("vans")))
    answer = client.post(reverse("edit_van", args=[van.pk]), typed | {"length_mm": "2.5"})
    assert answer.status_code == 422
    assert client.post(reverse("edit_van", args=[van.pk]), typed | {"payload_kg": "0"}).status_code == 422


def test_a_piece_too_large_for_every_van_is_said_and_a_larger_van_is_named(client, laden):
    url = reverse("carry", args=[laden.number])
    assert "Van: no van takes P40 Long worktop." in words(client.get(url))
    make_van(name="Hired lorry", payload_kg=2500, length_mm=5200, width_mm=2100, height_mm=2200)
    assert "Hired lorry takes P40 Long worktop." in words(client.get(url))


def test_kit_heavier_than_the_payload_is_refused(client, laden):
    van = Van.objects.get()
    typed = {
        "people": "2", "figures": "men", "carry_m": "0", "drive_minutes": "30", "parking_minutes": "10",
        "set_up_minutes": "10", "van": van.pk, "people_and_kit_kg": "900",
    }  # fmt: skip
    answer = client.post(reverse("plan_carry", args=[laden.number]), typed)
    assert answer.status_code == 422
    assert "use up the 900 kg payload of Long van" in words(answer)
    client.post(reverse("plan_carry", args=[laden.number]), typed | {"people": "3", "people_and_kit_kg": "200"})
    assert CarryPlan.objects.get().people == 3


def test_the_site_day_sheet_has_everything_and_no_code(client, laden):
    page = words(client.get(reverse("site_day", args=[laden.number])))
    for sentence in (
        "Wilfred Marchbanks",
        "Look at the code before you leave signal",
        "Front door",
        "P40 Long worktop will not go",
        "Into the van in this order",
        "Deliver and carry in",
    ):
        assert sentence in page
    assert "4821" not in page
    assert "figures that may be a code" in page


@pytest.mark.parametrize("pieces", [0, 40])
def test_the_sheet_takes_the_same_queries_whatever_it_lists(
    client, commission, maker, pieces, django_assert_num_queries
):
    make_route(commission)
    if pieces:
        make_pieces(commission, maker)
    with django_assert_num_queries(17):
        client.get(reverse("site_day", args=[commission.number]))


@pytest.mark.parametrize("name", ["route", "carry", "site_day", "site_day_pdf"])
def test_signed_out_leads_to_the_sign_in(client, commission, name):
    client.logout()
    answer = client.get(reverse(name, args=[commission.number]))
    assert answer.status_code == 302 and reverse("account_login") in answer["Location"]


def test_the_commission_page_tells_the_carry_with_its_source(client, laden):
    page = words(client.get(laden.get_absolute_url()))
    assert "P40 Long worktop will not go. Quarter landing" in page
    assert "29 for one lifter, 11 for more, for none or not weighed" in page
    assert "A filter, not a limit and not a permission" in page and "seen in secondary sources" in page


def test_a_meddled_row_gives_a_sentence_and_not_a_broken_page(client, laden):
    RoutePlace.objects.filter(kind="door").update(width_mm=5)
    for name in ("route", "carry", "site_day"):
        assert client.get(reverse(name, args=[laden.number])).status_code == 200
    page = words(client.get(reverse("route", args=[laden.number])))
    assert "Front door, width: 5 mm is less than the 200 mm expected." in page


def test_open_snags_and_kit_are_on_the_sheet(client, laden):
    laden.snags.create(place="Door 3", words="rubs at the top", seen_on=NOW.date())
    laden.snags.create(place="Door 4", words="scratched", seen_on=NOW.date(), done_at=NOW)
    laden.load_items.create(words="Shelf pins", needed=40, in_hand=24)
    page = words(client.get(reverse("site_day", args=[laden.number])))
    assert "Door 3: rubs at the top" in page and "Door 4" not in page.split("Snags still open")[1].split("</ul>")[0]
    assert "half a metre (0.5 m)" in page
    assert "Shelf pins" in page and "▲ 16 short" in page
