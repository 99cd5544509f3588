"""Makes moon.csv, moon_days.csv and sun_transit.csv with ephem. Run here:  python make_moon.py"""
import csv
import datetime as dt
import math
import zoneinfo

import ephem

UTC = dt.timezone.utc
PLACES = [
    ("Portland ME", 43.6591, -70.2568, "America/New_York"),
    ("Bergen", 60.3913, 5.3221, "Europe/Oslo"),
    ("Tromso", 69.6492, 18.9553, "Europe/Oslo"),
    ("Quito", -0.1807, -78.4678, "America/Guayaquil"),
    ("Sydney", -33.8688, 151.2093, "Australia/Sydney"),
    ("Suva", -18.1416, 178.4419, "Pacific/Fiji"),
]


def observer(lat, lon):
    o = ephem.Observer()
    o.lat, o.lon, o.elevation, o.pressure, o.epoch = str(lat), str(lon), 0, 0, ephem.J2000
    o.horizon = "-0:34"
    return o


def text(t):
    return t.strftime("%Y-%m-%dT%H:%M:%SZ")


def to_second(t):
    t = t.replace(tzinfo=UTC)
    return (t + dt.timedelta(microseconds=500_000)).replace(microsecond=0)


def write(name, header, rows):
    with open(name, "w", newline="") as file:
        out = csv.writer(file, lineterminator="\n")
        out.writerow(header)
        out.writerows(rows)


rows = []
for i in range(60):
    at = dt.datetime(1996, 1, 3, 5, 17, 40) + dt.timedelta(hours=i * 5101)
    place, lat, lon, _ = PLACES[i % len(PLACES)]
    o = observer(lat, lon)
    o.date = ephem.Date(at)
    m = ephem.Moon(o)
    g = ephem.Moon(o.date)
    s = ephem.Sun(o.date)
    ecl = lambda b: ephem.Ecliptic(ephem.Equatorial(b.g_ra, b.g_dec, epoch=o.date), epoch=o.date).lon
    elongation = math.degrees(ecl(g) - ecl(s)) % 360
    age = o.date - ephem.previous_new_moon(o.date)
    rows.append((place, lat, lon, text(at), f"{math.degrees(m.az):.4f}", f"{math.degrees(m.alt):.4f}",
                 f"{m.radius * 180 / math.pi:.4f}", f"{g.phase / 100:.4f}", f"{elongation:.3f}", f"{age:.3f}"))
write("moon.csv", ["place", "lat", "lon", "utc", "azimuth_deg", "elevation_deg", "radius_deg", "illuminated_fraction",
                   "elongation_deg", "age_days"], rows)

rows, noons = [], []
for k, (place, lat, lon, tz) in enumerate(PLACES):
    zone = zoneinfo.ZoneInfo(tz)
    days = [dt.date(2026, 1, 9) + dt.timedelta(days=29 * i + 3 * k) for i in range(8)]
    days += [dt.date(2026, 3, 29), dt.date(2026, 10, 4), dt.date(2026, 10, 25)]
    for day in days:
        start = dt.datetime(day.year, day.month, day.day, tzinfo=zone).astimezone(UTC)
        next_day = day + dt.timedelta(days=1)
        end = dt.datetime(next_day.year, next_day.month, next_day.day, tzinfo=zone).astimezone(UTC)
        for way in ("rise", "set"):
            found, at = [], start
            while True:
                o = observer(lat, lon)
                o.date = ephem.Date(at.replace(tzinfo=None))
                try:
                    t = (o.next_rising if way == "rise" else o.next_setting)(ephem.Moon()).datetime().replace(tzinfo=UTC)
                except ephem.CircumpolarError:
                    break
                if t >= end:
                    break
                found.append(text(to_second(t)))
                at = t + dt.timedelta(minutes=5)
            rows.append((place, lat, lon, tz, day, way, " ".join(found)))
        o = observer(lat, lon)
        noon = dt.datetime(day.year, day.month, day.day, 12, tzinfo=zone).astimezone(UTC)
        o.date = ephem.Date((noon - dt.timedelta(hours=6)).replace(tzinfo=None))
        noons.append((place, lat, lon, tz, day, text(to_second(o.next_transit(ephem.Sun()).datetime()))))
write("moon_days.csv", ["place", "lat", "lon", "tz", "local_date", "way", "utc"], rows)
write("sun_transit.csv", ["place", "lat", "lon", "tz", "local_date", "utc"], noons)
