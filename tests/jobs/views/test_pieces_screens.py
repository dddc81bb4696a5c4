from __future__ import annotations

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from jobs.models import Piece, Role
from jobs.queries.search import search_text
from jobs.queries.search_sources import found_pieces
from tests.factories import NOW, PASSWORD, make_commission, make_maker, make_workshop
from tests.jobs.site_cast import HEADING, forty_pieces_csv, make_pieces, make_room, make_route

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


def words(answer):
    return " ".join(answer.content.decode().split())


def test_a_table_is_shown_first_and_added_by_a_second_press(client, commission):
    url = reverse("piece_table", args=[commission.number])
    upload = SimpleUploadedFile("pieces.csv", forty_pieces_csv(), content_type="text/csv")
    answer = client.post(url, {"table_file": upload})
    assert answer.status_code == 200
    assert "40 pieces would be added" in words(answer)
    assert not Piece.objects.exists()
    answer = client.post(url, {"table_text": answer.context["text"], "sure": "yes"}, follow=True)
    assert "40 pieces were added." in words(answer)
    assert Piece.objects.count() == 40


def test_a_bad_line_stops_the_whole_table_and_the_paste_stays(client, commission):
    text = f"{HEADING}\nGood,,doors,600,2000,18,mdf,18,,1,no\nBad,,doors,wide,2000,18,mdf,18,,1,no"
    answer = client.post(reverse("piece_table", args=[commission.number]), {"table_text": text, "sure": "yes"})
    assert answer.status_code == 422
    assert "Line 3: width_mm: “wide” is not a length." in words(answer)
    assert "Good,,doors" in words(answer)
    assert not Piece.objects.exists()


@pytest.mark.parametrize(
    ("data", "sentence"),
    [
        (None, "Choose a file, or paste its lines"),
        (b"", "The file is empty"),
        ("name;width_mm\nSeite;1".encode("utf-16"), "UTF-16"),
        (b"PK\x03\x04rubbish", "a spreadsheet"),
        (b"name,height_mm,depth_mm,width_mm,secret\n", "there is no column called “secret”"),
        (b"name,width_mm,height_mm\n", "the column “depth_mm” is missing"),
        (b"x" * 2_000_001, "larger than 2 MB"),
    ],
)
def test_a_table_that_cannot_be_read_gets_a_sentence(client, commission, data, sentence):
    typed = {} if data is None else {"table_file": SimpleUploadedFile("pieces.csv", data)}
    answer = client.post(reverse("piece_table", args=[commission.number]), typed)
    assert answer.status_code == 422
    assert sentence in words(answer)


def test_every_column_is_written_on_the_page(client, commission):
    page = words(client.get(reverse("piece_table", args=[commission.number])))
    for name in HEADING.split(","):
        assert f"<code>{name}</code>" in page


def test_a_piece_is_typed_changed_and_taken_out(client, commission):
    typed = {
        "name": "Carcass left", "track": "carcasses", "width_mm": "600", "height_mm": "2050", "depth_mm": "580",
        "board": "mdf", "thickness_mm": "18", "area_m2": "4.4", "fittings_kg": "1.5", "place": "workshop",
        "fitting_order": "2", "stands_up": "on",
    }  # fmt: skip
    client.post(reverse("add_piece", args=[commission.number]), typed)
    piece = Piece.objects.get()
    page = words(client.get(piece.get_absolute_url()))
    # 4.4 m2 x 0.018 m x 740 kg/m3 + 1.5 kg = 60.1 kg, by hand
    assert "60.1 kg: reckoned from 4.4 m2 at 18 mm: MDF 740 kg/m3" in page
    answer = client.post(reverse("edit_piece", args=[piece.pk]), typed | {"height_mm": "2.05"})
    assert answer.status_code == 422
    assert "Is it 2050 mm (2.05 m) or 2.05 mm?" in words(answer)
    assert client.get(reverse("remove_piece", args=[piece.pk])).status_code == 404
    client.post(reverse("remove_piece", args=[piece.pk]))
    assert not Piece.objects.exists()


def test_counts_name_what_is_missing(client, commission, maker):
    pieces = make_pieces(commission, maker)
    url = reverse("count_pieces", args=[commission.number, "wrapped"])
    client.post(url, {"present": [piece.pk for piece in pieces[:38]]})
    page = words(client.get(reverse("pieces", args=[commission.number])))
    assert "38 of 40 counted; missing: P39 Plinth 9, P40 Long worktop." in page
    assert client.post(url, {"present": ["rubbish"]}).status_code == 422
    assert client.get(reverse("count_pieces", args=[commission.number, "guessed"])).status_code == 404


@pytest.mark.parametrize("lines", [3, 40])
def test_the_list_takes_the_same_queries_at_any_length(client, commission, maker, lines, django_assert_num_queries):
    data = b"\r\n".join(forty_pieces_csv().split(b"\r\n")[: lines + 1])
    make_pieces(commission, maker, data)
    with django_assert_num_queries(5):
        client.get(reverse("pieces", args=[commission.number]))


def test_a_helper_sees_and_counts_but_does_not_change(client, commission, maker):
    piece = make_pieces(commission, maker)[0]
    make_route(commission)
    client.force_login(make_maker(name="Sam Ashby", role=Role.HELPER))
    assert client.get(piece.get_absolute_url()).status_code == 200
    assert client.get(reverse("count_pieces", args=[commission.number, "loaded"])).status_code == 200
    assert client.get(reverse("edit_piece", args=[piece.pk])).status_code == 403
    page = words(client.get(reverse("pieces", args=[commission.number])))
    assert reverse("piece_table", args=[commission.number]) not in page


def test_the_table_goes_out_as_csv(client, commission, maker):
    make_pieces(commission, maker)
    answer = client.get(reverse("pieces_csv", args=[commission.number]))
    assert answer["Content-Type"] == "text/csv; charset=utf-8"
    assert len(answer.content.splitlines()) == 41


def test_a_label_asks_whoever_scans_it_to_sign_in(client, commission, maker):
    piece = make_pieces(commission, maker)[0]
    client.logout()
    answer = client.get(piece.get_absolute_url())
    assert answer.status_code == 302
    assert client.login(email=maker.email, password=PASSWORD)
    assert client.get(piece.get_absolute_url()).status_code == 200


def test_a_scanned_label_offers_the_tick_and_takes_it_back(client, commission, maker):
    piece = make_pieces(commission, maker)[0]
    url = reverse("tick_piece", args=[piece.pk, "loaded"])
    assert client.get(url).status_code == 404
    client.post(url)
    piece.refresh_from_db()
    assert (piece.loaded_at, piece.place) == (NOW, "van")
    assert "has that tick already" in words(client.post(url, follow=True))
    client.post(url, {"taken_back": "yes"})
    piece.refresh_from_db()
    assert (piece.loaded_at, piece.place) == (None, "workshop")
    assert "Count at wrap" in words(client.post(reverse("tick_piece", args=[piece.pk, "guess"]), follow=True))


@pytest.mark.parametrize(
    ("asked", "names"),
    [("worktop", ["P40 Long worktop"]), ("P07", ["P07 Carcass 7"]), ("999999 P07", []), ("٣", [])],
)
def test_pieces_are_found_by_name_or_label(commission, maker, asked, names, django_assert_num_queries):
    make_pieces(commission, maker)
    with django_assert_num_queries(1):
        assert [one.title for one in found_pieces(search_text(asked), 20)] == names
