from datetime import UTC, date, datetime

import pytest

from atlas.catalogue.load import load
from atlas.study.practice import Study
from atlas.study.progress import Learner
from atlas.vehicles.loading import load_vehicle

DAY = date(2026, 3, 2)
NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)


@pytest.fixture(scope="session")
def catalogue():
    return load(cached=False)


@pytest.fixture
def learner(library):
    return Learner(library, "AB", clock=lambda: NOON)


@pytest.fixture
def study(library, catalogue, monkeypatch):
    """Study with one vehicle, so that what comes first does not depend on what else is shipped."""
    one = {"demo-pickup": load_vehicle("demo-pickup")}
    monkeypatch.setattr("atlas.study.practice.all_vehicles", lambda library: (one, ()))
    return Study(catalogue, library, "AB")
