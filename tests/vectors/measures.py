#!/usr/bin/env python3
"""Writes checks of measures, shapes, pH and dates for tests/reckon-checks.toml, by reference libraries.

    python3 -m pip install pint==0.25.3 shapely==2.2.0 pHcalc==0.2.0 molmass==2026.1.8 python-dateutil==4.0.0
    python3 tests/vectors/measures.py

Units are turned by pint, areas and widths measured on shapes by shapely, pH solved from the balance of charges by pHcalc
(ideal solutions, as here), days and hours counted by dateutil. The test needs none of them.
"""

import math
from datetime import date, datetime
from decimal import Decimal
from importlib.metadata import version

import molmass
import pHcalc
import pint
from dateutil.relativedelta import relativedelta
from shapely import affinity
from shapely.geometry import LineString, Polygon, box

u = pint.UnitRegistry()
PINT, SHAPELY, PH = (f"{name} {version(name)}" for name in ("pint", "shapely", "pHcalc"))
DATES = f"dateutil {version('python-dateutil')}"


def q(text):
    """A quantity as it is written in the table."""
    for plain, power in (("ft2", "ft**2"), ("L/m2", "L/m**2"), (" m2", " m**2"), (" m3", " m**3")):
        text = text.replace(plain, power)
    return u.Quantity(text)


def plain(value, digits):
    """To so many figures, without an exponent."""
    return format(Decimal(f"{value:.{digits}g}"), "f")


def check(of, given, value, source, unit="", within=None):
    print("\n[[check]]")
    print(f'of = "{of}"')
    print("given = [" + ", ".join(f'"{g}"' for g in given) + "]")
    if isinstance(value, str):
        print(f'is = "{value}"')
    else:
        print(f'is = "{f"{plain(value, 6)} {unit}".strip()}"')
        print(f'within = "{f"{plain(within or value / 5000, 3)} {unit}".strip()}"')
    print('kind = "library"')
    print(f'source = "{source}"')


for thickness, pinted, density, content in (("0.4 mm", "0.4 mm", 3.5, 2), ("12 mil", "12 thou", 2.2, 0.009)):
    loading = q(pinted) * density * u.kg / u.L * content / 100
    check("lead::loading", [thickness, f"{density} kg/L", f"{content} %"], loading.to("mg/cm**2").magnitude, PINT, "mg/cm2")
for loading, thickness, density in ((2.5, "0.5 mm", 3), (0.3, "1.2 mm", 2)):
    share = loading * u.mg / u.cm**2 / (q(thickness) * density * u.kg / u.L)
    check("lead::content", [f"{loading} mg/cm2", thickness, f"{density} kg/L"], share.to("percent").magnitude, PINT, "%")
for total in (320, 5000):
    bound = total * u.mg / u.kg * (1 * u.kg / (20 * u.L))
    check("lead::leach_bound", [f"{total} mg/kg", "20"], bound.to("mg/L").magnitude, f"all of it in 20 L for a kilogram; {PINT}", "mg/L")
for area, detail, thickness, waste in (("45 ft2", 1.3, "0.1 in", 15), ("7.5 m2", 1.5, "2.5 mm", 5)):
    paste = q(area) * detail * q(thickness) * (1 + waste / 100)
    check("remover::paste", [area, str(detail), thickness, f"{waste} %"], paste.to("L").magnitude, PINT, "L")
for area, sheet, lost in (("200 ft2", "4 m2", 10), ("31 m2", "6 m2", 0)):
    sheets = math.ceil((q(area) * (1 + lost / 100) / q(sheet)).to("").magnitude)
    check("remover::sheets", [area, sheet, f"{lost} %"], sheets, PINT, within=0.1)
for volume, tub in (("11 gal", "10 L"), ("52 L", "5 gal")):
    check("remover::containers", [volume, tub], math.ceil((q(volume) / q(tub)).to("").magnitude), PINT, within=0.1)
for area, depth, catch, rain in (("300 ft2", "8 L/m2", "2 m2", "0.5 in"), ("18 m2", "20 L/m2", "50 ft2", "12 mm")):
    volume = q(area) * q(depth) + q(catch) * q(rain)
    check("run_off::volume", [area, depth, catch, rain], volume.to("L").magnitude, PINT, "L")
for volume, share in (("55 gal", 110), ("1 m3", 25)):
    check("run_off::bund", [volume, f"{share} %"], (q(volume) * share / 100).to("L").magnitude, PINT, "L")
for vapour, air in (("24 kPa", "101.325 kPa"), ("2.3 Pa", "84 kPa")):
    check("vapour::saturated", [vapour, air], (q(vapour) / q(air)).to("ppm").magnitude, f"Dalton; {PINT}", "ppm")
