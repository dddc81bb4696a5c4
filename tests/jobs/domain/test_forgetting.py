"""Forgetting: a planted client is looked for in every row and every file, before and after."""

from __future__ import annotations

import datetime as dt
import io
import json
import zipfile
from pathlib import Path
from typing import Any

import pytest
from django.core.management import call_command
from django.db import connection

from aftercare.models import DoorCheck, FutureWork, IssuedPack
from jobs.domain import keeping
from jobs.domain.forgetting import ASKED, forget_again, forget_client
from jobs.ledger import append_line, read_lines
from jobs.models import (
    AccessCode,
    Client,
    ClientAway,
    Commission,
    DaybookLine,
    Erasure,
    FinishRecord,
    Message,
    MessageState,
    Photograph,
    Room,
    Workshop,
)
from jobs.nightly import run_if_due
from jobs.queries.client_rows import client_models, client_paths
from jobs.queries.export import write_export
from jobs.queries.keeping import years_after
from jobs.refusal import Refusal
from tests.factories import NOW, make_client, make_commission, make_visit
from tests.jobs.forget_cast import CODE, EMAIL, ENDED, NAME, NEEDLES, SURNAME, end, planted
from tests.needle import holds

pytestmark = pytest.mark.django_db


@pytest.fixture
def client(settings: Any, tmp_path: Path) -> Client:
    return planted(settings, tmp_path)


def whole_database() -> str:
    """Every row of every table as text."""
    with connection.cursor() as cursor:
        told = []
        for table in connection.introspection.table_names(cursor):
            cursor.execute(f"SELECT * FROM {connection.ops.quote_name(table)}")
            told += [f"{table}: {row!r}" for row in cursor.fetchall()]
    return "\n".join(told)


def found_in_database() -> list[str]:
    lines = whole_database().splitlines()
    return [line for line in lines if holds(line.casefold(), *(needle.casefold() for needle in NEEDLES))]


def found_in_files(folder: Path) -> list[str]:
    return [path.name for path in folder.rglob("*") if path.is_file() and holds(path.read_bytes(), *NEEDLES)]


def forget(client: Client, django_capture_on_commit_callbacks: Any) -> Erasure:
    with django_capture_on_commit_callbacks(execute=True):
        return forget_client(client=client, reason=ASKED, workshop=Workshop.objects.get(), now=ENDED, actor=None)


def test_the_search_finds_the_planted_client_before(client: Client, tmp_path: Path) -> None:
    assert len(found_in_database()) > 20
    # The drawing, and the mails in the outbox with the pack inside.
    assert len(found_in_files(tmp_path)) >= 2
    assert IssuedPack.objects.count() == 1


def test_after_forgetting_nothing_of_the_client_is_found(
    client: Client, tmp_path: Path, django_capture_on_commit_callbacks: Any
) -> None:
    end(client.commissions.get())
    kept = IssuedPack.objects.get()
    forget(client, django_capture_on_commit_callbacks)
    assert found_in_database() == []
    assert found_in_files(tmp_path) == []
    assert "Cousin Hugo" not in whole_database()
    pack = IssuedPack.objects.get()
    assert (pack.file.name, pack.sha256, pack.page_count) == ("", kept.sha256, kept.page_count)
    assert not Photograph.objects.exists() and not FutureWork.objects.exists() and not AccessCode.objects.exists()
    assert [path for path in (tmp_path / "media").rglob("*") if path.is_file()] == []


def test_what_says_nothing_of_a_person_stays(client: Client, django_capture_on_commit_callbacks: Any) -> None:
    commission = client.commissions.get()
    end(commission)
    lines = DaybookLine.objects.count()
    erasure = forget(client, django_capture_on_commit_callbacks)
    commission.refresh_from_db()
    client.refresh_from_db()
    assert (client.name, client.email, client.phone) == (f"Forgotten client {client.pk}", "", "")
    assert (commission.nickname, commission.what) == (f"No. {commission.number}", "library for [forgotten]")
    assert FinishRecord.objects.get().tin_place == "boiler cupboard"
    assert DoorCheck.objects.get().after_top_tenths_mm == 25
    # Two rooms that become one in name stay two: the second has its row's number.
    names = sorted(Room.objects.values_list("name", flat=True))
    assert names == ["[forgotten] study", f"[forgotten] study {Room.objects.order_by('pk').last().pk}"]
    assert DaybookLine.objects.count() > lines  # the daybook only grows
    assert (erasure.client_id, erasure.reason) == (client.pk, "asked")
    assert {"codes", "post", "photographs", "aftercare", "files", "words", "client"} <= set(erasure.parts)
    assert [(line.client_id, line.at) for line in read_lines()] == [(client.pk, ENDED)]


