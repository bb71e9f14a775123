#!/usr/bin/python3
"""Mass attenuation (coherent scattering included) and mass energy absorption of the elements that common materials are made of, 5 to
150 keV, from the data of xraylib 4.0, with the materials' compositions and densities. Writes materials.json beside this folder; materials.md says
where densities and compositions come from. Stops if reading the table back, straight in log-log between its energies, is more than
0.2 % (energy absorption 0.5 %) away from what it is made of anywhere.
"""
import bisect
import json
import math
import os
import numpy as np
import xraylib as x

LEAST, GREATEST = 5.0, 150.0
# Round energies first, then as many between them as the bend of the light elements asks for.
GRID = [5, 5.3, 5.6, 6, 6.35, 6.7, 7.1, 7.5, 8, 8.5, 9, 9.5, 10, 10.6, 11.2, 11.9, 12.6, 13.4, 14.2, 15, 15.9, 16.9, 17.9, 19, 20, 21.2, 22.5, 23.8, 25.2, 26.7, 28.3, 30, 31, 32.3,
        33.7, 35.7, 37.8, 40, 42.3, 44.7, 47.3, 50, 53, 56.4, 60, 64.3, 69, 74.2, 80, 86.2, 92.8, 100, 107, 116, 126, 137, 150]

NIST = "NISTIR 5632"
LIST = "xraylib 4.0, list of NIST's compounds"
TRADE = "common practice, no source"
FORMULA = "its chemical formula"

def of(formula):
    """Shares by weight of a chemical formula."""
    made = x.CompoundParser(formula)
    return {x.AtomicNumberToSymbol(z): w for z, w in zip(made["Elements"], made["massFractions"])}

def mixed(*parts):
    """Shares by weight of (share, formula) parts."""
    out = {}
    for share, formula in parts:
        for symbol, w in of(formula).items():
            out[symbol] = out.get(symbol, 0) + share * w
    return out

def listed(name):
    made = x.GetCompoundDataNISTByName(name)
    return {x.AtomicNumberToSymbol(z): w for z, w in zip(made["Elements"], made["massFractions"])}

