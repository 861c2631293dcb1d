from datetime import UTC, date, datetime

import pytest

from atlas.catalogue.load import load
from atlas.study.practice import Study
from atlas.study.progress import Learner

DAY = date(2026, 3, 2)
NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)


@pytest.fixture(scope="session")
def catalogue():
    return load(cached=False)


@pytest.fixture
def learner(library):
    return Learner(library, "AB", clock=lambda: NOON)


@pytest.fixture
def study(library, catalogue):
    return Study(catalogue, library, "AB")
