from __future__ import annotations

import datetime as dt
import hashlib
from pathlib import Path
from typing import Any

import pytest

from aftercare.domain import packs
from aftercare.domain.packs import issue_pack, pack_for_sending
from aftercare.models import Handover, IssuedPack
from aftercare.pack.contents import PackContents
from aftercare.pack.render import PackFile, PackNotMade
from aftercare.pack.stored import PackDamaged, stored_bytes
from jobs.models import DaybookLine
from jobs.refusal import Refusal
from tests.aftercare.pack.pack_rows import make_handover
from tests.factories import NOW

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def media(settings: Any, tmp_path: Path) -> Path:
    settings.MEDIA_ROOT = tmp_path
    return tmp_path


@pytest.fixture
def quick_press(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Where the tests are about rows and files, any bytes will do; the revisions asked for are listed."""
    asked: list[int] = []

    def press(contents: PackContents) -> PackFile:
        asked.append(contents.revision)
        data = f"%PDF revision {contents.revision}, {len(asked)}".encode()
        return PackFile(data, hashlib.sha256(data).hexdigest(), 1, True, 0)

    monkeypatch.setattr(packs, "render_pack", press)
    return asked


def files(media: Path) -> list[Path]:
    return [path for path in media.rglob("*") if path.is_file()]


def test_issued_pack_is_kept_byte_for_byte_with_its_hash(media: Path) -> None:
    pack = issue_pack(handover=make_handover(), now=NOW)
    (path,) = files(media)
    kept = path.read_bytes()
    assert kept.startswith(b"%PDF-1.7")
    assert pack.sha256 == hashlib.sha256(kept).hexdigest()
    assert stored_bytes(IssuedPack.objects.get()) == kept
    assert (pack.revision, pack.issued_at, pack.reason) == (1, NOW, "")
    assert pack.page_count >= 8
    line = DaybookLine.objects.get(act="issue_pack")
    assert line.facts["sha256"] == pack.sha256
    assert line.at == NOW


def test_name_of_the_file_says_nothing_of_the_client(media: Path, quick_press: list[int]) -> None:
    pack = issue_pack(handover=make_handover(), now=NOW)
    (path,) = files(media)
    assert path.suffix == ".pdf"
    assert len(path.stem) == 32 and set(path.stem) <= set("0123456789abcdef")
    assert "quennell" not in pack.file.name.lower()


def test_revisions_count_up_and_say_why(quick_press: list[int]) -> None:
    handover = make_handover()
    issue_pack(handover=handover, now=NOW)
    second = issue_pack(handover=handover, now=NOW + dt.timedelta(days=49), reason=" Hinges set at the visit ")
    assert (second.revision, second.reason) == (2, "Hinges set at the visit")
    assert quick_press == [1, 2]


@pytest.mark.parametrize(
    ("reason", "sentence"),
    [
        ("  ", "Say what changed since the last pack; it is printed in the revision log."),
        ("x" * 121, "Say what changed in at most 120 characters; these are 121."),
    ],
)
def test_second_revision_needs_a_short_reason(reason: str, sentence: str, quick_press: list[int]) -> None:
    handover = make_handover()
    issue_pack(handover=handover, now=NOW)
    with pytest.raises(Refusal) as refused:
        issue_pack(handover=handover, now=NOW, reason=reason)
    assert (refused.value.field, refused.value.sentence) == ("reason", sentence)
    assert IssuedPack.objects.count() == 1


def test_undone_handover_gets_no_pack(media: Path, quick_press: list[int]) -> None:
    handover = make_handover(undone_at=NOW)
    for act in (lambda: issue_pack(handover=handover, now=NOW), lambda: pack_for_sending(handover, NOW)):
        with pytest.raises(Refusal, match="This handover was undone"):
            act()
    assert quick_press == [] and files(media) == []


def test_pack_for_sending_is_made_once(media: Path, quick_press: list[int]) -> None:
    handover = make_handover()
    first = pack_for_sending(handover, NOW)
    again = pack_for_sending(handover, NOW + dt.timedelta(minutes=5))
    assert first.pk == again.pk
    assert again.issued_at == NOW
    assert quick_press == [1] and len(files(media)) == 1


def test_pack_for_sending_stays_revision_one_after_a_later_one(quick_press: list[int]) -> None:
    handover = make_handover()
    issue_pack(handover=handover, now=NOW)
    issue_pack(handover=handover, now=NOW, reason="Hinges set")
    assert pack_for_sending(handover, NOW).revision == 1


def interrupt_once(monkeypatch: pytest.MonkeyPatch, other: Any) -> None:
    """While the first pack is being made, `other` runs from start to end, as another process might."""
    press = packs.render_pack
    waiting = [other]

    def interrupted(contents: PackContents) -> PackFile:
        made = press(contents)
        if waiting:
            waiting.pop()()
        return made

    monkeypatch.setattr(packs, "render_pack", interrupted)


def test_two_senders_at_once_get_the_same_pack(
    media: Path, quick_press: list[int], monkeypatch: pytest.MonkeyPatch
) -> None:
    handover = make_handover()
    got: list[IssuedPack] = []
    interrupt_once(monkeypatch, lambda: got.append(pack_for_sending(Handover.objects.get(), NOW)))
    got.append(pack_for_sending(handover, NOW))
    assert quick_press == [1, 1]
    assert got[0].pk == got[1].pk and IssuedPack.objects.count() == 1
    # The loser's file is taken away, the winner's is whole, and the daybook has one line.
    assert len(files(media)) == 1
    assert hashlib.sha256(stored_bytes(got[1])).hexdigest() == got[0].sha256
    assert DaybookLine.objects.filter(act="issue_pack").count() == 1


def test_two_issues_at_once_get_two_revisions(
    media: Path, quick_press: list[int], monkeypatch: pytest.MonkeyPatch
) -> None:
    handover = make_handover()
    issue_pack(handover=handover, now=NOW)
    interrupt_once(monkeypatch, lambda: issue_pack(handover=handover, now=NOW, reason="Tin moved"))
    mine = issue_pack(handover=handover, now=NOW, reason="Hinges set")
    assert quick_press == [1, 2, 2, 3]
    assert [(pack.revision, pack.reason) for pack in IssuedPack.objects.order_by("revision")] == [
        (1, ""),
        (2, "Tin moved"),
        (3, "Hinges set"),
    ]
    assert mine.revision == 3 and len(files(media)) == 3


def test_pack_that_cannot_be_made_leaves_nothing(media: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def press(contents: PackContents) -> PackFile:
        raise PackNotMade("The document was not ready after 40 seconds and was stopped.")

    monkeypatch.setattr(packs, "render_pack", press)
    with pytest.raises(PackNotMade):
        issue_pack(handover=make_handover(), now=NOW)
    assert files(media) == []
    assert not IssuedPack.objects.exists() and not DaybookLine.objects.exists()


def test_fault_while_keeping_leaves_no_file(
    media: Path, quick_press: list[int], monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(**kwargs: Any) -> None:
        raise OSError("disk full")

    monkeypatch.setattr(packs, "write_line", fail)
    with pytest.raises(OSError, match="disk full"):
        issue_pack(handover=make_handover(), now=NOW)
    assert files(media) == [] and not IssuedPack.objects.exists()


def test_changed_or_missing_file_is_not_handed_out(media: Path, quick_press: list[int]) -> None:
    pack = issue_pack(handover=make_handover(), now=NOW)
    (path,) = files(media)
    path.write_bytes(b"%PDF something else")
    with pytest.raises(PackDamaged, match=r"has changed since it was issued: restore it from the backup\."):
        stored_bytes(pack)
    path.unlink()
    with pytest.raises(PackDamaged, match=r"is missing: restore it from the backup\."):
        stored_bytes(IssuedPack.objects.get())
