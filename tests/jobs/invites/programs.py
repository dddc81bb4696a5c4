"""Readers of calendar files that are not ours: ical.js through node, libical through ctypes.

Each returns None where the program is not on this machine; the tests then skip and say so.
"""

from __future__ import annotations

import ctypes
import ctypes.util
import json
import shutil
import subprocess
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cache
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[3]
NODE_HOME = ROOT / "var" / "node"
ICAL_JS = "ical.js@2.2.1"
SCRIPT = """
import ICAL from "ical.js";
let text = "";
for await (const chunk of process.stdin) text += chunk;
const calendar = new ICAL.Component(ICAL.parse(text));
const events = calendar.getAllSubcomponents("vevent").map((part) => {
  const event = new ICAL.Event(part);
  return {
    uid: event.uid, summary: event.summary, description: event.description, location: event.location,
    sequence: event.sequence, start: event.startDate.toJSDate().toISOString(),
    end: event.endDate.toJSDate().toISOString(), zone: event.startDate.zone.tzid,
    attendees: event.attendees.map((who) => [who.getFirstValue(), who.getParameter("cn") ?? null]),
  };
});
console.log(JSON.stringify({method: calendar.getFirstPropertyValue("method"), events}));
"""


@cache
def ical_js_script() -> Path | None:
    """The reading script beside an installed ical.js, fetched once into var/; None without node or the net."""
    node, npm = shutil.which("node"), shutil.which("npm")
    if node is None or npm is None:
        return None
    if not (NODE_HOME / "node_modules" / "ical.js" / "package.json").exists():
        NODE_HOME.mkdir(parents=True, exist_ok=True)
        command = [npm, "install", ICAL_JS, "--prefix", str(NODE_HOME), "--no-audit", "--no-fund"]
        try:
            subprocess.run(command, check=True, capture_output=True, timeout=150)
        except (subprocess.SubprocessError, OSError):
            return None
    script = NODE_HOME / "read_calendar.mjs"
    script.write_text(SCRIPT, encoding="utf-8")
    return script


def read_with_ical_js(body: bytes, zone_of_machine: str = "Asia/Tokyo") -> dict[str, Any] | None:
    """What ical.js makes of the file, on a machine that stands in another zone."""
    script = ical_js_script()
    if script is None:
        return None
    done = subprocess.run(
        ["node", str(script)],
        input=body,
        capture_output=True,
        timeout=150,
        check=True,
        env={"TZ": zone_of_machine, "PATH": "/usr/local/bin:/usr/bin:/bin"},
    )
    return json.loads(done.stdout)


class _Time(ctypes.Structure):
    """struct icaltimetype of libical 3.0 (icaltime.h)."""

    _fields_ = [
        *((name, ctypes.c_int) for name in ("year", "month", "day", "hour", "minute", "second")),
        ("is_date", ctypes.c_int),
        ("is_daylight", ctypes.c_int),
        ("zone", ctypes.c_void_p),
    ]


VEVENT_COMPONENT = 4  # ICAL_VEVENT_COMPONENT in libical's icalenums.h


@dataclass(frozen=True)
class LibicalReading:
    """libical's verdict: `fits` is icalrestriction_check, `errors` the lines that it could not parse."""

    fits: bool
    errors: int
    starts_at: datetime | None
    ends_at: datetime | None


@cache
def _libical() -> ctypes.CDLL | None:
    name = ctypes.util.find_library("ical")
    if name is None:
        return None
    library = ctypes.CDLL(name)
    library.icalparser_parse_string.restype = ctypes.c_void_p
    library.icalparser_parse_string.argtypes = [ctypes.c_char_p]
    library.icalcomponent_get_first_component.restype = ctypes.c_void_p
    library.icalcomponent_get_first_component.argtypes = [ctypes.c_void_p, ctypes.c_int]
    for getter in (library.icalcomponent_get_dtstart, library.icalcomponent_get_dtend):
        getter.restype, getter.argtypes = _Time, [ctypes.c_void_p]
    library.icaltime_as_timet_with_zone.restype = ctypes.c_long
    library.icaltime_as_timet_with_zone.argtypes = [_Time, ctypes.c_void_p]
    for name_of in ("icalrestriction_check", "icalcomponent_count_errors"):
        getattr(library, name_of).argtypes = [ctypes.c_void_p]
    library.icalcomponent_free.argtypes = [ctypes.c_void_p]
    library.icalcomponent_free.restype = None
    return library


def read_with_libical(body: bytes) -> LibicalReading | None:
    """Parse and check against the tables of RFC 5546; None where libical is not installed."""
    library = _libical()
    if library is None:
        return None
    root = library.icalparser_parse_string(body)
    assert root, "libical read nothing"
    try:
        errors = int(library.icalcomponent_count_errors(root))
        fits = bool(library.icalrestriction_check(root))
        event = library.icalcomponent_get_first_component(root, VEVENT_COMPONENT)
        if not event:
            return LibicalReading(fits, errors, None, None)
        times = library.icalcomponent_get_dtstart(event), library.icalcomponent_get_dtend(event)
        # By hand with the zone that libical found: its own "span" reads local times as UTC.
        seconds = [library.icaltime_as_timet_with_zone(moment, moment.zone) for moment in times]
        starts_at, ends_at = (datetime.fromtimestamp(second, UTC) for second in seconds)
        return LibicalReading(fits, errors, starts_at, ends_at)
    finally:
        library.icalcomponent_free(root)
