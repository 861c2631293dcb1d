"""Results of one run as readings for another: with their spread, and tied as they hang together."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


def loadings(correlation: ArrayLike) -> Floats:
    """How closely each of several results follows the scale that they share.

    Args:
        correlation: their correlation matrix, shape (k, k) [-].

    Returns:
        One number each, -1..1, whose products come nearest to the correlations [-]; two results
        are met exactly, more by least squares. The first is never negative.

    Leaves out: what more than one common cause would explain.
    Source: principal axis factoring with one factor; H. H. Harman, Modern Factor Analysis, 3rd ed.
    1976, ch. 8 (from memory).

    >>> loadings([[1, 0.64], [0.64, 1]])
    array([0.8, 0.8])
    """
    r = np.array(correlation, dtype=np.float64)
    if len(r) == 1:
        return np.ones(1)
    if len(r) == 2:
        share = np.sqrt(min(abs(r[0, 1]), 1.0))
        return np.array([share, share if r[0, 1] >= 0 else -share])
    reduced = np.abs(r - np.diag(np.diag(r))).max(axis=0)  # first guess of what is shared
    found = np.zeros(len(r))
    for _ in range(5000):
        np.fill_diagonal(r, reduced)
        values, vectors = np.linalg.eigh(r)
        found = np.clip(np.sqrt(max(values[-1], 0.0)) * vectors[:, -1], -1, 1)
        if np.max(np.abs(found**2 - reduced)) < 1e-9:
            break
        reduced = found**2
    return found * (1.0 if found[np.argmax(np.abs(found) > 1e-12)] >= 0 else -1.0)


def tied_readings(samples: ArrayLike, unit: str, tie: str) -> tuple[str, ...]:
    """Results as readings that any calculator takes: tolerances, tied to one scale.

    Args:
        samples: one row a result, shape (k, samples) [``unit``].
        unit: the unit to write them in.
        tie: name of the scale that they share.

    Returns:
        ``214.3+-1.2mm@photo:0.8`` and the like, spread to two figures [``unit``].

    >>> tied_readings([[10.0, 11.0, 12.0], [20.0, 22.0, 24.0]], "mm", "photo")
    ('11+-1mm@photo', '22+-2mm@photo')
    """
    rows = np.atleast_2d(np.asarray(samples, dtype=np.float64))
    spread = rows.std(axis=-1, ddof=1) if rows.shape[-1] > 1 else np.zeros(len(rows))
    moving = spread > 0
    follows = np.ones(len(rows))
    if np.sum(moving) > 1:
        follows[moving] = loadings(np.corrcoef(rows[moving]))
    return tuple(
        _reading(float(np.median(row)), float(sd), unit, tie, float(share))
        for row, sd, share in zip(rows, spread, follows, strict=True)
    )


def _reading(centre: float, sd: float, unit: str, tie: str, follows: float) -> str:
    if sd <= 0:
        return f"{_plain(centre, 6)}{unit}"
    places = max(0, 1 - int(np.floor(np.log10(sd))))
    share = round(follows, 2)
    closely = "" if share == 1 else f":{share:g}"
    return f"{_plain(centre, places)}+-{_plain(sd, places)}{unit}@{tie}{closely}"


def _plain(value: float, places: int) -> str:
    text = f"{value:.{places}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
