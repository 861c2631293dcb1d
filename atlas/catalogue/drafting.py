"""How a draft begins: in somebody's words, then as new or as a variant of a pattern there is."""

from collections.abc import Sequence
from datetime import date
from typing import Any

import msgspec

from atlas.catalogue.appending import filled
from atlas.catalogue.drafts import Content, id_from
from atlas.catalogue.model import Pattern
from atlas.catalogue.visible import accepted


def described(title: str, zone: str, seen: str) -> Content:
    """What somebody calls a structure and sees of it; nobody has decided yet what it is.

    Raises:
        BadInput: no title, or nothing seen.
    """
    name = accepted(title, "title", most=400)
    cue = {"see": accepted(seen, "what is seen"), "look": "below", "telling": "supports"}
    draft = {"id": id_from(name), "title": name, "zone": zone, "cues": [cue]}
    kept: Content = filled(draft)
    return kept


def as_new(content: Content, author: str, today: date) -> Content:
    """The draft of a pattern unlike all that there are."""
    told = content.get("provenance", {})
    return {**content, "provenance": {**told, "status": "draft", "written": today,
                                      "author": author}}  # fmt: skip


def as_variant(content: Content, origin: Pattern, author: str, today: date) -> Content:
    """The draft of a variant: what is known of its origin, under what was seen of itself.

    Each names the other as a look-alike; what separates them is the first thing to write.
    """
    own = as_new(content, author, today)
    known: dict[str, Any] = msgspec.to_builtins(origin, builtin_types=(date,))
    # Names are what tells the two apart in a search; cases were seen of the origin only.
    for key in ("id", "title", "zone", "other_names", "provenance"):
        known.pop(key)
    others = [{"id": origin.id}, *own.get("look_alikes", ()), *known["look_alikes"]]
    return {
        **known,
        **own,
        **{key: _joined(own.get(key, ()), known[key]) for key in ("cues", "settle", "sources")},
        "zone": origin.zone,
        "look_alikes": list({one.get("id"): one for one in reversed(others)}.values())[::-1],
        "likelihoods": {**known["likelihoods"], **own.get("likelihoods", {})},
        "provenance": {**own["provenance"], "variant_of": origin.id},
    }


def _joined(own: Sequence[Any], known: Sequence[Any]) -> list[Any]:
    return [*own, *(one for one in known if one not in own)]
