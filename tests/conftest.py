"""Closes the doors that no test may use: the home folder, the network, the user's settings."""

import os
import socket

import pytest
from hypothesis import settings

# The same examples each time, however busy the machine; ATLAS_RANDOM=1 looks for new ones.
settings.register_profile("same", deadline=None, derandomize=True)
settings.register_profile("new", deadline=None)
settings.load_profile("new" if os.environ.get("ATLAS_RANDOM") else "same")


@pytest.fixture(autouse=True)
def closed_doors(monkeypatch, tmp_path_factory):
    home = tmp_path_factory.mktemp("home")
    monkeypatch.setenv("HOME", str(home))
    for name in ("XDG_DATA_HOME", "XDG_CACHE_HOME", "XDG_CONFIG_HOME", "XDG_STATE_HOME"):
        monkeypatch.setenv(name, str(home / name.lower()))
    for name in ("ATLAS_LIBRARY", "ATLAS_INITIALS", "NO_COLOR", "VISUAL", "EDITOR"):
        monkeypatch.delenv(name, raising=False)
    real = socket.socket.connect

    def refuse(self, address):
        if self.family in (socket.AF_INET, socket.AF_INET6) and address[0] not in (
            "127.0.0.1",
            "::1",
            "localhost",
        ):
            raise AssertionError(f"a test reached for the network: {address}")
        return real(self, address)

    monkeypatch.setattr(socket.socket, "connect", refuse)


@pytest.fixture
def library(tmp_path):
    from atlas.catalogue.library import Library

    root = tmp_path / "library"
    root.mkdir()
    return Library(root)


@pytest.fixture
def atlas(library, capsys):
    """Runs the command line in this process: ``status, out, err = atlas("list")``."""
    from atlas.cli.main import status

    def call(*arguments: str, own: bool = True) -> tuple[int, str, str]:
        capsys.readouterr()
        line = [*(["--library", str(library.root)] if own else []), *arguments]
        code = status(line)
        out, err = capsys.readouterr()
        return code, out, err

    return call
