"""How far a member is used, as a line: bands of weight, dash and colour, the same everywhere."""

from dataclasses import dataclass

from atlas.drawing.picture import Dash


@dataclass(frozen=True, slots=True)
class Band:
    """Members used up to ``top`` of their elastic limit are drawn in this way."""

    top: float
    style: str
    weight: int
    dash: Dash
    sample: str  # a stretch of it in braille cells
    plain: str  # the same in ASCII
    words: str


# Weight and letter say what the colour says; past the limit the line breaks up.
BANDS = (
    Band(0.1, "use-1", 1, "solid", "⠒⠒⠒", "---", "≤0.1"),
    Band(0.3, "use-2", 2, "solid", "⠶⠶⠶", "===", "≤0.3"),
    Band(0.6, "use-3", 3, "solid", "⠿⠿⠿", "%%%", "≤0.6"),
    Band(1.0, "use-4", 4, "solid", "⣿⣿⣿", "###", "≤1"),
    Band(float("inf"), "use-5", 4, "broken", "⣿⡇⣿", "!!!", ">1"),
)


def band_of(use: float) -> Band:
    """The band of a member's use, 1 being its elastic limit.

    >>> band_of(0.05).words, band_of(0.1).words, band_of(1.0).words, band_of(1.2).words
    ('≤0.1', '≤0.1', '≤1', '>1')
    """
    return next(band for band in BANDS if not use > band.top)
