"""Writes the manual page from the commands' own help: ``python tests/cli/manual.py``."""

import inspect
from pathlib import Path

import click

from atlas.cli.main import atlas

PAGE = Path(__file__).parents[2] / "atlas" / "cli" / "atlas.1"


def manual() -> str:
    """The page in the man macros."""
    lines = [
        ".TH ATLAS 1",
        ".SH NAME",
        "atlas \\- identify front structures at teardown, and put numbers on them",
        ".SH SYNOPSIS",
        ".B atlas",
        "[\\-\\-library DIR] [COMMAND] ...",
        ".SH DESCRIPTION",
        *_paragraphs(atlas),
        ".SH COMMANDS",
    ]
    context = click.Context(atlas, info_name="atlas")
    for name in atlas.list_commands(context):
        command = atlas.get_command(context, name)
        assert command is not None
        lines += _command(f"atlas {name}", command)
    lines += [
        ".SH EXIT STATUS",
        "0 done; 1 the thing asked for is not there or a check failed; 2 bad input.",
        ".SH ENVIRONMENT",
        ".TP",
        ".B ATLAS_LIBRARY",
        "The team's library folder, where \\-\\-library is not given.",
        ".TP",
        ".B ATLAS_INITIALS",
        "Who is at work, where \\-\\-by is not given.",
        ".TP",
        ".B NO_COLOR",
        "The application uses no colour.",
        "",
    ]
    return "\n".join(lines)


def _command(path: str, command: click.Command) -> list[str]:
    context = click.Context(command, info_name=path)
    lines = [f".SS {_safe(path)}", *_paragraphs(command)]
    usage = " ".join(command.collect_usage_pieces(context))
    lines += [".PP", f".B {_safe(path)}", _safe(usage)]
    for param in command.get_params(context):
        record = param.get_help_record(context)
        if record is not None and "--help" not in record[0]:
            lines += [".TP", f".B {_safe(record[0])}", _safe(record[1]) or "."]
    if command.epilog:
        lines += [".PP", _safe(command.epilog)]
    if isinstance(command, click.Group):
        for name in command.list_commands(context):
            inner = command.get_command(context, name)
            if inner is not None:
                lines += _command(f"{path} {name}", inner)
    return lines


def _paragraphs(command: click.Command) -> list[str]:
    found = []
    for paragraph in inspect.cleandoc(command.help or "").split("\n\n"):
        as_it_is = "\b" in paragraph  # click's sign for lines that are not to be filled
        lines = [line for line in paragraph.replace("\b", "").splitlines() if line.strip()]
        if as_it_is:
            found += [".PP", ".nf", *map(_safe, lines), ".fi"]
        else:
            found += [".PP", *(_safe(line.strip()) for line in lines)]
    return found


def _safe(text: str) -> str:
    text = text.replace("\\", "\\e").replace("-", "\\-")
    return f"\\&{text}" if text[:1] in {".", "'"} else text


if __name__ == "__main__":
    PAGE.write_text(manual(), encoding="utf-8")
