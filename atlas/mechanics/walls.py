"""Local slenderness: whether thin walls go slack before the metal yields."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .ranges import within

Floats = NDArray[np.float64]

# Upper limits of width/thickness over epsilon for classes 1, 2 and 3. Steel: EN 1993-1-1:2005,
# Table 5.2, pure compression, epsilon = sqrt(235 MPa / f_y); tubes take epsilon squared.
# Aluminium, class A: EN 1999-1-1:2007, Table 6.2, epsilon = sqrt(250 MPa / f_o); from memory, and
# consistent with Table 6.3, whose curves reach 1 exactly at these class-3 limits.
_LIMITS: dict[tuple[str, str, bool], tuple[float, float, float]] = {
    ("steel", "internal", False): (33, 38, 42),
    ("steel", "outstand", False): (9, 10, 14),
    ("steel", "tube", False): (50, 70, 90),
    ("aluminium", "internal", False): (11, 16, 22),
    ("aluminium", "outstand", False): (3, 4.5, 6),
    ("aluminium", "internal", True): (9, 13, 18),
    ("aluminium", "outstand", True): (2.5, 4, 5),
}
# C1 and C2 of EN 1999-1-1:2007, Table 6.3, class A; by part and welded.
_THINNED: dict[tuple[str, bool], tuple[float, float]] = {
    ("internal", False): (32, 220),
    ("internal", True): (29, 198),
    ("outstand", False): (10, 24),
    ("outstand", True): (9, 20),
}
PARTS = ("internal", "outstand", "tube")


def wall_class(
    ratio: ArrayLike, strength: ArrayLike, part: str, metal: str = "steel", welded: bool = False
) -> Floats:
    """Class of the most slender wall under pure compression.

    Args:
        ratio: flat width over thickness; diameter over thickness of a tube [-].
        strength: yield or 0.2 % proof strength [Pa].
        part: internal (held at both edges), outstand (one edge) or tube [-].
        metal: steel or aluminium [-].
        welded: aluminium softened by welds [-].

    Returns:
        1 (plastic hinge turns), 2 (plastic moment), 3 (yield at the edge), 4 (goes slack first)
        [-].

    Raises:
        ValueError: an entry is outside its range or the part is unknown.

    Leaves out: stress gradients over the wall, which make bending less severe.
    Source: EN 1993-1-1:2005, Table 5.2; EN 1999-1-1:2007, Table 6.2 (tubes by beta = 3 sqrt(D/t)).

    >>> wall_class([30, 40, 60], 235e6, "internal")
    array([1., 3., 4.])
    """
    beta, limits = _local(ratio, strength, part, metal, welded)
    return np.asarray(1.0 + sum((beta > limit * (1 + 1e-9)) for limit in limits))


def effective_share(
    ratio: ArrayLike, strength: ArrayLike, part: str, metal: str = "steel", welded: bool = False
) -> Floats:
    """Share of a compressed wall that still carries when it has buckled locally.

    Args:
        ratio: flat width over thickness; diameter over thickness of a tube [-].
        strength: yield or 0.2 % proof strength [Pa].
        part: internal, outstand or tube [-].
        metal: steel or aluminium [-].
        welded: aluminium softened by welds [-].

    Returns:
        Effective width (steel) or effective thickness (aluminium) over the full one [-], 0 to 1.

    Raises:
        ValueError: an entry is outside its range, or a steel tube's walls are class 4, which needs
            shell rules.

    Leaves out: interaction of neighbouring walls, corner radii.
    Source: EN 1993-1-5:2006, 4.4 (2), eqs. (4.2) and (4.3) with k_sigma 4 and 0.43;
    EN 1999-1-1:2007, 6.1.5, eq. (6.12) and Table 6.3.

    >>> effective_share([30, 80], 235e6, "internal")
    array([1. , 0.6])
    """
    beta, limits = _local(ratio, strength, part, metal, welded)
    if metal == "aluminium":
        one, two = _THINNED["internal" if part == "tube" else part, welded]
        thinned = one / np.maximum(beta, 1e-9) - two / np.maximum(beta, 1e-9) ** 2
        return np.asarray(np.where(beta <= limits[2] * (1 + 1e-9), 1.0, thinned))
    if part == "tube":
        if np.any(beta > limits[2]):
            raise ValueError(
                f"diameter over gauge is {float(np.max(np.asarray(ratio))):.0f}: a tube so thin "
                "buckles as a shell, outside this formula"
            )
        return np.ones_like(beta)
    # lambda_p = (b/t) / (28.4 eps sqrt(k)); beta is b/t over eps already.
    slender = beta / (28.4 * np.sqrt(4.0 if part == "internal" else 0.43))
    lost = 0.22 if part == "internal" else 0.188
    start = 0.673 if part == "internal" else 0.748
    safe = np.maximum(slender, 1e-9)
    return np.asarray(np.where(slender <= start, 1.0, (safe - lost) / safe**2))


def _local(
    ratio: ArrayLike, strength: ArrayLike, part: str, metal: str, welded: bool
) -> tuple[Floats, tuple[float, float, float]]:
    if part not in PARTS or metal not in ("steel", "aluminium"):
        raise ValueError(f"part must be one of {', '.join(PARTS)}, metal steel or aluminium")
    slim = within("ratio", ratio, 0, 500)
    yielding = within("strength", strength, 10e6, 2e9)
    if metal == "steel":
        eps = np.sqrt(235e6 / yielding)
        return slim / (eps**2 if part == "tube" else eps), _LIMITS["steel", part, False]
    eps = np.sqrt(250e6 / yielding)
    local = 3 * np.sqrt(slim) if part == "tube" else slim
    return local / eps, _LIMITS["aluminium", "internal" if part == "tube" else part, welded]