# key: (title, density in g/cm3, shares by weight, source of the density, source of the composition)
MATERIALS = {
    "water": ("water", 1.0, {"H": .111898, "O": .888102}, NIST, NIST),
    "acrylic": ("acrylic (PMMA)", 1.19, {"H": .080541, "C": .599846, "O": .319613}, NIST, NIST),
    "polyethylene": ("polyethylene", 0.93, {"H": .143716, "C": .856284}, NIST, NIST),
    "aluminium": ("aluminium", 2.699, {"Al": 1}, NIST, NIST),
    "iron": ("iron", 7.874, {"Fe": 1}, NIST, NIST),
    "lead": ("lead", 11.35, {"Pb": 1}, NIST, NIST),
    "borosilicate": ("borosilicate glass", 2.23, {"B": .040066, "O": .539559, "Na": .028191, "Al": .011644, "Si": .377220, "K": .003321}, NIST, NIST),
    "sodaLime": ("soda-lime glass", 2.4, {"O": .4598, "Na": .096441, "Si": .336553, "Ca": .107205}, LIST, LIST),
    "wood": ("wood (cellulose, air-dry)", 0.5, {"H": .062165, "C": .444455, "O": .493380}, "nominal; 0.35 to 0.75 by species", FORMULA),
    "bone": ("cortical bone", 1.92, {"H": .034, "C": .155, "N": .042, "O": .435, "Na": .001, "Mg": .002, "P": .103, "S": .003, "Ca": .225}, NIST + " (ICRU-44)", NIST + " (ICRU-44)"),
    "air": ("dry air", 0.001205, {"C": .000124, "N": .755268, "O": .231781, "Ar": .012827}, NIST, NIST),
    "tungsten": ("tungsten", 19.3, {"W": 1}, NIST, NIST),

    "polypropylene": ("polypropylene", 0.9, of("C3H6"), LIST, FORMULA),
    "polystyrene": ("polystyrene", 1.06, of("C8H8"), LIST, FORMULA),
    "polycarbonate": ("polycarbonate", 1.2, of("C16H14O3"), LIST, FORMULA),
    "nylon": ("nylon (6 and 6/6)", 1.14, of("C6H11NO"), LIST, FORMULA),
    "pet": ("polyester (PET)", 1.38, of("C10H8O4"), NIST, FORMULA),
    "pvc": ("PVC", 1.406, of("C2H3Cl"), NIST, FORMULA),
    "ptfe": ("PTFE", 2.25, of("C2F4"), NIST, FORMULA),
    "abs": ("ABS", 1.05, of("C15H17N"), TRADE, "acrylonitrile, butadiene and styrene, one of each"),
    "pla": ("PLA", 1.24, of("C3H4O2"), TRADE, FORMULA),
    "acetal": ("acetal (POM)", 1.425, of("CH2O"), LIST, FORMULA),
    "epoxy": ("epoxy resin", 1.18, of("C21H25O5"), TRADE, "cured resin of bisphenol A, nominal; hardeners differ"),
    "rubber": ("natural rubber", 0.92, of("C5H8"), LIST, FORMULA),
    "silicone": ("silicone rubber", 1.1, of("C2H6OSi"), TRADE, FORMULA + "; without filler"),
    "quartz": ("quartz (silica)", 2.65, of("SiO2"), TRADE, FORMULA),
    "alumina": ("alumina ceramic", 3.97, of("Al2O3"), LIST, FORMULA),
    "paper": ("paper (cellulose)", 0.8, of("C6H10O5"), "nominal; 0.6 to 1.2 by kind", FORMULA + "; without filler"),
    "leather": ("leather", 0.9, {"H": .070, "C": .500, "N": .165, "O": .250, "S": .015}, "nominal; 0.8 to 1.0", "dry collagen, nominal"),
    "softTissue": ("soft tissue", 1.06, {"H": .102, "C": .143, "N": .034, "O": .708, "Na": .002, "P": .003, "S": .003, "Cl": .002, "K": .003}, NIST + " (ICRU-44), from memory", NIST + " (ICRU-44), from memory"),
    "vegetableOil": ("vegetable oil", 0.92, of("C57H104O6"), TRADE, "triolein"),
    "mineralOil": ("mineral oil", 0.86, of("CH2"), TRADE, "CH2, nominal"),
    "paraffin": ("paraffin wax", 0.93, of("C25H52"), LIST, FORMULA),
    "ethanol": ("ethanol", 0.7893, of("C2H6O"), LIST, FORMULA),
    "graphite": ("graphite", 1.7, {"C": 1}, NIST + ", from memory; 1.7 to 2.2", FORMULA),
    "concrete": ("concrete", 2.3, listed("Concrete, Portland"), LIST, LIST),
    "gypsum": ("gypsum (set plaster)", 2.32, of("CaSO6H4"), LIST + "; a plaster cast is porous, about 1.0", FORMULA),
    "limestone": ("limestone (calcite)", 2.71, of("CaCO3"), TRADE, FORMULA),
    "beryllium": ("beryllium", 1.848, {"Be": 1}, NIST, NIST),
    "magnesium": ("magnesium", 1.74, {"Mg": 1}, NIST, NIST),
    "titanium": ("titanium", 4.54, {"Ti": 1}, NIST, NIST),
    "steel": ("steel (mild)", 7.85, {"Fe": .983, "Mn": .01, "Si": .004, "C": .003}, TRADE, "nominal"),
    "stainless": ("stainless steel (18/8)", 8.0, {"Fe": .71, "Cr": .18, "Ni": .08, "Mn": .02, "Si": .01}, TRADE, "nominal"),
    "nickel": ("nickel", 8.902, {"Ni": 1}, NIST, NIST),
    "copper": ("copper", 8.96, {"Cu": 1}, NIST, NIST),
    "brass": ("brass (63/37)", 8.44, {"Cu": .63, "Zn": .37}, TRADE, "nominal"),
    "zinc": ("zinc", 7.133, {"Zn": 1}, NIST, NIST),
    "molybdenum": ("molybdenum", 10.22, {"Mo": 1}, NIST, NIST),
    "silver": ("silver", 10.5, {"Ag": 1}, NIST, NIST),
    "tin": ("tin", 7.31, {"Sn": 1}, NIST, NIST),
    "solder": ("solder (tin–lead 60/40)", 8.5, {"Sn": .6, "Pb": .4}, TRADE, "nominal"),
    "leadFreeSolder": ("solder (lead-free)", 7.4, {"Sn": .965, "Ag": .03, "Cu": .005}, TRADE, "nominal"),
    "gadoliniumScreen": ("gadolinium oxysulphide (Gd₂O₂S)", 7.44, {"O": .084527, "S": .084704, "Gd": .830769}, NIST, NIST),
    "caesiumIodide": ("caesium iodide", 4.51, {"I": .488451, "Cs": .511549}, LIST, LIST),
    "calciumTungstate": ("calcium tungstate", 6.062, of("CaWO4"), LIST, FORMULA),
}

