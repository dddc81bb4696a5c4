from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

import pytest
from django.template.loader import render_to_string
from django.test import RequestFactory

from aftercare.models import IssuedPack
from aftercare.pack.blocks import NOT_RECORDED, Caution, DoAndDoNot, Record, Section, Table
from aftercare.pack.care import CARE
from aftercare.pack.contents import PLACES_ON_PAGE_ONE, SECTIONS, build_contents, pack_contents
from aftercare.pack.facts import PackFacts, RevisionFact, ShelfFact, VisitFact
from aftercare.pack.gather import gather
from aftercare.pack.page import pack_context
from aftercare.pack.render import pack_html
from aftercare.pack.words import listed, recorded, tidy
from jobs.models import ClientAway, FinishRecord, SurfaceKind, VisitState
from tests.aftercare.pack.pack_rows import ISSUED_AT, facts, finish, full_facts, make_handover
from tests.factories import NOW, make_access


def section(number: int, of: PackFacts) -> Section:
    return build_contents(of, issued_at=ISSUED_AT).sections[number - 1]


def recorded_rows(of: Section) -> Iterator[tuple[str, str]]:
    for block in of.blocks:
        if isinstance(block, Record):
            yield from block.rows


def test_sixteen_sections_are_numbered_in_order() -> None:
    sections = build_contents(full_facts(), issued_at=ISSUED_AT).sections
    assert [part.number for part in sections] == list(range(1, 17))
    assert len(SECTIONS) == len({part.title for part in sections}) == len({part.anchor for part in sections})


def test_page_one_holds_what_to_know_alone() -> None:
    front = build_contents(full_facts(), issued_at=ISSUED_AT).front
    assert (front.ring_name, front.ring_phone) == ("Robin Thorn", "01632 960 011")
    assert front.next_visit == "Tuesday 27 April 2027, 09:30 to 11:00"
    assert front.handed_over == "Wednesday 10 March 2027"
    assert front.things_to_know == ("Leave the doors ajar.", "The plinth lifts out.", "Heavy books at the bottom.")
    assert ("Boiler cupboard", "Doors") in front.tins


def test_page_one_without_facts_says_not_recorded() -> None:
    front = build_contents(facts(maker_phone="", maker_name=""), issued_at=ISSUED_AT).front
    assert (front.ring_name, front.ring_phone, front.rooms, front.next_visit) == (NOT_RECORDED,) * 4
    assert front.things_to_know == front.tins == ()


def test_visit_without_a_day_is_to_be_arranged_not_unrecorded() -> None:
    front = build_contents(facts(visit=VisitFact(None, None)), issued_at=ISSUED_AT).front
    assert front.next_visit == "still to be arranged: we will ask you for a day"


def test_tins_in_many_places_leave_page_one_whole() -> None:
    many = tuple(finish(f"Door {number}", tin_place=f"Shelf {number}") for number in range(9))
    front = build_contents(facts(finishes=many), issued_at=ISSUED_AT).front
    assert len(front.tins) == PLACES_ON_PAGE_ONE
    assert front.tins[-1] == ("see section 8", "the other surfaces")


def test_cure_is_the_coating_makers_figure_or_nothing() -> None:
    known = finish("Doors", full_cure_days=28)
    unknown = finish("Carcass", "lacquered")
    (table,) = [block for block in section(2, facts(finishes=(known, unknown))).blocks if isinstance(block, Table)]
    assert [row[:2] for row in table.rows] == [("Doors", "28 days"), ("Carcass", NOT_RECORDED)]


def test_care_is_printed_for_the_surfaces_present_and_no_other() -> None:
    present = (finish("Doors"), finish("Frames"), finish("Seat", "oiled"))
    care = [block for block in section(3, facts(finishes=present)).blocks if isinstance(block, DoAndDoNot)]
    assert [(block.surface, block.where) for block in care] == [("Painted", "Doors and Frames"), ("Oiled", "Seat")]


