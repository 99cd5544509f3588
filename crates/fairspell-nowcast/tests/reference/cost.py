"""What a nowcast costs beside the reference ensemble, on the same pictures and in one run.

    python cost.py FAIRSPELL [SIDE ...]

FAIRSPELL is the program (`cargo build --release`); SIDE is how many cells of a kilometre a side of the
pictures has, 512 when left out. Needs pysteps 1.21.5 with numpy, scipy, opencv-python-headless,
netCDF4 and dask, and Linux. One size takes about three minutes on a busy machine, and 4 GB.

The sky is planted: two hours of pictures, five minutes apart, of rain of many sizes that goes east
and slowly becomes another, a sixth of it wet. The reference gets the last three pictures on one thread
and makes 24 members of 12 steps with six cascade levels and non-parametric noise; its time is the
computing alone, without starting and loading. The program reads all pictures from a folder of CF
NetCDF and answers every question up to three hours ahead on as many threads as there are processors;
its time is that of the whole process. Memory is the peak of either process.
"""

import json
import os
import subprocess
import sys
import tempfile
import time

import numpy as np

SEED = 20260903
MEMBERS = 24
STEPS = 12
PICTURES = 25
STEP_MIN = 5
REPEATS = 5
# The middle of the pictures, and the moment of the newest: 2026-09-03T04:00Z.
LAT, LON = -31.7, 152.8
ISSUED = "2026-09-03T04:00:00Z"
ISSUED_S = 1_788_408_000
WINDOWS = [("04:00", "05:00"), ("04:15", "04:45"), ("04:30", "06:00")]


def planted_sky(side):
    """Rain rates, mm/h, oldest first: noise with a power law that is moved and slowly renewed."""
    random = np.random.default_rng(SEED)
    down, right = np.meshgrid(np.fft.fftfreq(side), np.fft.rfftfreq(side), indexing="ij")
    wave_number = np.hypot(down, right)
    wave_number[0, 0] = 1 / side
    # Power falls as in rain, and hardly anything is larger than 120 km.
    amplitude = (wave_number**2 + (1 / 120) ** 2) ** -0.9
    # Small showers live shorter than large ones: 10 km half an hour, 100 km three hours.
    life_min = 4.5 * wave_number**-0.8
    kept = np.exp(-STEP_MIN / life_min)
    moved = np.exp(-2j * np.pi * (right * 0.7 + down * 0.2) * STEP_MIN)
    noise = lambda: np.fft.rfft2(random.standard_normal((side, side)))
    state, pictures = noise(), []
    for _ in range(PICTURES):
        field = np.fft.irfft2(state * amplitude, s=(side, side))
        level = (field - field.mean()) / field.std()
        pictures.append(np.where(level > 1, 0.1 * 10 ** np.minimum(level - 1, 3), 0.0))
        state = state * moved * kept + np.sqrt(1 - kept**2) * noise()
    return np.stack(pictures).astype(np.float32)


def write_pictures(folder, rate):
    import netCDF4

    side = rate.shape[1]
    metres = 1000.0 * (np.arange(side) - (side - 1) / 2)
    for index, picture in enumerate(rate):
        with netCDF4.Dataset(f"{folder}/{index:02}.nc", "w") as file:
            file.Conventions = "CF-1.8"
            for name, count in [("time", 1), ("y", side), ("x", side)]:
                file.createDimension(name, count)
            moment = file.createVariable("time", "f8", ("time",))
            moment.units, moment.standard_name = "seconds since 1970-01-01", "time"
            moment[:] = ISSUED_S - 60 * STEP_MIN * (PICTURES - 1 - index)
            for name, values in [("y", metres[::-1]), ("x", metres)]:
                axis = file.createVariable(name, "f8", (name,))
                axis.units, axis.standard_name = "m", f"projection_{name}_coordinate"
                axis[:] = values
            crs = file.createVariable("crs", "i4", ())
            crs.grid_mapping_name = "lambert_azimuthal_equal_area"
            crs.latitude_of_projection_origin, crs.longitude_of_projection_origin = LAT, LON
            crs.false_easting = crs.false_northing = 0.0
            rain = file.createVariable("rain_rate", "f4", ("time", "y", "x"), zlib=True)
            rain.units, rain.standard_name, rain.grid_mapping = "mm h-1", "rainfall_rate", "crs"
            rain[0] = picture


def write_points(path, count):
    """On a lattice over the middle 140 km."""
    columns = int(np.ceil(np.sqrt(count)))
    with open(path, "w") as file:
        file.write("lat,lon\n")
        for index in range(count):
            row, column = divmod(index, columns)
            north, east = (140 * (place / columns - 0.5) for place in (row, column))
            file.write(f"{LAT + north / 111.2:.5f},{LON + east / 94.6:.5f}\n")


