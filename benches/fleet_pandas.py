"""The same figures as a fleet file's judging, with pandas: for comparing how long each takes.

For every cylinder: the mean of the repeats in each cell, the largest diameter, taper, out-of-round and choke,
each compared with its limit (those of fleet_limits.ron). No uncertainty, no reasons, no outcome, no output but
the counts: less than what it is compared with does. Means are binary floats, so a figure exactly on its limit
may fall on either side of it.

Usage: python3 benches/fleet_pandas.py fleet.csv
"""

import sys
import time

start = time.perf_counter()

import numpy as np
import pandas as pd

imported = time.perf_counter()

BORE = {"standard": 5.1290, "0.010": 5.1390, "0.015": 5.1440, "0.020": 5.1490}
TAPER, OUT_OF_ROUND, LEAST_CHOKE = 0.0015, 0.0020, 0.0002
JUDGED = ["B", "C", "D", "E", "F"]

names = ["engine", "overhaul", "cylinder", "size", "station", "axis"]
readings = pd.read_csv(
    sys.argv[1],
    usecols=names + ["reading"],
    dtype={name: "category" for name in names} | {"reading": "float64"},
    engine="c",
)
read = time.perf_counter()

cells = readings.groupby(names, observed=True, sort=False)["reading"].mean()
wide = cells.unstack(["station", "axis"])
gathered = time.perf_counter()


def cell(station, axis):
    return wide[(station, axis)].to_numpy()


pin = np.stack([cell(station, "pin") for station in JUDGED])
thrust = np.stack([cell(station, "thrust") for station in JUDGED])
average = dict(zip(JUDGED, (pin + thrust) / 2))
largest = np.maximum(pin, thrust).max(axis=0)
taper = np.abs(average["C"] - average["E"])
out_of_round = np.abs(pin - thrust).max(axis=0)
choke = average["F"] - average["B"]
limit = wide.index.get_level_values("size").map(BORE).to_numpy(dtype="float64")

beyond = {
    "bore": largest > limit,
    "taper": taper > TAPER,
    "out-of-round": out_of_round > OUT_OF_ROUND,
    "choke": choke < LEAST_CHOKE,
}
serviceable = ~np.logical_or.reduce(list(beyond.values()))
done = time.perf_counter()

print(f"{len(readings)} readings, {len(wide)} cylinders, {serviceable.sum()} serviceable")
print(", ".join(f"{name} beyond: {which.sum()}" for name, which in beyond.items()))
print(
    f"import {imported - start:.2f} s, read {read - imported:.2f} s, "
    f"group {gathered - read:.2f} s, judge {done - gathered:.2f} s; without the import {done - imported:.2f} s"
)
