#!/usr/bin/python3
"""Holds `wrack round --calendar` against the round's own --json, with a parser that is not the project's.

    calendar_check.py ZONE NAME...     of each NAME.ics and NAME.json, one a day, in order

Debian's python3-icalendar reads the text, python3-dateutil's zone the clock. What has a time and is not done must be in
the calendar once, at the same instant and with the same words, and nothing else may be.
"""
import collections
import datetime
import json
import sys

import icalendar
from dateutil import rrule, tz

zone = tz.gettz(sys.argv[1])
utc = datetime.timezone.utc
by_clock = collections.defaultdict(list)  # Clock reading of a subject -> instants.
entries = 0

for name in sys.argv[2:]:
    with open(name + ".ics", "rb") as file:
        raw = file.read()
    assert all(len(line) <= 75 for line in raw.split(b"\r\n")), "a line is longer than 75 bytes"
    assert b"\n" not in raw.replace(b"\r\n", b""), "a line ends without CR"
    calendar = icalendar.Calendar.from_ical(raw)
    assert calendar["VERSION"] == "2.0" and calendar["PRODID"], "no version or no product"
    read = []
    uids = set()
    for event in calendar.walk("VEVENT"):
        assert not event.errors, event.errors
        assert event["UID"] not in uids, "a UID twice: " + event["UID"]
        uids.add(event["UID"])
        start = event.decoded("DTSTART")
        assert start.tzinfo is not None, "a time without its zone"
        # An entry is one moment, or, with a rule, each of its moments.
        rule = event.get("RRULE")
        starts = list(rrule.rrulestr(rule.to_ical().decode(), dtstart=start)) if rule else [start]
        for at in starts:
            read.append((at.astimezone(utc), str(event["SUMMARY"])))
    with open(name + ".json") as file:
        items = json.load(file)["items"]
    due = []
    for item in items:
        if "due" not in item or item["state"] == "done":
            continue
        # Written to the minute: begun seconds are cut off.
        at = datetime.datetime.fromisoformat(item["due"]).astimezone(utc).replace(second=0, microsecond=0)
        due.append((at, "%s: %s, %s" % (item["what"], item["subject_name"], item["text"])))
        by_clock[at.astimezone(zone).strftime("%H:%M ") + item["subject_name"]].append(at)
    assert due, name + ": nothing is due, so nothing was compared"
    assert sorted(read) == sorted(due), "%s\ncalendar %s\nround    %s" % (name, sorted(read), sorted(due))
    entries += len(read)

instants = sorted(by_clock["08:30 Kobb"])
assert [(b - a).total_seconds() / 3600 for a, b in zip(instants, instants[1:])] == [25, 24], instants
print("%d entries are the round's; 08:30 to 08:30 is 25 h over the change, then 24 h" % entries)