# A small process that starts the one that is measured: the system counts what the starting process
# holds as its child's peak. Prints wall and processor seconds and the peak in MB.
MEASURE = """
import json, os, subprocess, sys, time
with open(sys.argv[1], "w") as printed:
    begun = time.perf_counter()
    process = subprocess.Popen(sys.argv[2:], stdout=printed, stderr=subprocess.DEVNULL)
    _, status, usage = os.wait4(process.pid, 0)
    wall = time.perf_counter() - begun
print(json.dumps([wall, usage.ru_utime + usage.ru_stime, usage.ru_maxrss / 1024]))
sys.exit(status != 0)
"""


def measured(command, **how):
    """Wall and processor seconds, peak MB, and what was printed."""
    with tempfile.NamedTemporaryFile("r") as printed:
        run = subprocess.run([sys.executable, "-I", "-c", MEASURE, printed.name, *command],
                             stdout=subprocess.PIPE, check=True, **how)
        return (*json.loads(run.stdout), printed.read())


def reference(pictures):
    """In a process of its own: prints its seconds as JSON."""
    import contextlib

    import cv2
    from pysteps import motion, nowcasts

    cv2.setNumThreads(1)
    rate = np.load(pictures)[-3:].astype(float)
    level = np.where(rate >= 0.1, 10 * np.log10(np.maximum(rate, 0.1)), -15.0)
    taken = {}

    def timed(name, work):
        begun, busy = time.perf_counter(), time.process_time()
        # The library prints what it does.
        with contextlib.redirect_stdout(sys.stderr):
            result = work()
        taken[name] = (time.perf_counter() - begun, time.process_time() - busy)
        return result

    field = timed("motion", lambda: motion.get_method("LK")(level))
    timed("extrapolation", lambda: nowcasts.get_method("extrapolation")(level[-1], field, STEPS))
    timed("ensemble", lambda: nowcasts.get_method("steps")(
        level, field, STEPS, n_ens_members=MEMBERS, n_cascade_levels=6, precip_thr=-10.0,
        kmperpixel=1.0, timestep=STEP_MIN, noise_method="nonparametric", seed=SEED, num_workers=1))
    print(json.dumps(taken))


def compare(program, side):
    rate = planted_sky(side)
    print(f"\n{side} x {side} cells, {100 * (rate[-1] >= 0.1).mean():.0f} % wet, load {os.getloadavg()[0]:.1f}")
    print("| what | wall s | processor s | peak MB |\n| --- | --- | --- | --- |")
    line = lambda what, wall, busy, peak: print(f"| {what} | {wall:.3f} | {busy:.3f} | {peak:.0f} |", flush=True)
    with tempfile.TemporaryDirectory() as folder:
        frames, pictures = f"{folder}/frames", f"{folder}/pictures.npy"
        os.mkdir(frames)
        write_pictures(frames, rate)
        np.save(pictures, rate)
        asked = [program, "rain", "--frames", frames, "--issued", ISSUED, "--json"]
        for begin, end in WINDOWS:
            asked += ["--window", f"2026-09-03T{begin}:00Z/2026-09-03T{end}:00Z"]
        points = {}
        for count in (10, 2000):
            points[count] = f"{folder}/{count}.csv"
            write_points(points[count], count)
        threads = {name: "1" for name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS")}
        own = [sys.executable, __file__, "--reference", pictures]
        _, _, peak, text = measured(own, env=os.environ | threads)
        theirs = {name: (*seconds, peak) for name, seconds in json.loads(text.splitlines()[-1]).items()}

        ours = {}
        ours["10 places, no record yet"] = measured([*asked, "--points", points[10]])[:3]
        for what, place in [
            ("10 places", ["--points", points[10]]),
            ("2000 places", ["--points", points[2000]]),
            ("1 place with what is counted", ["--at", f"{LAT},{LON}"]),
        ]:
            runs = [measured([*asked, *place]) for _ in range(REPEATS)]
            told = runs[0][3].count('"p_gap"'), runs[0][3].count('"p_gap": null')
            if not told[0] or told[1]:
                sys.exit(f"{what}: not every question was answered")
            ours[what] = min(run[:3] for run in runs)
        for name, cost in theirs.items():
            line(f"reference, {name}", *cost)
        for name, cost in ours.items():
            line(f"fairspell rain, {name}", *cost)
        (wall, busy, peak), (wall_ours, busy_ours, peak_ours) = theirs["ensemble"], ours["10 places"]
        print(f"ensemble to 10 places: {wall / wall_ours:.0f} times the wall time, "
              f"{busy / busy_ours:.0f} times the processor's, {peak / peak_ours:.0f} times the memory")


if __name__ == "__main__":
    if sys.argv[1] == "--reference":
        reference(sys.argv[2])
    else:
        for each in sys.argv[2:] or ["512"]:
            compare(sys.argv[1], int(each))
