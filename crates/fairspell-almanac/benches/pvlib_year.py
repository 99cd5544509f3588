"""Times pvlib's numpy solar position for every minute of a year, one core; sun_year.rs times ours."""
import os

os.environ["OMP_NUM_THREADS"] = "1"
import time

import pandas as pd
import pvlib

times = pd.date_range("2026-01-01", "2027-01-01", freq="60s", tz="UTC", inclusive="left")
for _ in range(3):
    begun = time.perf_counter()
    pvlib.solarposition.spa_python(times, -31.7177, 152.7849, pressure=101325, temperature=15, how="numpy")
    print(f"pvlib {pvlib.__version__}: {time.perf_counter() - begun:.2f} s for {len(times)} minutes")
