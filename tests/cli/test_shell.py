"""Help, completion, the manual page, and output for screen readers."""

import os
import subprocess
import sys

import pytest

from atlas.cli.main import COMMANDS, atlas
from tests.cli.manual import PAGE, manual


def commands():
    import click

    ctx = click.Context(atlas)
    return list(atlas.list_commands(ctx))


@pytest.mark.parametrize("name", commands())
def test_each_command_has_help_with_an_example(name, capsys):
    from atlas.cli.main import status

    assert status([name, "--help"]) == 0
    out = capsys.readouterr().out
    assert "Example" in out, name
    assert all(len(line) <= 100 for line in out.splitlines())


def test_every_command_that_is_named_exists():
    assert set(commands()) == set(COMMANDS)


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_completion_scripts_are_printed(shell, capsys):
    from atlas.cli.main import status

    assert status(["completion", shell]) == 0
    assert "_ATLAS_COMPLETE" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("words", "expected"),
    [
        ("atlas sho", "show"),
        ("atlas show rear-x", "rear-x-plate"),
        ("atlas calc bolt", "bolted-joint"),
        ("atlas list --zone rear", "rear-mount"),
        ("atlas vehicle demo-pickup --load pot", "pothole"),
        ("atlas vehicle demo-pickup --without rear-x", "rear-x-plate"),
        ("atlas vehicle new --cradle h-", "h-plan"),
    ],
)
def test_a_shell_completes_commands_and_ids(words, expected):
    done = subprocess.run(
        [sys.executable, "-m", "atlas"],
        env={
            **os.environ,
            "_ATLAS_COMPLETE": "bash_complete",
            "COMP_WORDS": words,
            "COMP_CWORD": str(len(words.split()) - 1),
        },
        capture_output=True,
        text=True,
        timeout=60,
    )
    assert expected in done.stdout.replace("plain,", " ").split(), done


def test_plain_output_has_no_drawing_and_no_column():
    done = subprocess.run(
        [sys.executable, "-m", "atlas", "show", "rear-x-plate", "--plain"],
        capture_output=True, text=True, timeout=60, check=True,
    )  # fmt: skip
    assert not any(0x2800 <= ord(sign) <= 0x28FF for sign in done.stdout)
    done = subprocess.run(
        [sys.executable, "-m", "atlas", "calc", "column", "--plain", "--samples", "100"],
        capture_output=True, text=True, timeout=60, check=True,
    )  # fmt: skip
    assert "###" not in done.stdout
    assert not any(0x2500 <= ord(sign) <= 0x28FF for sign in done.stdout)


def test_the_manual_page_is_the_one_that_the_commands_give():
    assert PAGE.read_text(encoding="utf-8") == manual(), "run: python tests/cli/manual.py"


def test_a_fault_of_ours_is_one_line(monkeypatch, capsys):
    from atlas.cli import main

    def broken(*_, **__):
        raise ZeroDivisionError("made for this test")

    monkeypatch.setattr("atlas.catalogue.load.load", broken)
    monkeypatch.setattr("atlas.cli.browse.load", broken)
    assert main.status(["list"]) == 2
    err = capsys.readouterr().err
    assert err.count("\n") == 1 and "internal fault" in err and "Traceback" not in err
