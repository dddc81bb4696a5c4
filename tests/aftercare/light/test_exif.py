"""EXIF 2.31: DateTimeOriginal (0x9003) is "YYYY:MM:DD HH:MM:SS", colons and blanks where unknown;
OffsetTimeOriginal (0x9011) is "+HH:MM" (from memory)."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from aftercare.light.errors import LightError
from aftercare.light.exif import capture_time
from tests.aftercare.light.cast import LONDON_ZONE

NOW = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)


@pytest.mark.parametrize(
    ("original", "offset", "utc"),
    [
        ("2026:09:10 11:15:00", None, datetime(2026, 9, 10, 10, 15, tzinfo=UTC)),
        ("2026:09:10 11:15:00", "+01:00", datetime(2026, 9, 10, 10, 15, tzinfo=UTC)),
        ("2026:09:10 11:15:00", "-03:30", datetime(2026, 9, 10, 14, 45, tzinfo=UTC)),
        ("2026:09:10 11:15:00", "Z", datetime(2026, 9, 10, 11, 15, tzinfo=UTC)),
        ("2026:11:03 09:32:07\x00", "   :  ", datetime(2026, 11, 3, 9, 32, 7, tzinfo=UTC)),
        ("2026:11:03 09:32:07.25", "nonsense", datetime(2026, 11, 3, 9, 32, 7, tzinfo=UTC)),
        # Twice on the night the clocks go back; the first is taken.
        ("2026:10:25 01:30:00", None, datetime(2026, 10, 25, 0, 30, tzinfo=UTC)),
    ],
)
def test_time_is_read(original: str, offset: str | None, utc: datetime) -> None:
    found = capture_time(original, offset, LONDON_ZONE, NOW)
    # Compared as UTC: Python holds no time of the doubled hour equal to one of another zone.
    assert found.astimezone(UTC) == utc
    assert found.tzinfo is LONDON_ZONE


def test_offset_of_another_country_is_shown_on_the_zone_s_clock() -> None:
    found = capture_time("2026:09:10 11:15:00", "+02:00", ZoneInfo("Europe/London"), NOW)
    assert (found.hour, found.minute) == (10, 15)


@pytest.mark.parametrize(
    ("original", "words"),
    [
        (None, "carries no time"),
        ("", "carries no time"),
        ("0000:00:00 00:00:00", "carries no time"),
        ("    :  :     :  :  ", "carries no time"),
        ("\x00\x00", "carries no time"),
        ("1970:01:01 00:00:00", "stood at 1970"),
        ("1970:01:01 13:20:05", "stood at 1970"),
        ("2000:01:01 00:00:12", "stood at 2000"),
        ("2026:13:01 10:00:00", "does not exist"),
        ("2026:02:29 10:00:00", "does not exist"),
        ("2026-09-10T11:15:00", "cannot be read"),
        ("2026:03:29 01:30:00", "clocks skipped 01:30"),
        ("2026:11:25 09:00:01", "ahead of ours"),
        ("2031:01:01 10:00:00", "ahead of ours"),
    ],
)
def test_broken_clock_is_refused(original: str | None, words: str) -> None:
    with pytest.raises(LightError) as refused:
        capture_time(original, None, LONDON_ZONE, NOW)
    assert refused.value.field == "photograph"
    assert words in refused.value.sentence
    assert refused.value.sentence.endswith("type the time in instead.")


def test_offset_decides_whether_it_is_in_the_future() -> None:
    stamp = f"{NOW:%Y:%m:%d %H:%M:%S}"
    assert capture_time(stamp, "+01:00", LONDON_ZONE, NOW) == NOW - timedelta(hours=1)
    with pytest.raises(LightError, match="ahead of ours"):
        capture_time(stamp, "-01:00", LONDON_ZONE, NOW)