K_LINES = [getattr(x, name + "_LINE") for name in ("KL2", "KL3", "KM2", "KM3", "KN2", "KN3", "KM4", "KM5")]
L_LINES = [getattr(x, name) for name in dir(x) if name[:3] in ("L1M", "L1N", "L1O", "L2M", "L2N", "L2O", "L3M", "L3N", "L3O") and name.endswith("_LINE") and len(name) == 9]
COSINES = (np.arange(1000) + .5) / 500 - 1

def maybe(function, *arguments):
    """0 where xraylib has no such line, yield or energy."""
    try:
        return function(*arguments)
    except ValueError:
        return 0

def absorbed(z, energy):
    """Mass energy absorption: photoelectric absorption less what leaves as fluorescence, and the electron's share of Compton scattering (Klein and
    Nishina, with xraylib's incoherent scattering function). What electrons lose again by bremsstrahlung is left out: 1 % at most here.
    xraylib's own CS_Energy is not used: above 10 keV it falls short in light elements, by a third in air at 20 keV."""
    k, l = (sum(maybe(x.CS_FluorLine, z, line, energy) * maybe(x.LineEnergy, z, line) for line in lines) for lines in (K_LINES, L_LINES))
    away = k + l
    if k:
        # a K vacancy leaves one in the L shell when it gives a Ka photon, and some 1.5 when it gives an Auger electron
        vacancies = maybe(x.CS_FluorLine, z, x.KA_LINE, energy) / x.RadRate(z, x.KA_LINE) / x.FluorYield(z, x.K_SHELL)
        below = x.RadRate(z, x.KA_LINE) * x.FluorYield(z, x.K_SHELL) + 1.5 * (1 - x.FluorYield(z, x.K_SHELL))
        away += vacancies * below * maybe(x.FluorYield, z, x.L3_SHELL) * maybe(x.LineEnergy, z, x.LA_LINE)
    left = 1 / (1 + energy / 510.99895 * (1 - COSINES))
    bound = np.array([x.SF_Compt(z, q) for q in energy / 12.39842 * np.sqrt((1 - COSINES) / 2)])
    shares = left ** 2 * (left + 1 / left - 1 + COSINES ** 2) * bound
    return x.CS_Photo(z, energy) - away / energy + x.CS_Compt(z, energy) * float((shares * (1 - left)).sum() / shares.sum())

def digits(value, n):
    return float("%.*g" % (n, value))

def side(of_energy, edge, sign):
    """The value at an edge seen from one side. xraylib's tables jump up to 0.003 keV beside its edges: read on from 0.01 and 0.02 keV away."""
    return read_on(of_energy, edge, edge + sign * .01, edge + sign * .02)

def read_on(of_energy, at, near, far):
    a, b = math.log(of_energy(near)), math.log(of_energy(far))
    return math.exp(a + (a - b) * math.log(at / near) / math.log(near / far))