def test_another_client_is_not_touched(client: Client, django_capture_on_commit_callbacks: Any) -> None:
    other = make_client(name=f"Basil {SURNAME}", email="basil@example.org", address="2 Weir Bank", phone="")
    job = make_commission(maker=client.commissions.get().maker, client=other, what=f"dresser for {SURNAME}")
    end(client.commissions.get())
    forget(client, django_capture_on_commit_callbacks)
    other.refresh_from_db()
    job.refresh_from_db()
    assert (other.name, other.address, job.what) == (f"Basil {SURNAME}", "2 Weir Bank", f"dresser for {SURNAME}")


def test_a_running_job_or_a_visit_ahead_is_named(client: Client) -> None:
    commission = client.commissions.get()
    workshop = Workshop.objects.get()
    with pytest.raises(Refusal, match="is still ahead: cancel it first"):
        forget_client(client=client, reason=ASKED, workshop=workshop, now=NOW, actor=None)
    commission.visits.all().delete()
    with pytest.raises(Refusal, match="is still running: close it first"):
        forget_client(client=client, reason=ASKED, workshop=workshop, now=NOW, actor=None)
    assert Client.objects.get().name == NAME


def test_forgetting_twice_is_refused(client: Client, django_capture_on_commit_callbacks: Any) -> None:
    end(client.commissions.get())
    forget(client, django_capture_on_commit_callbacks)
    with pytest.raises(Refusal, match="forgotten already"):
        forget(client, django_capture_on_commit_callbacks)
    assert len(read_lines()) == 1


def test_after_a_restore_the_ledger_forgets_again(client: Client, django_capture_on_commit_callbacks: Any) -> None:
    """The database is as it was before the erasure; only the file knows."""
    commission = client.commissions.get()
    end(commission)
    append_line(client.pk, ENDED)
    later = make_client(name="Somebody Else")  # entered after the erasure
    append_line(later.pk, later.created_at - dt.timedelta(days=1))
    with django_capture_on_commit_callbacks(execute=True):
        call_command("forget", "--again", stdout=(out := io.StringIO()))
    assert out.getvalue().strip() == f"forgotten again: {client.pk}"
    assert found_in_database() == []
    later.refresh_from_db()
    assert later.name == "Somebody Else"
    assert forget_again(workshop=Workshop.objects.get(), now=ENDED) == [client.pk]  # running it twice does no harm
    assert found_in_database() == []


def test_a_ledger_line_cut_short_is_passed_over(settings: Any, tmp_path: Path) -> None:
    settings.ERASURES_FILE = tmp_path / "erasures.jsonl"
    append_line(7, NOW)
    with (tmp_path / "erasures.jsonl").open("a") as file:
        file.write('{"client": 8, "a')
    assert [line.client_id for line in read_lines()] == [7]


def test_text_of_messages_goes_after_its_time(client: Client, settings: Any) -> None:
    workshop = Workshop.objects.get()
    sent = Message.objects.filter(state=MessageState.SENT)
    assert sent.exclude(body="").exists() and len(list(settings.OUTBOX_DIR.iterdir())) == sent.count()
    late = NOW + dt.timedelta(days=364)
    assert keeping.forget(workshop, late).messages == 0
    report = keeping.forget(workshop, NOW + dt.timedelta(days=366))
    assert report.messages == sent.count() > 0
    assert list(settings.OUTBOX_DIR.iterdir()) == []
    told = set(sent.values_list("body", "html", "subject", "to_name", "to_email"))
    assert told == {("", "", "", "", "")}
    assert keeping.forget(workshop, NOW + dt.timedelta(days=366)).messages == 0


def test_who_lets_us_in_and_times_away_go_after_theirs(client: Client) -> None:
    workshop, commission = Workshop.objects.get(), client.commissions.get()
    end(commission)
    assert keeping.forget(workshop, ENDED + dt.timedelta(days=29)).arrangements == 0
    assert ClientAway.objects.count() == 0  # 30 days after the last of them: gone by then
    assert keeping.forget(workshop, ENDED + dt.timedelta(days=30)).arrangements == 1


