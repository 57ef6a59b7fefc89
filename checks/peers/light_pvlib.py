"""Sun at many given times over few places by pvlib: the judge of the minute-by-minute sun and of the year's twilight.

Reads from standard input a JSON list of places {latitude, longitude (deg), altitude (m), days (Julian days, UT)}. Prints a
JSON list of {apparent_zenith, zenith, azimuth} (lists of degrees) in the same order.
Call: solarposition.get_solarposition(times, lat, lon, altitude, method="nrel_numpy", pressure=101325, temperature=12,
delta_t=69).
"""
import json
import sys

import pandas as pd
from pvlib import solarposition


def positions(place):
    start = pd.Timestamp("2000-01-01 12:00", tz="UTC")
    times = pd.DatetimeIndex(
        [start + pd.Timedelta(microseconds=round((day - 2451545.0) * 86400e6)) for day in place["days"]]
    )
    sun = solarposition.get_solarposition(
        times, place["latitude"], place["longitude"], place["altitude"], method="nrel_numpy",
        pressure=101325.0, temperature=12.0, delta_t=69.0,
    )
    return {name: [float(v) for v in sun[name]] for name in ("apparent_zenith", "zenith", "azimuth")}


print(json.dumps([positions(place) for place in json.load(sys.stdin)]))
