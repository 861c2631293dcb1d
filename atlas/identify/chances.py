"""How a chance is told."""


def told(share: float) -> str:
    """A chance as a percentage; short of certainty it does not claim it, either way.

    >>> told(0.7), told(0.9991), told(0.0003), told(1.0)
    ('70%', '>99%', '<1%', '100%')
    """
    if 0.995 <= share < 1:
        return ">99%"
    if 0 < share < 0.005:
        return "<1%"
    return f"{share:.0%}"
