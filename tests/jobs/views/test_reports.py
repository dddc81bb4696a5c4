from __future__ import annotations

import csv
import datetime as dt
import io
from decimal import Decimal

import pytest
import time_machine
from django.test import Client as Browser

from jobs.models import Consignment, Receipt, Role, StagePayment, StepKind, Subcontractor
from jobs.queries.reports import hours_report, money_report, promises_report, turnaround_report
from jobs.reports import BarRow, draw, hours, pounds
from jobs.spreadsheet import spreadsheet
from tests.factories import NOW, TODAY, make_client, make_commission, make_maker, make_workshop, up_to
from tests.jobs.views.cast import signed_in

pytestmark = pytest.mark.django_db
URL = "/reports/"


@pytest.fixture(autouse=True)
def at_now():
    with time_machine.travel(NOW, tick=False):
        yield


def days_ago(days):
    return NOW - dt.timedelta(days=days)


def fill(maker, count):
    """Jobs done up to wrapping, promises kept and broken, consignments back, payments part in."""
    client = make_client()
    sprayer, _ = Subcontractor.objects.get_or_create(name="Bellfield Sprayshop", turnaround_days=7)
    for number in range(count):
        one = make_commission(
            maker=maker, client=client, nickname=f"=Mill {number}", done=up_to(StepKind.WRAP), done_at=days_ago(2),
            promised={StepKind.DRAWING: TODAY - dt.timedelta(days=2 + 3 * (number % 2)), StepKind.FIT: TODAY},
        )  # fmt: skip
        Consignment.objects.create(
            commission=one, subcontractor=sprayer, number=1, sent_at=days_ago(16), back_at=days_ago(2 + number)
        )
        payment = StagePayment.objects.create(commission=one, amount_pence=123450, due_on=TODAY)
        Receipt.objects.create(stage_payment=payment, amount_pence=100000, received_on=TODAY)


def test_the_figures_are_those_counted_by_hand():
    workshop, maker = make_workshop(), make_maker()
    fill(maker, 2)
    promises = promises_report(workshop, NOW)
    # Drawing was done two days ago: promised for that day (kept) and for three days before it (three late).
    assert promises.rows == (("Drawing", 2, 1, 50, 3, 3),)
    # Sent Mon 22 Feb; back Mon 8 Mar and Sun 7 Mar: in both cases 23 to 26 Feb and 1 to 5 Mar lie between, 9 days.
    assert turnaround_report(workshop, NOW).rows == (("Bellfield Sprayshop", 2, 7, 9, 9),)
    money = money_report(workshop, NOW)
    assert [row[1:] for row in money.rows] == [(1, Decimal("1234.50"), Decimal("1000.00"), Decimal("234.50"))] * 2
    row = next(row for row in hours_report(workshop, NOW).rows if row[0] == "Drawing")
    assert row == ("Drawing", 2, Decimal("24.0"), Decimal("24.0"), 100, Decimal("12.0"))  # the template's 12 h each


def test_the_page_draws_each_with_its_table_and_its_n():
    make_workshop()
    maker = make_maker()
    fill(maker, 3)
    page = signed_in(maker).get(URL).content.decode()
    for title in ("Hours against allowance", "Promises kept", "Turnaround of each sprayer", "Money"):
        assert f"{title} <span" in page and f'aria-label="{title}, the figures"' in page
    assert page.count('class="chart"') == 4 and "n = 3" in page
    assert "Nothing has been handed over yet." in page


def test_an_empty_workshop_says_what_goes_there():
    make_workshop()
    page = signed_in().get(URL).content.decode()
    assert page.count('<p class="quiet">No') == 5 and '<svg class="chart"' not in page


@pytest.mark.parametrize("count", [1, 5])
def test_the_reports_take_the_same_queries_whatever_their_size(count, django_assert_num_queries):
    make_workshop()
    maker = make_maker()
    fill(maker, count)
    browser = signed_in(maker)
    # session, person, workshop; six of the hours; promises; three of turnaround; handovers; four of money
    with django_assert_num_queries(18):
        browser.get(URL)


def test_csv_guards_formulas_and_holds_the_figures():
    make_workshop()
    maker = make_maker()
    fill(maker, 1)
    answer = signed_in(maker).get(f"{URL}money.csv")
    assert answer["Content-Type"] == "text/csv; charset=utf-8"
    assert answer["Content-Disposition"] == 'attachment; filename="money-2027-03-10.csv"'
    heading, row = csv.reader(io.StringIO(answer.content.decode()))
    assert heading == ["Commission", "Stage payments", "Agreed, £", "Received, £", "Due and not in, £"]
    assert row[1:] == ["1", "1234.50", "1000.00", "234.50"] and row[0].endswith("=Mill 0")


def test_the_spreadsheet_is_read_back_by_the_library_cell_by_cell():
    """Read by odfpy itself: text stays text, even where it begins like a formula; numbers are numbers."""
    from odf import teletype
    from odf.opendocument import load
    from odf.table import Table, TableCell, TableRow

    made = spreadsheet("Money\x00", ("What", "£"), [("=1+1", Decimal("2.50")), ("a\x07b", None), ("n", -3)])
    document = load(io.BytesIO(made))
    assert document.mimetype == "application/vnd.oasis.opendocument.spreadsheet"
    table = document.spreadsheet.getElementsByType(Table)[0]
    assert table.getAttribute("name") == "Money"
    rows = [
        [(teletype.extractText(cell), cell.getAttribute("valuetype"), cell.getAttribute("value")) for cell in cells]
        for row in table.getElementsByType(TableRow)
        for cells in [row.getElementsByType(TableCell)]
    ]
    assert rows == [
        [("What", "string", None), ("£", "string", None)],
        [("=1+1", "string", None), ("2.50", "float", "2.50")],
        [("ab", "string", None), ("", None, None)],
        [("n", "string", None), ("-3", "float", "-3")],
    ]
    assert all(cell.getAttribute("formula") is None for cell in table.getElementsByType(TableCell))


def test_every_report_comes_as_both_files():
    make_workshop()
    maker = make_maker()
    browser = signed_in(maker)
    for key in ("hours", "promises", "turnaround", "returns", "money"):
        assert browser.get(f"{URL}{key}.csv").content.count(b"\r\n") == 1
        assert browser.get(f"{URL}{key}.ods").content[:2] == b"PK"


@pytest.mark.parametrize("path", ["nothing.csv", "money.exe", "money", "..%2f.csv"])
def test_what_is_no_report_is_404(path):
    make_workshop()
    assert signed_in().get(f"{URL}{path}").status_code == 404


def test_who_may_not_and_how_not():
    make_workshop()
    assert Browser().get(URL).status_code == 302
    helper = signed_in(make_maker(name="Sam Ashby", role=Role.HELPER))
    assert helper.get(URL).status_code == 403 and helper.get(f"{URL}money.csv").status_code == 403
    assert signed_in(make_maker()).post(URL).status_code == 405


def test_bars_share_one_scale_from_zero():
    chart = draw([BarRow("a", (10, 5), "x"), BarRow("b", (None, 2.5), "y")])
    assert [[bar.width for bar in row.bars] for row in chart.rows] == [[320, 160], [80]]
    assert draw([BarRow("a", (0, None), "x")]) is None and draw([]) is None
    assert (hours(95), hours(None), pounds(5)) == (Decimal("1.6"), None, Decimal("0.05"))
