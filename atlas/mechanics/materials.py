"""Material figures used across the formulas; each states its source."""

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