def test_every_kind_of_surface_has_both_a_do_and_a_do_not() -> None:
    assert set(CARE) == set(SurfaceKind.values)
    assert all(rule.do and rule.do_not for rule in CARE.values())


def test_oil_brings_the_warning_of_rags_and_paint_does_not() -> None:
    oiled = section(3, facts(finishes=(finish("Seat", "oiled"),)))
    painted = section(3, facts(finishes=(finish("Doors"),)))
    assert [block.level for block in oiled.blocks if isinstance(block, Caution)] == ["Danger"]
    assert not [block for block in painted.blocks if isinstance(block, Caution)]


def test_no_section_warns_more_than_once() -> None:
    for part in build_contents(full_facts(), issued_at=ISSUED_AT).sections:
        assert sum(isinstance(block, Caution) for block in part.blocks) <= 1, part.title


@pytest.mark.parametrize(("surfaces", "columns"), [(1, [1]), (3, [3]), (4, [2, 2]), (7, [3, 3, 1])])
def test_finish_schedule_puts_surfaces_side_by_side(surfaces: int, columns: list[int]) -> None:
    rows = tuple(finish(f"Surface {number}") for number in range(surfaces))
    tables = [block for block in section(8, facts(finishes=rows)).blocks if isinstance(block, Table)]
    assert [len(table.columns) - 1 for table in tables] == columns
    assert [name for table in tables for name in table.columns[1:]] == [row.surface for row in rows]


def test_sheen_of_nought_is_a_figure() -> None:
    (table,) = [
        block for block in section(8, facts(finishes=(finish(sheen_percent=0),))).blocks if isinstance(block, Table)
    ]
    assert ("Sheen", "0 %") in table.rows


def test_shelf_without_a_figure_is_not_given_one() -> None:
    shelf = ShelfFact("Bay 1, upper", 800, 300, 18, "MDF", None, "")
    (table,) = [block for block in section(5, facts(shelves=(shelf,))).blocks if isinstance(block, Table)]
    assert table.rows == (("Bay 1, upper", "MDF, 18 mm thick, 300 deep, 800 span", NOT_RECORDED, NOT_RECORDED),)


def test_revision_log_names_every_revision() -> None:
    revisions = (
        RevisionFact(1, dt.date(2027, 3, 10), ""),
        RevisionFact(2, dt.date(2027, 4, 28), "Hinges set at the return visit"),
    )
    tables = [block for block in section(16, facts(revisions=revisions)).blocks if isinstance(block, Table)]
    assert tables[0].rows == (
        ("1", "10 March 2027", "first issue"),
        ("2", "28 April 2027", "Hinges set at the return visit"),
    )


def test_table_with_a_row_too_short_is_refused() -> None:
    with pytest.raises(ValueError, match="do not fit its 2 columns"):
        Table("Full cure", ("Surface", "Days"), (("Doors",),))


def test_tidy_drops_what_would_reorder_or_end_the_text() -> None:
    # U+202E is RIGHT-TO-LEFT OVERRIDE, U+2067 RIGHT-TO-LEFT ISOLATE (Unicode UAX 9, table 1); U+200F is kept.
    assert tidy("a\x00b\u202ec\u2067d\u200fe\r\nf") == "abcd\u200fe\nf"
    assert recorded(" \u202e ") == NOT_RECORDED


def test_listed_reads_as_a_sentence() -> None:
    assert listed(("Study",)) == "Study"
    assert listed(("Study", "", "Landing", "Hall")) == "Study, Landing and Hall"


@pytest.mark.django_db
def test_record_in_the_database_reaches_the_pack() -> None:
    handover = make_handover()
    pack = pack_contents(handover, NOW)
    assert pack.front.client_name == "Priscilla Quennell"
    assert pack.front.ring_phone == "01632 960011"
    assert pack.front.rooms == "Study and Landing"
    # 48 days after 10 March 2027 is 27 April, in summer time: 10:42 UTC is 11:42 on the wall.
    assert pack.front.next_visit == "Tuesday 27 April 2027, 11:42 to 13:12"
    assert dict(recorded_rows(pack.sections[10]))["What was agreed"] == handover.agreed