for thickness, density, binder, value in (("0.8 mm", 1.8, 22, 192), ("0.05 in", 1.1, 60, 170)):
    oil = q(thickness) * density * u.kg / u.L * binder / 100
    soda = oil * value * u.mg / u.g / molmass.Formula("KOH").mass * molmass.Formula("NaOH").mass
    given = [thickness, f"{density} kg/L", f"{binder} %", f"{value} mg/g"]
    source = f"saponification value of ASTM D1962; {PINT}, molmass {version('molmass')}"
    check("alkali::saponification_demand", given, soda.to("g/m**2").magnitude, source, "g/m2")
for demand, soda, density in ((120, 9, 1.3), (45, 5, 1.1)):
    paste = demand * u.g / u.m**2 / (soda / 100 * density * u.kg / u.L)
    check("alkali::paste_thickness_for", [f"{demand} g/m2", f"{soda} %", f"{density} kg/L"], paste.to("mm").magnitude, PINT, "mm")
for flow, pressure in (("12 L/min", "100 bar"), ("4 gal/min", "1500 psi")):
    density = 998.2 * u.kg / u.m**3
    speed = (2 * q(pressure) / density) ** 0.5
    force = density * q(flow) * speed
    source = f"momentum and Bernoulli, water at 20 °C; {PINT}"
    newtons = force.to("N").magnitude
    check("jet::jet_force", [flow.replace("gal/min", "gpm"), pressure], newtons, source, "N", newtons / 500)

for distance, angle in ((300, 25), (450, 65)):
    ray, wall = LineString([(0, 0), (0, distance * 10)]), LineString([(-9e3, distance), (9e3, distance)])
    edges = [affinity.rotate(ray, turn, origin=(0, 0)).intersection(wall) for turn in (angle / 2, -angle / 2)]
    check("jet::fan_width", [f"{distance} mm", str(angle)], edges[0].distance(edges[1]), f"two rays and a wall; {SHAPELY}", "mm")
for length, beyond in ((12, 3), (7.5, 2)):
    wall = LineString([(0, 0), (length, 0)])
    ground = box(-beyond, 0, length + beyond, beyond)
    assert ground.covers(affinity.translate(wall, 0, beyond / 2))
    check("sheeting::before_a_wall", [f"{length} m", f"{beyond} m"], ground.area, SHAPELY, "m2")
for l, w, beyond in ((2, 1.2, 1.8), (0.9, 0.4, 3)):
    ground = Polygon([(0, 0), (l, 0), (l, w), (0, w)]).buffer(beyond, join_style="mitre")
    check("sheeting::around", [f"{l} m", f"{w} m", f"{beyond} m"], ground.area, SHAPELY, "m2")


def ph(strength):
    """Of caustic soda, mol/L."""
    system = pHcalc.System(pHcalc.Inert(charge=1, conc=strength))
    system.pHsolve(guess_est=True)
    return system.pH


for strength in (0.01, 0.06):
    check("ph::ph_of_alkali", [f"{strength} mol/L"], ph(strength), PH, within=0.01)
for before, after in ((13, 11), (12.5, 9.5)):
    strong = 10 ** (before - 14)
    low, high = 1.0, 1e7
    while high / low > 1 + 1e-9:
        middle = (low * high) ** 0.5
        low, high = (middle, high) if ph(strong / middle) > after else (low, middle)
    check("ph::dilution", [str(before), str(after)], low, f"water added until it reads so; {PH}", within=low / 100)
for factor, stays in ((300, 20), (3000, 30)):
    strength, rinses = 0.1, 0
    while strength > 0.1 / factor:
        strength, rinses = strength * stays / 100, rinses + 1
    check("ph::rinses", [str(factor), f"{stays} %"], rinses, f"rinsed until ph {ph(0.1 / factor):.2f} is reached; {PH}", within=0.1)

for begun, days in (("2026-12-20", 45), ("2028-02-10", 28)):
    check("drying::dates", [begun, f"{days} d"], str(date.fromisoformat(begun) + relativedelta(days=days)), DATES)
for at, hours in (("13:45", 2), ("22:30", 3)):
    clock = datetime.fromisoformat(f"2026-09-14T{at}")
    check("fire::watch_until", [at, f"{hours} h"], (clock + relativedelta(hours=hours)).strftime("%H:%M"), DATES)
    check("fire::heat_off_by", [at, f"{hours} h"], (clock - relativedelta(hours=hours)).strftime("%H:%M"), DATES)
