"""Reads a calendar from standard input with Python's icalendar package, and prints as JSON what we
compare: its name and refresh interval, and each event with its alarms, in the file's order."""

import json
import sys
from datetime import timezone

import icalendar


def utc(prop):
    return prop.dt.astimezone(timezone.utc).strftime("%Y-%m-%dT%H:%M:%SZ")


def alarm(component):
    trigger = component["TRIGGER"].dt
    return {
        "action": str(component["ACTION"]),
        "trigger_s": int(trigger.total_seconds()),
        "description": str(component["DESCRIPTION"]),
    }


def event(component):
    geo = component.get("GEO")
    return {
        "uid": str(component["UID"]),
        "start": utc(component["DTSTART"]),
        "end": utc(component["DTEND"]),
        "stamp": utc(component["DTSTAMP"]),
        "sequence": int(component["SEQUENCE"]),
        "summary": str(component["SUMMARY"]),
        "description": str(component.get("DESCRIPTION", "")),
        "location": str(component.get("LOCATION", "")),
        "geo": [geo.latitude, geo.longitude] if geo else None,
        "organizer": str(component.get("ORGANIZER", "")),
        "alarms": [alarm(inside) for inside in component.walk("VALARM")],
        "errors": [str(error) for error in component.errors],
    }


calendar = icalendar.Calendar.from_ical(sys.stdin.buffer.read())
refresh = calendar.get("REFRESH-INTERVAL")
json.dump(
    {
        "name": str(calendar.get("NAME", "")),
        "method": str(calendar.get("METHOD", "")),
        "refresh_s": int(refresh.dt.total_seconds()) if refresh else None,
        "events": [event(component) for component in calendar.walk("VEVENT")],
        "errors": [str(error) for error in calendar.errors],
    },
    sys.stdout,
)
