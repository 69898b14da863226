#!/usr/bin/env python3
"""Writes checks of stoichiometry, sampling and vapour for tests/reckon-checks.toml, by reference libraries.

    python3 -m pip install molmass==2026.1.8 scipy==1.17.1 && python3 tests/vectors/chemistry.py

Molar masses come from molmass, the gas constant, the normal law and the decay of a mixed room (as an integrated
differential equation) from scipy. What is printed stands at the end of the checks there; the test needs neither.
"""

from importlib.metadata import version

import molmass
from scipy import constants, integrate, stats

MASSES = f"molmass {version('molmass')}"
SCIPY = f"scipy {version('scipy')}"


def mass(formula):
    return molmass.Formula(formula).mass


def check(of, given, value, unit, within, source):
    print("\n[[check]]")
    print(f'of = "{of}"')
    print("given = [" + ", ".join(f'"{g}"' for g in given) + "]")
    print(f'is = "{f"{value:.6g} {unit}".strip()}"')
    print(f'within = "{f"{within:.3g} {unit}".strip()}"')
    print('kind = "library"')
    print(f'source = "{source}"')


def near(value):
    """Within a part in two thousand: masses are kept to five figures here, and a molar volume to as many."""
    return value / 2000


NAOH = mass("NaOH")
MOLAR_VOLUME = constants.R * 293.15 / constants.atm * 1000

for grams in (5, 27):
    value = grams / mass("Al") * 1.5 * MOLAR_VOLUME
    check("metal::hydrogen", [f"{grams} g"], value, "L", near(value), f"2 Al + 2 NaOH + 6 H2O; {MASSES}, {SCIPY} (gas constant)")
    value = grams / mass("Al") * NAOH
    check("metal::caustic", [f"{grams} g"], value, "g", near(value), f"2 Al + 2 NaOH + 6 H2O; {MASSES}")
for room, share in ((12, 2), (50, 4)):
    value = room * 1000 * share / 100 / MOLAR_VOLUME / 1.5 * mass("Al")
    source = f"2 Al + 2 NaOH + 6 H2O; {MASSES}, {SCIPY} (gas constant)"
    check("metal::metal_for", [f"{room} m3", f"{share} %"], value, "g", near(value), source)

for name, formula, protons in (("acetic", "C2H4O2", 1), ("citric", "C6H8O7", 3), ("oxalic", "C2H2O4(H2O)2", 2)):
    for grams in (40, 250):
        value = grams / NAOH / protons * mass(formula)
        check(f"alkali::for_alkali {name}", [f"{grams} g"], value, "g", near(value), f"one proton for each hydroxide; {MASSES}")
for grams in (40, 250):
    value = grams / NAOH / 2 * mass("Na2CO3")
    check("alkali::carbonate_left", [f"{grams} g"], value, "g", near(value), f"2 NaOH + CO2; {MASSES}")
    value = grams / NAOH / 2 * mass("CaSO4(H2O)2")
    check("alkali::gypsum_attacked", [f"{grams} g"], value, "g", near(value), f"2 NaOH + CaSO4.2H2O; {MASSES}")
    value = grams / mass("C2H4O2") / 2 * mass("CaCO3")
    check("alkali::carbonate_dissolved", [f"{grams} g"], value, "g", near(value), f"CaCO3 + 2 H+ of acetic acid; {MASSES}")
for kilograms, share in ((1, 5), (4, 15)):
    value = kilograms * 1000 * share / 100 / NAOH
    check("alkali::soluble", [f"{kilograms} kg", f"{share} %"], value, "", near(value), f"one hydroxide a mole; {MASSES}")

for spread, margin in ((1.2, 0.5), (0.8, 0.1)):
    # The least number of readings whose mean is sure enough, found by trying.
    n = 1
    while stats.norm.cdf(margin / (spread / n**0.5)) - stats.norm.cdf(-margin / (spread / n**0.5)) < 0.95:
        n += 1
    check("samples::for_a_mean", [str(spread), str(margin)], n, "", 0.5, f"{SCIPY}, stats.norm, by trying")

for grams, formula, room in ((250, "CH2Cl2", 25), (60, "C7H8O", 30)):
    value = grams / mass(formula) * MOLAR_VOLUME / (room * 1000) * 1e6
    given = [f"{grams} g", f"{mass(formula):.3f} g/mol", f"{room} m3"]
    check("vapour::filled", given, value, "ppm", near(value), f"ideal gas at 20 °C; {MASSES}, {SCIPY} (gas constant)")
for room, air, mixing, left in ((30, 150, 2, 5), (60, 900, 4, 1)):
    done = lambda t, c: c[0] - left / 100
    done.terminal = True
    decay = integrate.solve_ivp(lambda t, c: [-air / mixing / room * c[0]], (0, 100), [1.0], events=done, rtol=1e-10, atol=1e-12)
    value = decay.t_events[0][0] * 60
    given = [f"{room} m3", f"{air} m3/h", str(mixing), f"{left} %"]
    check("vapour::purge", given, value, "min", near(value), f"decay of a mixed room, integrated by {SCIPY}")
