"""The labelled elevation: read back with an XML reader that shares nothing with the writer."""

from __future__ import annotations

from xml.etree import ElementTree

from aftercare.pack.elevation import Front, elevation_alt, elevation_svg, laid_out

SVG = "{http://www.w3.org/2000/svg}"


def test_fronts_without_a_place_stand_beside_the_one_before_with_a_shut_line():
    fronts = [
        Front("D1", 450, 2000, bottom_mm=100),
        Front("D2", 450, 2000),
        Front("D3", 903, 400, left_mm=0, bottom_mm=2103),
    ]
    assert [(one.left_mm, one.bottom_mm) for one in laid_out(fronts)] == [(0, 100), (453, 100), (0, 2103)]


def test_the_drawing_says_in_words_what_it_shows():
    fronts = [Front("D1", 450, 2000, "left"), Front("D2", 450, 2000, "right"), Front("S1", 900, 300, "slides")]
    assert elevation_alt("Study", fronts) == (
        "Elevation of Study, from left to right: D1, 450 by 2000 mm, hinges on the left; "
        "D2, 450 by 2000 mm, hinges on the right; S1, 900 by 300 mm, slides."
    )


def test_the_drawing_is_whole_labelled_and_inside_its_frame():
    fronts = [Front(f"D{number}", 397, 2200, "left") for number in range(1, 13)]
    root = ElementTree.fromstring(elevation_svg("<Study & den>", fronts, name="elevation-1"))
    assert root.get("role") == "img" and root.get("aria-labelledby") == root.find(f"{SVG}title").get("id")
    assert root.find(f"{SVG}title").text.startswith("Elevation of <Study & den>, from left to right: D1, 397 by")
    labels = [text.text for text in root.iter(f"{SVG}text")]
    # 12 doors of 397 mm with 11 shut lines of 3 mm.
    assert labels == [*(f"D{number}" for number in range(1, 13)), "4797 mm over these fronts", "2200 mm"]
    left, top, width, height = (float(part) for part in root.get("viewBox").split())
    for text in root.iter(f"{SVG}text"):
        assert left < float(text.get("x")) < width and top < float(text.get("y")) < height
