"""A small catalogue, a search and a narrowing of its own, and an application on them."""

import asyncio
import re
import time
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from atlas.ui.app import AtlasApp
from atlas.ui.desk import Desk

SMALL = Path(__file__).parents[1] / "data" / "small"


@dataclass
class Match:
    pattern_id: str
    title: str
    zone: str
    score: float
    because: tuple[str, ...] = ("'plate' [met] the cue about sheet metal",)


@dataclass
class Found:
    matches: tuple[Match, ...]
    nearest: tuple[str, ...] = ("gusset",)


@dataclass
class Question:
    observable: object
    gain_bits: float = 0.81
    why: str = "it parts the crossed plate from the V [/"


@dataclass
class State:
    candidates: dict
    none_of_these: float = 0.1
    contradictions: tuple[str, ...] = ()


@dataclass
class PlainSearch:
    """Titles that hold any of the words."""

    catalogue: object
    asked: list = field(default_factory=list)
    pause: float = 0.0

    def find(self, text, zone=None, limit=8):
        self.asked.append(text)
        time.sleep(self.pause)
        words = re.findall(r"\w+", text.casefold())
        patterns = self.catalogue.patterns
        found = [
            Match(name, patterns.title(name), patterns.zone(name), 0.9)
            for name in patterns
            if any(word in patterns.title(name).casefold() for word in words)
            and zone in (None, patterns.zone(name))
        ]
        return Found(tuple(found[:limit]))

    def prior(self, text):
        return None


@dataclass
class PlainNarrowing:
    """Four arms mean the crossed plate."""

    catalogue: object

    def given(self, prior, answers):
        share = dict.fromkeys(self.catalogue.patterns, 0.3)
        if answers.get("arms") == "four":
            share = dict.fromkeys(share, 0.02) | {"cross-plate": 0.86}
        lines = ("four arms do not go with what was said",) if "magnet" in answers else ()
        ordered = dict(sorted(share.items(), key=lambda pair: -pair[1]))
        return State(ordered, contradictions=lines)

    def next_questions(self, state, count):
        names = ("arms", "magnet")
        return [Question(self.catalogue.observables[name]) for name in names][:count]


@pytest.fixture
def small(monkeypatch):
    """Lets the small catalogue stand in for the shipped one."""
    monkeypatch.setattr("atlas.catalogue.load.shipped", lambda name: SMALL / name)
    monkeypatch.setattr("atlas.vehicles.loading.shipped", lambda name: SMALL / name)
    monkeypatch.setattr("atlas.vehicles.loads.shipped", lambda name: SMALL / name)


@pytest.fixture
def desk(library, small):
    made = Desk(library, "ab")
    made.search = PlainSearch(made.catalogue)
    made.narrow = PlainNarrowing(made.catalogue)
    return made


@pytest.fixture
def app(desk):
    return AtlasApp(desk)


async def wait_for(condition, what: str, seconds: float = 30.0):
    """Poll a condition; fail by name when it does not come true in time."""
    deadline = time.monotonic() + seconds
    while time.monotonic() < deadline:
        try:
            value = condition()
        except Exception:
            value = None
        if value:
            return value
        await asyncio.sleep(0.01)
    raise AssertionError(f"waited in vain for {what}")


def screen_text(app) -> str:
    """What stands on the screen, line by line."""
    strips = app.screen._compositor.render_strips()
    return "\n".join("".join(segment.text for segment in strip).rstrip() for strip in strips)


@pytest.fixture
def wait():
    return wait_for


@pytest.fixture
def text():
    return screen_text
