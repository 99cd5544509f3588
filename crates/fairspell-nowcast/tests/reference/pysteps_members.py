"""How many of 24 members of the reference ensemble answer yes: makes steps_members.csv.

    python pysteps_members.py RADAR_FOLDER > steps_members.csv

RADAR_FOLDER holds fmi/, mrms/, opera/ and score/ with the scoring points. Needs pysteps 1.21.5 with
numpy, scipy, opencv-python-headless, h5py, eccodes and pyproj. One core: about half an hour, 4 GB.
Three pictures, Lucas-Kanade, STEPS with its defaults (six cascade levels, non-parametric noise), one
seed. A letter a point, in the order of the points' file: A is no member, Y is all 24.
"""

import datetime
import glob
import gzip
import sys

import eccodes
import h5py
import numpy as np
import pyproj
from pysteps import motion, nowcasts

SEED = 20260903
MEMBERS = 24


def fmi(path):
    raw = np.frombuffer(gzip.open(path).read()[-760 * 1226:], np.uint8).reshape(1226, 760)
    rate = (10 ** ((raw / 2 - 32) / 10) / 223) ** (1 / 1.53)
    return np.where(raw == 255, np.nan, np.where(raw == 0, 0.0, rate))


def mrms(path):
    with open(path, "rb") as file:
        message = eccodes.codes_grib_new_from_file(file)
        rate = eccodes.codes_get_values(message).reshape(3500, 7000)
    return np.where(rate < 0, np.nan, rate)


def opera(path):
    raw = h5py.File(path)["dataset1/data1/data"][...]
    return np.where(raw == -9999000, np.nan, np.where(raw == -8888000, 0.0, raw))


def fmi_cells(lat, lon):
    x, y = pyproj.Proj(
        "+proj=stere +lat_0=90 +lon_0=25 +lat_ts=60 +R=6371288 +x_0=380886.310 +y_0=3395677.920"
    )(lon, lat)
    return 1225.5 - y / 999.62859, x / 999.674053 - 0.5


def mrms_cells(lat, lon):
    return (54.995 - lat) / 0.01, (lon + 129.995) / 0.01


def opera_cells(lat, lon):
    x, y = pyproj.Proj("+proj=laea +lat_0=55 +lon_0=10 +x_0=1950000 +y_0=-2100000 +ellps=WGS84")(lon, lat)
    return -y / 2000 - 0.5, x / 2000 - 0.5


# name: reader, files, first picture, step (min), km, rows, columns, starts (index), points, cells
EVENTS = {
    "fmi": (fmi, "fmi/*.pgm.gz", "2016-09-28T14:45", 5, 1.0, (552, 1064), (192, 704),
            (3, 7, 11, 15, 19, 23, 27), "fmi2016", fmi_cells),
    "mrms": (mrms, "mrms/*.grib2", "2019-06-10T00:00", 4, 1.0, (1660, 2200), (4200, 4880),
             (2, 4, 6), "mrms2019", mrms_cells),
    "opera": (opera, "opera/T_PAAH21*.hdf", "2018-08-24T18:00", 15, 2.0, (240, 752), (920, 1432),
              (2, 5, 8, 11, 14), "opera2018", opera_cells),
}
QUESTIONS = [("rain", 15, 45), ("gap", 0, 60), ("rain", 30, 120), ("gap", 30, 120)]


def has_gap(wet, pictures):
    """Whether so many pictures on end are dry; axes (..., time, point)."""
    run = np.zeros(wet.shape[:-2] + wet.shape[-1:], int)
    found = np.zeros(run.shape, bool)
    for step in range(wet.shape[-2]):
        run = np.where(wet[..., step, :], 0, run + 1)
        found |= run >= pictures
    return found


def main(folder):
    print("event,start,question,from_min,to_min,members")
    for name, event in EVENTS.items():
        reader, files, first, step, km, rows, columns, starts, points, cells = event
        rate = np.stack([
            reader(path)[slice(*rows), slice(*columns)]
            for path in sorted(glob.glob(f"{folder}/{files}"))
        ])
        lat, lon = np.loadtxt(f"{folder}/score/{points}_points.csv", delimiter=",", skiprows=1).T
        row, column = (np.round(axis).astype(int) for axis in cells(lat, lon))
        row, column = row - rows[0], column - columns[0]
        for start in starts:
            level = np.where(rate >= 0.1, 10 * np.log10(np.maximum(rate, 0.1)), -15.0)
            seen = level[start - 2:start + 1]
            steps = min(120 // step, len(rate) - 1 - start)
            ensemble = nowcasts.get_method("steps")(
                seen, motion.get_method("LK")(seen), steps, n_ens_members=MEMBERS,
                n_cascade_levels=6, precip_thr=-10.0, kmperpixel=km, timestep=step,
                noise_method="nonparametric", seed=SEED, num_workers=1)
            wet = ensemble[:, :, row, column] >= -10
            moment = datetime.datetime.fromisoformat(first) + datetime.timedelta(minutes=start * step)
            for question, begin, end in QUESTIONS:
                # A picture may be missing at the very end of the shortest window.
                if end > steps * step and not (end == 45 and end - steps * step < step):
                    continue
                window = wet[:, max(1, -(-begin // step)) - 1:end // step]
                yes = window.any(1) if question == "rain" else has_gap(window, -(-25 // step))
                letters = "".join(chr(ord("A") + count) for count in yes.sum(0))
                print(f"{name},{moment:%Y-%m-%dT%H:%M:00Z},{question},{begin},{end},{letters}")


if __name__ == "__main__":
    main(sys.argv[1])
