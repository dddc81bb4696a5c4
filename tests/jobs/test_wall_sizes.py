from __future__ import annotations

import math

import pytest

from jobs.wall_sizes import GUESSED_WIDTH_MM, ScreenSizes, mm_per_px, sizes_from_cookie


@pytest.mark.parametrize(
    ("inches", "width_px", "expected"), [(24, 1920, 0.277), (32, 1920, 0.369), (43, 1920, 0.496), (55, 1920, 0.634)]
)
def test_a_rule_on_screens_of_known_size(inches, width_px, expected):
    """Width of a 16:9 screen from its corners by Pythagoras; the figures to three places are the usual pitch tables'
    (from memory)."""
    width_mm = inches * 25.4 * 16 / math.hypot(16, 9)
    line_px = 300 * width_px / width_mm
    assert mm_per_px(rule_mm=300, line_px=line_px) == pytest.approx(expected, abs=0.0006)


def test_guessed_width_is_that_of_43_inches():
    assert pytest.approx(43 * 25.4 * 16 / math.hypot(16, 9), abs=0.5) == GUESSED_WIDTH_MM


@pytest.mark.parametrize(("distance_m", "capitals_mm"), [(1, 5), (2, 10), (3, 15), (4, 20)])
def test_capitals_are_a_two_hundredth_of_the_distance(distance_m, capitals_mm):
    """D/200: the rule of thumb for signs (common practice); at 3 m it is over the floor of 16 minutes of arc."""
    sizes = ScreenSizes(viewing_distance_m=distance_m)
    assert sizes.capitals_mm == capitals_mm
    assert sizes.capitals_mm >= 1000 * distance_m * math.tan(math.radians(16 / 60))


@pytest.mark.parametrize("line_px", [0, -5, 20, 60_000])
def test_a_line_no_screen_has_is_refused_with_the_remedy(line_px):
    with pytest.raises(ValueError, match=r"^Length of the line: .* between 100 and 6000 px"):
        mm_per_px(rule_mm=300, line_px=line_px)


def test_style_sheet_says_how_long_a_millimetre_is():
    assert ScreenSizes(mm_per_px=0.5).style_sheet() == ":root{--mm:2.0000px;--capitals-mm:15}\n"
    assert ScreenSizes(viewing_distance_m=2).style_sheet() == ":root{--mm:calc(100vw / 952);--capitals-mm:10}\n"


@pytest.mark.parametrize(
    "sizes",
    [
        ScreenSizes(),
        ScreenSizes(mm_per_px=0.277, viewing_distance_m=2.5, has_shortcuts=False, refreshes=False, stays_awake=True),
    ],
)
def test_cookie_there_and_back(sizes):
    assert sizes_from_cookie(sizes.as_cookie()) == sizes


@pytest.mark.parametrize("words", ["", "x", "mm=0&m=99", "mm=nan&m=inf", "mm=1e9;}body{display:none", "mm=" * 90])
def test_a_cookie_that_was_not_ours_changes_nothing(words):
    assert sizes_from_cookie(words) == ScreenSizes()
