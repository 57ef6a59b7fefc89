"""Position of the sun at every minute of 2026 by pvlib's nrel_numpy: the peer of bench/src/sun.rs.

Reads {latitude_deg, longitude_deg, altitude_m, pressure_pa, temperature_c, minutes} from standard input. Prints JSON: seconds
(of the computing alone, times made before); with --positions also zenith_deg (apparent) and azimuth_deg.
"""

import json
import sys
import time

import pandas as pd
from pvlib import solarposition

question = json.load(sys.stdin)
times = pd.date_range("2026-01-01", periods=question["minutes"], freq="min", tz="UTC")
begin = time.perf_counter()
sun = solarposition.get_solarposition(
    times,
    question["latitude_deg"],
    question["longitude_deg"],
    altitude=question["altitude_m"],
    pressure=question["pressure_pa"],
    temperature=question["temperature_c"],
    method="nrel_numpy",
)
answer = {"seconds": time.perf_counter() - begin}
if "--positions" in sys.argv:
    answer["zenith_deg"] = sun["apparent_zenith"].tolist()
    answer["azimuth_deg"] = sun["azimuth"].tolist()
json.dump(answer, sys.stdout)