@pytest.mark.parametrize(
    ("days", "title"), [((42, 56), "The visit in six to eight weeks"), ((30, 40), "The visit in 30 to 40 days")]
)
def test_visit_is_announced_for_the_days_it_is_meant_for(days: tuple[int, int], title: str) -> None:
    assert section(13, facts(return_days=days)).title == title


@pytest.mark.django_db
def test_range_of_the_commission_goes_before_the_workshops() -> None:
    handover = make_handover()
    assert gather(handover, NOW, revision=1).return_days == (42, 56)
    handover.commission.return_first_day = 30
    handover.commission.save(update_fields=["return_first_day"])
    assert gather(handover, NOW, revision=1).return_days == (30, 56)


@pytest.mark.django_db
def test_cancelled_visit_gives_no_date_away() -> None:
    handover = make_handover()
    visit = handover.return_visit
    assert visit is not None
    visit.state = VisitState.CANCELLED
    visit.save(update_fields=["state"])
    assert "27 April" not in pack_html(pack_contents(handover, NOW))


@pytest.mark.django_db
def test_neither_address_nor_access_nor_absence_is_printed() -> None:
    handover = make_handover()
    commission = handover.commission
    commission.site_address = "3 Weir Cottages"
    commission.save(update_fields=["site_address"])
    make_access(commission, notes="key safe 4711, alarm 9902", parking="Bay behind the chapel")
    ClientAway.objects.create(client=commission.client, first_day=dt.date(2027, 8, 2), last_day=dt.date(2027, 8, 16))
    html = pack_html(pack_contents(handover, NOW))
    secrets = (
        *("Tannery Lane", "Weir Cottages", "Wilfred Marchbanks", "960456", "960 456", "4711", "9902", "chapel"),
        *("August", "quennell@example.org", "960123", "960 123"),
    )
    assert [secret for secret in secrets if secret in html] == []


@pytest.mark.django_db
@pytest.mark.parametrize("finishes", [1, 3])
def test_number_of_queries_does_not_grow_with_the_record(django_assert_num_queries, finishes: int) -> None:  # type: ignore[no-untyped-def]
    handover = make_handover()
    for number in range(1, finishes):
        FinishRecord.objects.create(commission=handover.commission, surface=f"Surface {number}")
    with django_assert_num_queries(15):
        gather(handover, NOW, revision=2, reason="again")


@pytest.mark.django_db
def test_page_shows_the_same_contents_as_the_document(rf: RequestFactory) -> None:
    handover = make_handover()
    request = rf.get("/")
    page = render_to_string("aftercare/pack_page.html", pack_context(handover, NOW), request)
    document = pack_html(pack_contents(handover, NOW))
    for part in pack_contents(handover, NOW).sections:
        heading = f'<h2 id="{part.anchor}">'
        assert page.count(heading) == document.count(heading) == 1
    for text in ("Winter Reed W-114", "Boiler cupboard", handover.agreed, "Tuesday 27 April 2027"):
        assert page.count(text) == document.count(text) > 0
    assert "No document has been issued yet." in page
    assert "app:" not in page


@pytest.mark.django_db
def test_page_carries_number_and_date_of_the_last_issued_pack() -> None:
    handover = make_handover()
    IssuedPack.objects.create(
        handover=handover, revision=2, issued_at=NOW, reason="Hinges set", file="x.pdf", sha256="0" * 64, page_count=1
    )
    context = pack_context(handover, NOW + dt.timedelta(days=30))
    assert (context["pack"].revision, context["pack"].issued_on) == (2, "Wednesday 10 March 2027")
