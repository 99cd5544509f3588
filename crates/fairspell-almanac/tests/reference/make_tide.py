"""Makes the tide's check values with a general-purpose library: python make_tide.py

Needs numpy and utide 0.4.0 (MIT licence). Writes tide_constants.json, tide_arguments.csv and tide_heights.csv beside itself.

Conventions. That library takes its arguments from the Explanatory Supplement (1961) and its nodal corrections from Foreman
(1977): sums of satellite lines, some of which depend on latitude, where Schureman multiplies by f and shifts by u. It calls
three constituents by other names (LDA2, NO1, RHO1), has no 2MK3 (put together here from 2 M2 - K1), and writes S1 and SA
with the sun's perigee; for these two V is put together here as the US service has it, from the library's own longitudes.
`left_out` is the sum of the library's satellite lines that Schureman has not: all but those of the node alone (and, for M1
and L2, of perigee too). So much, as a part of the amplitude, the two may differ; compounds have their parts' sum. The library
has no correction for MM, MF and MSF and measures M1 by its larger half (2/3 of Schureman's): `nodal_m` leaves these four out.
The place is invented: amplitudes of a lively mixed tide, phase lags that follow no coast.
"""

import datetime
import json
import pathlib

import numpy as np
from utide._ut_constants import ut_constants
from utide.astronomy import ut_astron
from utide.harmonics import FUV

LATITUDE_DEG = -31.72
MEAN_LEVEL_M = 1.3
NAMES = (
    "M2 S2 N2 K1 M4 O1 M6 MK3 S4 MN4 NU2 S6 MU2 2N2 OO1 LAM2 S1 M1 J1 MM SSA SA MSF MF RHO Q1 T2 R2 2Q1 P1 2SM2 M3 L2 "
    "2MK3 K2 M8 MS4"
).split()
AMPLITUDES_M = [
    0.62, 0.17, 0.13, 0.28, 0.04, 0.18, 0.02, 0.015, 0.005, 0.015, 0.026, 0.003, 0.02, 0.018, 0.008, 0.006, 0.01, 0.013,
    0.015, 0.012, 0.03, 0.06, 0.011, 0.014, 0.007, 0.035, 0.01, 0.002, 0.005, 0.09, 0.006, 0.007, 0.02, 0.009, 0.047, 0.002,
    0.03,
]
LAGS_DEG = [(50.0 + 137.5 * i) % 360.0 for i in range(len(NAMES))]
OTHER_NAMES = {"LAM2": "LDA2", "M1": "NO1", "RHO": "RHO1"}
HERE = pathlib.Path(__file__).parent


def factors(times):
    """f, u (degrees) and V (degrees) of every constituent at every time, by name."""
    t = np.array([time.toordinal() + (time.hour * 60 + time.minute) / 1440.0 for time in times])
    known = list(ut_constants.const.name)
    wanted = [OTHER_NAMES.get(name, name) for name in NAMES if name != "2MK3"]
    index = np.array([known.index(name) for name in wanted])
    f, u, v = FUV(t, t[0], index, LATITUDE_DEG, [0, 0, 0, 0])
    columns = {}
    for i, name in enumerate(name for name in NAMES if name != "2MK3"):
        columns[name] = [f[:, i], u[:, i] * 360.0, v[:, i] * 360.0]
    m2, k1 = columns["M2"], columns["K1"]
    columns["2MK3"] = [m2[0] ** 2 * k1[0], 2 * m2[1] - k1[1], 2 * m2[2] - k1[2]]
    astro, _ = ut_astron(t)
    columns["S1"] = [np.ones(len(t)), np.zeros(len(t)), (t % 1) * 360.0 + 180.0]
    columns["SA"] = [np.ones(len(t)), np.zeros(len(t)), astro[2] * 360.0]
    return columns


def left_out(name):
    """The library's satellites, as a part of the main line, that Schureman's formulas have not."""
    parts = {"M4": 2 * ["M2"], "M6": 3 * ["M2"], "M8": 4 * ["M2"], "MK3": ["M2", "K1"], "MN4": ["M2", "N2"],
             "MS4": ["M2", "S2"], "S4": 2 * ["S2"], "S6": 3 * ["S2"], "2SM2": ["S2", "S2", "M2"], "2MK3": ["M2", "M2", "K1"]}
    if name in parts:
        return sum(left_out(part) for part in parts[name])
    sat, sine = ut_constants.sat, np.sin(np.radians(LATITUDE_DEG))
    ratio = sat.amprat.copy()
    ratio[sat.ilatfac == 1] *= 0.36309 * (1.0 - 5.0 * sine**2) / sine
    ratio[sat.ilatfac == 2] *= 2.59808 * sine
    of_it = sat.iconst == list(ut_constants.const.name).index(OTHER_NAMES.get(name, name)) + 1
    in_it = sat.deldood[:, 2] == 0
    if name in ("M1", "L2"):
        in_it &= sat.deldood[:, 0] % 2 == 0
    elif name in ("S1", "S2", "P1", "R2", "SA"):
        in_it &= False
    else:
        in_it &= sat.deldood[:, 0] == 0
    return np.abs(ratio[of_it & ~in_it]).sum() if name not in ("S1", "SA") else 0.0


def text(time):
    return time.strftime("%Y-%m-%dT%H:%MZ")


constants = {
    "name": "Check harbour (invented)",
    "datum": "an invented level",
    "mean_level_m": MEAN_LEVEL_M,
    "phase_zone": "utc",
    "nodal": "standard",
    "constituents": [
        {"name": name, "amplitude_m": amplitude, "phase_lag_deg": lag}
        for name, amplitude, lag in zip(NAMES, AMPLITUDES_M, LAGS_DEG)
    ],
}
(HERE / "tide_constants.json").write_text(json.dumps(constants, indent=1) + "\n")

dates = [
    datetime.datetime(*date)
    for date in [
        (2006, 6, 19, 3, 0), (2011, 1, 1, 0, 0), (2015, 10, 9, 17, 30), (2018, 7, 27, 20, 22), (2021, 3, 1, 12, 0),
        (2025, 1, 29, 6, 45), (2026, 9, 3, 7, 33), (2028, 2, 29, 23, 59), (2034, 4, 18, 9, 0),
    ]
]
columns = factors(dates)
with open(HERE / "tide_arguments.csv", "w") as out:
    out.write("time,constituent,v_deg,f,u_deg,left_out\n")
    for i, date in enumerate(dates):
        for name in NAMES:
            f, u, v = (column[i] for column in columns[name])
            out.write(f"{text(date)},{name},{v % 360.0:.4f},{f:.5f},{(u + 180.0) % 360.0 - 180.0:.3f},{left_out(name):.4f}\n")

start = datetime.datetime(2026, 1, 1)
times = [start + datetime.timedelta(hours=7 * i) for i in range(8760 // 7 + 1)]
columns = factors(times)
plain, nodal = np.full(len(times), MEAN_LEVEL_M), np.full(len(times), MEAN_LEVEL_M)
for name, amplitude, lag in zip(NAMES, AMPLITUDES_M, LAGS_DEG):
    f, u, v = columns[name]
    plain += amplitude * np.cos(np.radians(v - lag))
    if name not in ("MM", "MF", "MSF", "M1"):
        nodal += amplitude * f * np.cos(np.radians(v + u - lag))
with open(HERE / "tide_heights.csv", "w") as out:
    out.write("time,plain_m,nodal_m\n")
    for time, a, b in zip(times, plain, nodal):
        out.write(f"{text(time)},{a:.5f},{b:.5f}\n")
