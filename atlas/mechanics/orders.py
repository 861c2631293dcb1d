"""Partial orders: which of some things can have come before which."""

from collections.abc import Mapping, Sequence

Relations = Sequence[tuple[str, str]]


def sequences(parts: Sequence[str], before: Relations) -> int:
    """Number of orders in which the parts can have come.

    Args:
        parts: names, at most 24 [-].
        before: pairs (earlier, later) [-].

    Returns:
        Number of linear extensions of the order, 0 where it contradicts itself [-].

    Raises:
        ValueError: more than 24 parts; a count would take too long.

    Leaves out: how likely each order is.
    Source: R. P. Stanley, Enumerative Combinatorics vol. 1, chapter 3 (counting down-sets; from
    memory).

    >>> sequences("abcd", [("a", "c"), ("b", "c"), ("b", "d")])
    5
    """
    if len(parts) > 24:
        raise ValueError(f"parts: {len(parts)}; at most 24 can be counted")
    place = {part: i for i, part in enumerate(parts)}
    needs = [0] * len(parts)
    for earlier, later in before:
        needs[place[later]] |= 1 << place[earlier]
    layer = {0: 1}
    for _ in parts:
        grown: dict[int, int] = {}
        for done, ways in layer.items():
            for i, need in enumerate(needs):
                if not done >> i & 1 and need & ~done == 0:
                    grown[done | 1 << i] = grown.get(done | 1 << i, 0) + ways
        layer = grown
    return sum(layer.values())


def one_order(parts: Sequence[str], before: Relations) -> list[list[str]]:
    """Steps in which the parts can have come, each as early as the order lets it.

    Args:
        parts: names [-].
        before: pairs (earlier, later) [-].

    Returns:
        Steps of parts that nothing orders among themselves; stops short at a contradiction [-].

    Leaves out: work content and tooling.
    Source: A. B. Kahn, Communications of the ACM 5 (1962), 558-562 (from memory).

    >>> one_order("abc", [("a", "c"), ("b", "c")])
    [['a', 'b'], ['c']]
    """
    waiting = {part: {e for e, later in before if later == part} for part in parts}
    steps: list[list[str]] = []
    while True:
        ready = [part for part, needs in waiting.items() if not needs]
        if not ready:
            return steps
        steps.append(ready)
        for part in ready:
            del waiting[part]
        for needs in waiting.values():
            needs.difference_update(ready)


def contradiction(before: Relations) -> list[tuple[str, str]]:
    """A shortest ring of relations that cannot all be true.

    Args:
        before: pairs (earlier, later) [-].

    Returns:
        The ring's pairs in order, nothing where the relations agree [-].

    Leaves out: further rings.
    Source: breadth-first search for a shortest cycle.

    >>> contradiction([("a", "b"), ("b", "c"), ("c", "a"), ("a", "d")])
    [('a', 'b'), ('b', 'c'), ('c', 'a')]
    """
    after: Mapping[str, list[str]] = {
        part: [later for earlier, later in before if earlier == part]
        for part in dict.fromkeys(part for pair in before for part in pair)
    }
    best: list[str] = []
    for start in after:
        came: dict[str, str] = {}
        fresh = [start]
        while fresh and start not in came:
            reached = []
            for part in fresh:
                for later in after[part]:
                    if later not in came:
                        came[later] = part
                        reached.append(later)
            fresh = reached
        if start not in came:
            continue
        ring = [start]
        while came[ring[-1]] != start:
            ring.append(came[ring[-1]])
        ring = [start, *reversed(ring[1:])]
        if not best or len(ring) < len(best):
            best = ring
    return list(zip(best, [*best[1:], *best[:1]], strict=True))
