"""Weighing evidence: Bayes over named classes, entropy, what a test would tell."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .ranges import within

Floats = NDArray[np.float64]


def posterior(prior: ArrayLike, *likelihoods: ArrayLike) -> Floats:
    """Probabilities of classes after independent pieces of evidence.

    Args:
        prior: probability of each class before, last axis [-].
        likelihoods: how likely each class makes what was seen, last axis [-]; any number of them.

    Returns:
        Probability of each class after, last axis, adding up to 1 [-].

    Raises:
        ValueError: an entry is negative, or nothing is left possible.

    Leaves out: dependence between the pieces of evidence.
    Source: Bayes' theorem.

    >>> posterior([0.5, 0.5], [0.9, 0.3])
    array([0.75, 0.25])
    """
    left = within("prior", prior, 0, 1)
    for likelihood in likelihoods:
        left = left * within("likelihood", likelihood, 0, 1e12)
    total = left.sum(axis=-1, keepdims=True)
    if np.any(total <= 0):
        raise ValueError("the evidence leaves no class possible")
    return np.asarray(left / total)


def reading_likelihood(reading: ArrayLike, expected: ArrayLike, error: ArrayLike) -> Floats:
    """How likely classes make a reading that scatters about each class's own figure.

    Args:
        reading: what was measured [unit of the reading].
        expected: figure of each class, last axis [unit of the reading].
        error: relative standard deviation, of reading and class together [-].

    Returns:
        Likelihood of each class, last axis [1/unit].

    Raises:
        ValueError: an entry is NaN or outside its range; the message names the argument.

    Leaves out: gross errors (a part with a hidden void): widen the error for them.
    Source: normal density with a standard deviation in proportion to the class's figure.

    >>> a, b = reading_likelihood(2.7, [2.7, 7.85], 0.1)
    >>> bool(a > 1e6 * b)
    True
    """
    value = within("reading", reading, 0, 1e9, above=True)
    centre = within("expected", expected, 0, 1e9, above=True)
    spread = within("error", error, 1e-4, 1) * centre
    return np.asarray(np.exp(-0.5 * ((value - centre) / spread) ** 2) / spread)


def entropy(probabilities: ArrayLike) -> Floats:
    """Doubt left in a set of probabilities.

    Args:
        probabilities: of each class, last axis [-].

    Returns:
        Entropy [bit].

    Leaves out: nothing.
    Source: C. E. Shannon, A Mathematical Theory of Communication (1948).

    >>> float(entropy([0.5, 0.25, 0.25]))
    1.5
    """
    p = within("probabilities", probabilities, 0, 1)
    return np.asarray(-np.sum(np.where(p > 0, p * np.log2(np.maximum(p, 1e-300)), 0.0), axis=-1))


def expected_gain(probabilities: ArrayLike, states: ArrayLike) -> Floats:
    """Doubt that a test is expected to take away.

    Args:
        probabilities: of each class, last axis [-].
        states: likelihood of each outcome (rows) in each class (columns), columns adding up to 1
            [-].

    Returns:
        Expected drop in entropy [bit].

    Raises:
        ValueError: a class's outcomes do not add up to 1.

    Leaves out: the cost of the test.
    Source: mutual information; D. J. C. MacKay, Information Theory, Inference, and Learning
    Algorithms, ch. 8.

    >>> float(expected_gain([0.5, 0.5], [[1.0, 0.0], [0.0, 1.0]]))
    1.0
    """
    p = within("probabilities", probabilities, 0, 1)
    table = within("states", states, 0, 1)
    if np.any(np.abs(table.sum(axis=0) - 1) > 1e-6):
        raise ValueError("states must add up to 1 in each class")
    outcome = p @ table.T
    after = p[..., None, :] * table / np.maximum(outcome[..., :, None], 1e-300)
    left = np.sum(outcome * entropy(np.clip(after, 0.0, 1.0)), axis=-1)
    return np.asarray(np.maximum(entropy(p) - left, 0.0))
