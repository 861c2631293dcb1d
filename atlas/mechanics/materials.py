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
