#!/usr/bin/env python3
"""Writes tests/vectors/air.csv: moist air by psychrolib, for the calculators to be held against.

    python3 -m pip install psychrolib==2.5.0 && python3 tests/vectors/air.py > tests/vectors/air.csv

The test that reads the file needs neither Python nor psychrolib.
"""

from importlib.metadata import version

import psychrolib

psychrolib.SetUnitSystem(psychrolib.SI)

print(f"# moist air by psychrolib {version('psychrolib')}, SI; written by tests/vectors/air.py")
print("kind,dry_c,humidity_percent,wet_c,altitude_m,pressure_pa,dew_c,saturation_pa")
for dry in range(0, 41, 2):
    for humidity in range(30, 101, 5):
        dew = psychrolib.GetTDewPointFromRelHum(dry, humidity / 100)
        saturation = psychrolib.GetSatVapPres(dry)
        # Below 0 C the library gives the frost point.
        kind = "dew" if dew >= 0 else "frost"
        print(f"{kind},{dry},{humidity},,,,{dew:.4f},{saturation:.3f}")
for altitude in (0, 300, 900, 1500, 2500):
    pressure = psychrolib.GetStandardAtmPressure(altitude)
    for dry in range(4, 37, 4):
        for below in (0.5, 2, 4, 7):
            wet = dry - below
            humidity = psychrolib.GetRelHumFromTWetBulb(dry, wet, pressure) if wet > 0 else 0
            if humidity > 0.1:
                dew = psychrolib.GetTDewPointFromRelHum(dry, humidity)
                print(f"wet,{dry},{100 * humidity:.4f},{wet},{altitude},{pressure:.3f},{dew:.4f},")
