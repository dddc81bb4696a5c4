from __future__ import annotations

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.csv_in import MOST_ROWS, Column, one_of, read_table, text_up_to, whole_number

COLUMNS = [
    Column("name", text_up_to(20), required=True),
    Column("width_mm", whole_number(1, 9000), default=None),
    Column("phone", signs=True),
    Column("track", one_of({"doors": "doors", "carcasses": "carcasses"}), default="doors"),
]


def complaints(text):
    data = text if isinstance(text, bytes) else text.encode()
    return [str(one) for one in read_table(data, COLUMNS).complaints]


def test_columns_may_come_in_any_order_and_optional_ones_be_left_out():
    table = read_table("Width_MM, name\n600,Door A\n\n,Door B\n".encode("utf-8-sig"), COLUMNS)
    assert table.is_good
    assert [(row.line, row.values["name"], row.values["width_mm"]) for row in table.rows] == [
        (2, "Door A", 600),
        (4, "Door B", None),
    ]


@pytest.mark.parametrize("mark", [",", ";", "\t"])
def test_the_separator_is_read_off_the_heading(mark):
    table = read_table(f"name{mark}width_mm\r\nDoor{mark}600\r\n".encode(), COLUMNS)
    assert table.rows[0].values["width_mm"] == 600


def test_every_bad_row_is_named_by_its_line_even_after_a_cell_with_a_line_break():
    text = 'name,width_mm,track\n"Door\nA",600,doors\n,2.4,drawers\nDoor C,0,doors\nDoor D,600\n'
    assert complaints(text) == [
        "Line 4: name: this is needed; fill it in.",
        "Line 4: width_mm: “2.4” is no whole number; write digits only, such as 1.",
        "Line 4: track: “drawers” is none of: doors, carcasses.",
        "Line 5: width_mm: 0 lies outside 1 to 9000.",
        "Line 6: 2 cells under 3 headings; a comma too many or too few?",
    ]


@pytest.mark.parametrize("cell", ["=1+1", "+SUM(A1)", "-2", "@cmd"])
def test_a_formula_in_a_cell_is_refused(cell):
    assert complaints(f"name\n{cell}\n") == [
        f"Line 2: name: begins with {cell[0]}, as a formula does; write the plain words or number instead."
    ]


def test_a_telephone_number_may_begin_with_a_plus_but_not_with_an_equals_sign():
    assert read_table(b"name,phone\nA,+441632960123\n", COLUMNS).rows[0].values["phone"] == "+441632960123"
    assert complaints("name,phone\nA,=441632\n")[0].startswith("Line 2: phone: begins with =")


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "The file is empty"),
        (b"name\n", "headings and no rows"),
        ("name\nCafé\n".encode("latin-1"), "Line 2 is not UTF-8"),
        ("name\nA\n".encode("utf-16"), "UTF-16"),
        (b"PK\x03\x04rest", "spreadsheet's own file"),
        (b"name\nA\x00B\n", "characters that no text has"),
        (b"x" * 2_000_001, "larger than 2 MB"),
        (b'name\n"never closed\n', "check the quotes"),
        (b"nmae\nA\n", "no column called “nmae”"),
        (b"name,name\nA,B\n", "there twice"),
        (b"width_mm\n600\n", "“name” is missing"),
        (b"name\n" + b"A\n" * (MOST_ROWS + 1), "more than 5000 rows"),
    ],
)
def test_a_file_that_is_none_gets_a_sentence(data, words):
    assert words in complaints(data)[0]


CELLS = st.text(st.characters(blacklist_categories=["Cs", "Cc"]), min_size=1, max_size=20).filter(
    lambda text: text == text.strip() and text[:1] not in "=+-@"
)


@given(st.lists(CELLS, min_size=1, max_size=8))
def test_what_the_standard_library_writes_is_read_back_whole(names):
    """Against csv.writer, which writes RFC 4180 lines."""
    out = io.StringIO()
    csv.writer(out).writerows([["name"], *([name] for name in names)])
    table = read_table(out.getvalue().encode(), [Column("name", required=True)])
    assert table.is_good
    assert [row.values["name"] for row in table.rows] == names


@given(st.binary(max_size=300))
def test_no_file_whatever_makes_it_stumble(data):
    read_table(data, COLUMNS)


def test_a_byte_order_mark_alone_is_an_empty_file():
    table = read_table(b"\xef\xbb\xbf", [Column("name")])
    assert [str(one) for one in table.complaints] == [
        "The file is empty: it needs a heading line and at least one row."
    ]
