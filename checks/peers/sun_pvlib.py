"""Sun and irradiance at given places and times by pvlib: the judge of `models::sun`.

Reads from standard input a JSON list of rows {day (Julian day, UT), latitude, longitude (deg), altitude (m), turbidity, tilt, azimuth
(deg), albedo}. Prints a JSON list of {apparent_zenith, zenith, azimuth (deg), global, beam, diffuse, haurwitz, plane
(W/m2)} in the same order. Calls are those of references.md section 3.5.
"""
import json
import sys

import pandas as pd
from pvlib import atmosphere, clearsky, irradiance, solarposition


def row(r):
    # Microseconds since 2000-01-01 12:00, so that no digit of the day is lost on the way.
    time = pd.Timestamp("2000-01-01 12:00", tz="UTC") + pd.Timedelta(microseconds=round((r["day"] - 2451545.0) * 86400e6))
    times = pd.DatetimeIndex([time])
    sun = solarposition.get_solarposition(
        times, r["latitude"], r["longitude"], r["altitude"], method="nrel_numpy",
        pressure=101325.0, temperature=12.0, delta_t=69.0,
    )
    seen = sun["apparent_zenith"]
    outside = irradiance.get_extra_radiation(times, method="spencer")
    relative = atmosphere.get_relative_airmass(seen, "kastenyoung1989")
    absolute = atmosphere.get_absolute_airmass(relative, atmosphere.alt2pres(r["altitude"]))
    sky = clearsky.ineichen(seen, absolute, r["turbidity"], r["altitude"], outside)
    sky = sky.fillna(0.0)
    plane = irradiance.get_total_irradiance(
        r["tilt"], r["azimuth"], seen, sun["azimuth"], sky["dni"], sky["ghi"], sky["dhi"],
        albedo=r["albedo"], model="isotropic",
    )
    return {
        "zenith": float(sun["zenith"].iloc[0]),
        "apparent_zenith": float(seen.iloc[0]),
        "azimuth": float(sun["azimuth"].iloc[0]),
        "global": float(sky["ghi"].iloc[0]),
        "beam": float(sky["dni"].iloc[0]),
        "diffuse": float(sky["dhi"].iloc[0]),
        "haurwitz": float(clearsky.haurwitz(seen)["ghi"].iloc[0]),
        "plane": float(plane["poa_global"].iloc[0]),
    }


print(json.dumps([row(r) for r in json.load(sys.stdin)]))