def test_a_client_goes_six_years_after_the_end_but_not_while_further_work_is_open(
    client: Client, django_capture_on_commit_callbacks: Any
) -> None:
    workshop = Workshop.objects.get()
    end(client.commissions.get())
    # Ended on 28 April 2027; six years later is 28 April 2033.
    assert keeping.forget(workshop, dt.datetime(2033, 4, 27, 12, tzinfo=dt.UTC)).clients == 0
    work = FutureWork.objects.get()
    work.next_contact_on = dt.date(2034, 1, 1)
    work.save()
    assert keeping.forget(workshop, dt.datetime(2033, 5, 1, 12, tzinfo=dt.UTC)).clients == 0
    with django_capture_on_commit_callbacks(execute=True):
        assert keeping.forget(workshop, dt.datetime(2034, 1, 2, 12, tzinfo=dt.UTC)).clients == 1
    assert found_in_database() == []
    assert Erasure.objects.get().reason == "time"
    assert keeping.forget(workshop, dt.datetime(2035, 1, 2, 12, tzinfo=dt.UTC)).clients == 0


def test_somebody_who_never_ordered_goes_after_two_years(client: Client) -> None:
    workshop = Workshop.objects.get()
    enquiry = make_client(name="Only Asked")
    Client.objects.filter(pk=enquiry.pk).update(created_at=NOW)
    assert keeping.forget(workshop, NOW + dt.timedelta(days=729)).clients == 0
    assert keeping.forget(workshop, NOW + dt.timedelta(days=731)).clients == 1
    enquiry.refresh_from_db()
    assert enquiry.name == f"Forgotten client {enquiry.pk}"


def test_the_night_and_the_command_do_the_same(client: Client) -> None:
    workshop = Workshop.objects.get()
    assert "forget" in run_if_due(workshop, NOW + dt.timedelta(days=1))  # the sweep of NOW had its own
    call_command("forget", stdout=(out := io.StringIO()))
    assert out.getvalue().strip().endswith("clients forgotten")


@pytest.mark.parametrize(
    ("day", "years", "then"),
    [
        (dt.date(2027, 4, 28), 6, dt.date(2033, 4, 28)),
        (dt.date(2028, 2, 29), 6, dt.date(2034, 3, 1)),  # leap day
        (dt.date(2028, 2, 29), 4, dt.date(2032, 2, 29)),
    ],
)
def test_years_after(day: dt.date, years: int, then: dt.date) -> None:
    assert years_after(day, years) == then


def test_every_table_of_a_client_is_found_by_its_keys() -> None:
    names = {model.__name__ for model in client_models()}
    assert {
        "Client",
        "Commission",
        "Message",
        "Visit",
        "Photograph",
        "DoorCheck",
        "IssuedPack",
        "AccessCode",
    } <= names
    assert {"Person", "Workshop", "Erasure", "Subcontractor", "Template"}.isdisjoint(names)
    assert client_paths(Commission) == ("client",)
    assert "check_of__visit__commission__client" in client_paths(DoorCheck)


def exported(client: Client) -> zipfile.ZipFile:
    out = io.BytesIO()
    write_export(client, out, workshop_name="Fieldgate Joinery", now=NOW)
    return zipfile.ZipFile(out)


def test_the_export_has_everything_planted_but_the_code(client: Client) -> None:
    archive = exported(client)
    everything = archive.read("everything.json").decode()
    assert [needle for needle in NEEDLES if needle not in everything] == ["01632 960777", "01632960777"]
    assert "Cousin Hugo" in everything and f"a desk for {NAME}" in everything
    told = json.loads(everything)["tables"]
    assert told["access codes"][0]["code"] == "kept sealed, and not in this file"
    assert told["clients"][0]["name"] == NAME
    names = archive.namelist()
    for folder in ("files/photograph/", "files/drawingversion/", "files/issuedpack/", "mails/"):
        assert any(name.startswith(folder) for name in names), folder
    packed = next(name for name in names if name.startswith("files/issuedpack/"))
    with IssuedPack.objects.get().file.open("rb") as file:
        assert archive.read(packed) == file.read()
    assert EMAIL in everything and "Fieldgate Joinery" in archive.read("read me.txt").decode()
    for name in names:
        assert holds(archive.read(name), CODE) == [], name
    assert "token" not in everything and "_hash" not in everything


def test_the_export_names_files_that_are_gone(client: Client) -> None:
    photograph = Photograph.objects.get()
    photograph.file.storage.delete(photograph.file.name)
    told = json.loads(exported(client).read("everything.json"))
    assert told["missing files"] == [photograph.file.name]


def test_the_export_has_nothing_of_another_client(client: Client) -> None:
    other = make_client(name="Basil Ferndown", email="basil@example.org")
    visit = make_visit(make_commission(maker=client.commissions.get().maker, client=other, what="a dresser"))
    for name in exported(client).namelist():
        assert holds(exported(client).read(name), "Basil Ferndown", "basil@example.org", str(visit.uid)) == []
