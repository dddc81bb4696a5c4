"""The geometry by hand: twenty units a day, the ruler from Monday 8 March 2027."""

from __future__ import annotations

import datetime as dt
import re

import pytest

from jobs.queries.braid import HEIGHT, WIDTH, Box, Cord, CordFacts, Line, Ruler, Stretch, draw

TODAY = dt.date(2027, 3, 10)
RULER = Ruler(TODAY)


def march(day):
    return dt.date(2027, 3, 1) + dt.timedelta(days=day - 1)


def test_ruler_runs_six_weeks_from_the_monday():
    assert RULER.first == march(8)
    assert RULER.last == dt.date(2027, 4, 18)
    assert [week.x for week in RULER.weeks] == [0, 140, 280, 420, 560, 700]
    assert RULER.weeks[-1].monday == dt.date(2027, 4, 12)
    assert RULER.today_x == 50
    assert RULER.x(march(9), 1) == 30
    assert (WIDTH, HEIGHT) == (840, 72)


def test_site_box_is_as_wide_as_its_days():
    """Monday 22 to Thursday 25: four days, eighty units."""
    cord = draw(CordFacts(site=Stretch(march(22), march(25)), has_slot=True), RULER)
    assert cord.box == Box(280, 80, feet="M280 51V63M287 51V63")
    assert draw(CordFacts(site=Stretch(march(22), march(22), 0, 0)), RULER).box == Box(280, 10)


def test_box_is_cut_at_both_ends_and_left_out_beyond():
    assert draw(CordFacts(site=Stretch(march(1), march(9))), RULER).box == Box(0, 40)
    assert draw(CordFacts(site=Stretch(dt.date(2027, 4, 17), dt.date(2027, 4, 30))), RULER).box == Box(800, 40)
    assert draw(CordFacts(site=Stretch(dt.date(2027, 5, 3), dt.date(2027, 5, 4))), RULER) == Cord()


def test_strands_part_and_meet_at_the_knot():
    facts = CordFacts(
        whole=Stretch(march(8), march(9)),
        doors=(Stretch(march(10), march(11)), Stretch(march(12), march(18), is_away=True)),
        carcasses=(Stretch(march(10), march(16)),),
        knot=march(22),
    )
    cord = draw(facts, RULER)
    assert cord.knot_x == 280
    assert [line.kind for line in cord.lines] == ["lead", "lead", "cord", "here", "away", "here"]
    doors, carcasses = cord.lines[0], cord.lines[1]
    # Doors are back on the evening of Thursday 18 (x 220), carcasses on that of Tuesday 16 (x 180).
    assert doors == Line("lead", "M220 13H258L280 36")
    assert carcasses == Line("lead", "M180 59H258L280 36")
    assert cord.lines[2] == Line("cord", "M0 36H40")
    assert cord.lines[4] == Line("away", "M80 13H220")
    assert cord.backs == ()


def test_the_gap_before_the_knot_is_the_slack():
    """Two days between the later strand's evening and the knot's morning are forty units."""
    facts = CordFacts(carcasses=(Stretch(march(8), march(16)),), knot=march(19))
    cord = draw(facts, RULER)
    start = float(re.match(r"M([\d.]+)", cord.lines[0].d).group(1))
    assert cord.knot_x - start == 2 * 20


def test_a_strand_that_comes_too_late_leads_back_to_the_knot():
    facts = CordFacts(doors=(Stretch(march(8), march(23), is_away=True),), knot=march(22), is_short=True)
    cord = draw(facts, RULER)
    assert cord.backs == (Line("short", "M320 13L280 36"),)
    assert cord.is_short


def test_a_wrapped_job_never_leads_back():
    facts = CordFacts(doors=(Stretch(march(8), march(9)),), knot=march(9), is_tied=True)
    cord = draw(facts, RULER)
    assert (cord.backs, cord.is_tied) == ((), True)


def test_waits_belong_to_the_part_before_them():
    """Doors made on Friday and taken away on Tuesday stand in the workshop until then."""
    facts = CordFacts(
        doors=(Stretch(march(1), march(12)), Stretch(march(16), march(26), is_away=True, is_overdue=True))
    )
    lines = draw(facts, RULER).lines
    assert lines == (Line("here", "M0 13H160"), Line("overdue", "M160 13H380"))


def test_nothing_is_drawn_outside_the_ruler():
    facts = CordFacts(
        whole=Stretch(march(1), march(3)),
        doors=(Stretch(dt.date(2027, 5, 1), dt.date(2027, 5, 4)),),
        carcasses=(Stretch(dt.date(2027, 4, 10), dt.date(2027, 6, 4)),),
        knot=dt.date(2027, 6, 7),
    )
    cord = draw(facts, RULER)
    assert cord.knot_x is None
    for line in cord.lines:
        last_level = re.findall(r"H([\d.]+)", line.d)
        assert all(0 <= float(x) <= WIDTH for x in last_level)


@pytest.mark.parametrize("weekday", range(7))
def test_the_ruler_starts_on_monday_whatever_the_day(weekday):
    ruler = Ruler(march(8) + dt.timedelta(days=weekday))
    assert ruler.first == march(8)


def test_bought_in_parts_are_a_mark_on_their_day():
    assert draw(CordFacts(bought_in_due=march(15)), RULER).parts_x == 140
    assert draw(CordFacts(bought_in_due=dt.date(2027, 6, 1)), RULER).parts_x is None


def test_bought_in_parts_that_come_too_late_lead_back_to_the_knot():
    """The knot on Monday 22 (x 280), the parts on Wednesday 24 (x 320)."""
    cord = draw(CordFacts(bought_in_due=march(24), knot=march(22), is_short=True), RULER)
    assert cord.backs == (Line("short", "M280 36H320"),)
    assert draw(CordFacts(bought_in_due=march(19), knot=march(22), is_short=True), RULER).backs == ()
