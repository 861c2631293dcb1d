"""Three views of a structure: which way each looks, and how space becomes a sheet."""

from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]
View = Literal["plan", "side", "front"]
VIEWS: tuple[View, ...] = ("plan", "side", "front")

# Rows: across the sheet, up the sheet, towards the one who looks; columns: x forward, y left, z up.
_AXES: dict[View, Floats] = {
    "plan": np.array([[0.0, -1.0, 0.0], [1.0, 0.0, 0.0], [0.0, 0.0, 1.0]]),
    "side": np.array([[-1.0, 0.0, 0.0], [0.0, 0.0, 1.0], [0.0, 1.0, 0.0]]),
    "front": np.array([[0.0, 1.0, 0.0], [0.0, 0.0, 1.0], [1.0, 0.0, 0.0]]),
}
WORDS: dict[View, str] = {
    "plan": "plan, from above, forward up",
    "side": "side, forward to the left",
    "front": "front, from ahead",
}


def on_sheet(points: ArrayLike, view: View) -> Floats:
    """Points or directions in space as (across, up, towards the eye), (..., 3).

    Plan views look down with forward up; side views have forward to the left, so that they show
    the vehicle's left side; front views look from ahead, so that its left is on the right.

    >>> on_sheet([1.0, 2.0, 3.0], "plan").tolist()
    [-2.0, 1.0, 3.0]
    >>> on_sheet([1.0, 2.0, 3.0], "side").tolist()
    [-1.0, 3.0, 2.0]
    >>> on_sheet([1.0, 2.0, 3.0], "front").tolist()
    [2.0, 3.0, 1.0]
    """
    return np.asarray(np.asarray(points, dtype=np.float64) @ _AXES[view].T)


def turned_to(view: str) -> tuple[View, ...]:
    """The views in turn, beginning with one of them.

    >>> turned_to("side"), turned_to("nonsense")[0]
    (('side', 'front', 'plan'), 'plan')
    """
    at = next((i for i, name in enumerate(VIEWS) if name == view), 0)
    return (*VIEWS[at:], *VIEWS[:at])
