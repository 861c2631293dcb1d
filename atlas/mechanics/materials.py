"""Material figures used across the formulas; each states its source."""

from dataclasses import dataclass

# [kg/m3] EN 1993-1-1:2005, 3.2.6 (steel, 7850), EN 1999-1-1:2007, 3.2.5 (aluminium, 2700);
# the others are usual handbook values, from memory.
DENSITY: dict[str, float] = {
    "steel": 7850.0,
    "aluminium": 2700.0,
    "magnesium": 1800.0,
    "cast iron": 7200.0,
    "titanium": 4430.0,
    "copper": 8960.0,
    "polyamide-GF": 1360.0,
    "polypropylene": 910.0,
    "CFRP": 1550.0,
}

# [Pa] EN 1993-1-1:2005, 3.2.6 (steel, 210 GPa), EN 1999-1-1:2007, 3.2.5 (aluminium, 70 GPa);
# the others are usual handbook values, from memory. CFRP: quasi-isotropic laminate, in plane.
ELASTIC_MODULUS: dict[str, float] = {
    "steel": 210e9,
    "aluminium": 70e9,
    "magnesium": 45e9,
    "cast iron": 170e9,
    "titanium": 114e9,
    "copper": 120e9,
    "polyamide-GF": 6e9,
    "polypropylene": 1.5e9,
    "CFRP": 60e9,
}

# [-] EN 1993-1-1:2005, 3.2.6 (steel), EN 1999-1-1:2007, 3.2.5 (aluminium); others from memory.
POISSON: dict[str, float] = {
    "steel": 0.3,
    "aluminium": 0.3,
    "magnesium": 0.35,
    "cast iron": 0.26,
    "titanium": 0.34,
    "copper": 0.34,
    "polyamide-GF": 0.38,
    "polypropylene": 0.42,
    "CFRP": 0.31,
}

# Metals that a section, strut or bracket of a front structure is commonly made from.
STRUCTURAL: tuple[str, ...] = ("steel", "aluminium", "magnesium", "titanium", "CFRP")


def shear_modulus(material: str) -> float:
    """Shear modulus of an isotropic material [Pa].

    Args:
        material: a key of ``ELASTIC_MODULUS`` [-].

    Raises:
        ValueError: no such material.

    Leaves out: texture, fibres; a quasi-isotropic laminate is taken as isotropic in its plane.
    Source: G = E / (2 (1 + nu)), isotropic elasticity; EN 1993-1-1:2005, 3.2.6.

    >>> round(shear_modulus("steel") / 1e9, 1)
    80.8
    """
    if material not in ELASTIC_MODULUS:
        raise ValueError(f"material must be one of {', '.join(ELASTIC_MODULUS)}, got {material!r}")
    return ELASTIC_MODULUS[material] / (2 * (1 + POISSON[material]))


@dataclass(frozen=True)
class Grade:
    """A metal or laminate as bought: stiffness, usable strength, density."""

    title: str
    family: str
    modulus: float  # [Pa]
    strength: float  # [Pa] least yield or 0.2 % proof strength
    density: float  # [kg/m3]
    source: str
    retained: float  # [-] proof strength beside a fusion weld over the parent's


# Moduli and densities: EN 1993-1-1 and EN 1999-1-1 for steel and aluminium, handbook values from
# memory for the rest. Press-hardened and cold-rolled grades soften beside welds as well.
GRADES: dict[str, Grade] = {
    "mild-steel": Grade(
        "DC04 class sheet", "steel", 210e9, 160e6, 7850,
        "EN 10130: R_e up to 210 MPa; typical least value from memory", 1.0,
    ),
    "hsla-steel": Grade(
        "HC420LA sheet", "steel", 210e9, 400e6, 7850,
        "EN 10268: R_e 400 to 500 MPa", 0.95,
    ),
    "dual-phase-steel": Grade(
        "800 MPa dual-phase sheet", "steel", 210e9, 440e6, 7850,
        "producer's data: R_p0.2 440 to 550 MPa", 0.9,
    ),
    "press-hardened-steel": Grade(
        "hot-stamped 22MnB5", "steel", 210e9, 950e6, 7850,
        "usual least value after quenching, from memory", 0.65,
    ),
    "aluminium-6060-t66": Grade(
        "EN AW-6060 T66 extrusion", "aluminium", 70e9, 160e6, 2700,
        "EN 1999-1-1:2007, Table 3.2b", 0.41,
    ),
    "aluminium-6082-t6": Grade(
        "EN AW-6082 T6 extrusion", "aluminium", 70e9, 250e6, 2700,
        "EN 1999-1-1:2007, Table 3.2b", 0.50,
    ),
    "aluminium-5754-sheet": Grade(
        "EN AW-5754 O/H111 sheet", "aluminium", 70e9, 80e6, 2700,
        "EN 1999-1-1:2007, Table 3.2a (from memory)", 1.0,
    ),
    "aluminium-casting": Grade(
        "AlSi10MnMg die casting, T7", "aluminium", 70e9, 120e6, 2650,
        "foundry data, R_p0.2 120 to 170 MPa (from memory)", 0.9,
    ),
    "magnesium-casting": Grade(
        "AM60 class die casting", "magnesium", 45e9, 120e6, 1800,
        "foundry data, R_p0.2 120 to 130 MPa (from memory)", 0.9,
    ),
    "cfrp-laminate": Grade(
        "quasi-isotropic carbon laminate", "CFRP", 60e9, 300e6, 1600,
        "usual design strength of the laminate, from memory", 1.0,
    ),
}  # fmt: skip