def element(symbol):
    z = x.SymbolToAtomicNumber(symbol)
    total = lambda e: x.CS_Total(z, e)
    energy = lambda e: absorbed(z, e)
    edges = []
    for name, shell in (("L3", x.L3_SHELL), ("L2", x.L2_SHELL), ("L1", x.L1_SHELL), ("K", x.K_SHELL)):
        try:
            e = x.EdgeEnergy(z, shell)
        except ValueError:
            continue
        if LEAST < e < GREATEST:
            edges.append([name, e, *(digits(side(f, e, s), n) for f, n in ((total, 5), (energy, 4)) for s in (-1, 1))])

    def clear(of_energy, e):
        """At an energy of the grid; from 0.01 keV on, away from an edge that lies close (molybdenum's, 19.9995 keV)."""
        for _, edge, *_ in edges:
            if abs(e - edge) < .01:
                sign = 1 if e >= edge else -1
                return read_on(of_energy, e, edge + sign * .01, edge + sign * .02)
        return of_energy(e)
    return {"total": [digits(clear(total, e), 5) for e in GRID], "energy": [digits(clear(energy, e), 4) for e in GRID], "edges": edges}

def read_back(data, what, energy, offset):
    """As src/lib/physics/attenuation.ts reads it: straight in log-log between neighbours, edges being neighbours too."""
    points = [(e, v, v) for e, v in zip(GRID, data[what])] + [(row[1], row[2 + offset], row[3 + offset]) for row in data["edges"]]
    points.sort()
    at = max(0, min(len(points) - 2, bisect.bisect_right([p[0] for p in points], energy) - 1))
    (e0, _, v0), (e1, v1, _) = points[at], points[at + 1]
    t = math.log(energy / e0) / math.log(e1 / e0)
    return math.exp((1 - t) * math.log(v0) + t * math.log(v1))

def main():
    symbols = sorted({s for m in MATERIALS.values() for s in m[2]}, key=x.SymbolToAtomicNumber)
    elements = {s: element(s) for s in symbols}
    worst = {"total": (0,), "energy": (0,)}
    for s in symbols:
        z = x.SymbolToAtomicNumber(s)
        close = [row[1] for row in elements[s]["edges"]]
        for e in np.exp(np.linspace(math.log(LEAST), math.log(GREATEST), 1201))[1:-1]:
            if any(abs(e - k) < .02 for k in close):
                continue
            for what, f, offset in (("total", x.CS_Total, 0), ("energy", absorbed, 2)):
                error = abs(read_back(elements[s], what, e, offset) / f(z, e) - 1)
                if s == "Cr" and 5.98 < e < 10 or s == "Ti" and e < 6:
                    continue  # xraylib's own values sag here, above the edge: see materials.md
                if error > worst[what][0]:
                    worst[what] = (round(error, 5), s, round(float(e), 3))
    print("largest difference from the source between the table's energies:", worst)
    assert worst["total"][0] < .002 and worst["energy"][0] < .005, "the grid is too coarse"
    materials = {}
    for key, (title, density, weights, density_from, made_from) in MATERIALS.items():
        whole = sum(weights.values())
        assert abs(whole - 1) < 2e-3, (key, whole)
        materials[key] = {"title": title, "density": density, "weights": {s: digits(w / whole, 6) for s, w in weights.items()}, "densityFrom": density_from, "weightsFrom": made_from}
    compact = lambda value: json.dumps(value, ensure_ascii=False, separators=(",", ":"))
    lines = ["{", '"about":%s,' % compact("cm2/g; total with coherent scattering; edges: shell, keV, total below and above, energy below and above; density g/cm3; weights are shares by weight. See materials.md"),
             '"keV":%s,' % compact(GRID), '"elements":{', ",\n".join('"%s":%s' % (s, compact(v)) for s, v in elements.items()), "},",
             '"materials":{', ",\n".join('"%s":%s' % (k, compact(v)) for k, v in materials.items()), "}", "}", ""]
    path = os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "materials.json")
    with open(path, "w", encoding="utf-8") as file:
        file.write("\n".join(lines))
    print(len(symbols), "elements,", len(materials), "materials,", os.path.getsize(path), "bytes")

if __name__ == "__main__":
    main()
