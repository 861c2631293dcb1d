"""``atlas completion``: what a shell needs to complete commands, options and ids."""

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from click.shell_completion import CompletionItem

SHELLS = ("bash", "zsh", "fish")


@click.command(
    epilog='Example: eval "$(atlas completion bash)"  (or write it where your shell looks)'
)
@click.argument("shell", type=click.Choice(SHELLS))
def completion(shell: str) -> None:
    """Print the completion script for a shell."""
    from click.shell_completion import get_completion_class

    from atlas.cli.main import atlas

    kind = get_completion_class(shell)
    assert kind is not None  # click ships all three
    print(kind(atlas, {}, "atlas", "_ATLAS_COMPLETE").source())


class Known(click.types.StringParamType):
    """A text argument that a shell can complete from the catalogue; the command checks it."""

    name = "id"

    def __init__(self, kind: str) -> None:
        self.kind = kind

    def shell_complete(
        self, ctx: click.Context, param: click.Parameter, incomplete: str
    ) -> "list[CompletionItem]":
        """Ids of the kind that begin with what was typed."""
        from click.shell_completion import CompletionItem

        names = self._names(ctx.params)
        return [CompletionItem(one) for one in names if one.startswith(incomplete)]

    def _names(self, given: Mapping[str, Any]) -> list[str]:
        from atlas.catalogue.load import load

        if self.kind == "calculator":
            from atlas.calculators.registry import calculator_ids

            return list(calculator_ids())
        if self.kind == "vehicle":
            from atlas.vehicles.loading import vehicle_files

            return list(vehicle_files())
        if self.kind == "load":
            from atlas.vehicles.loads import load_cases

            return [*load_cases(), "all"]
        if self.kind == "cradle":
            from atlas.vehicles.templates import CRADLES

            return list(CRADLES)
        if self.kind == "part" and given.get("vehicle_id"):
            from atlas.vehicles.framing import patterns_of
            from atlas.vehicles.loading import load_vehicle

            return list(patterns_of(load_vehicle(given["vehicle_id"])))
        if self.kind == "case":
            from atlas.casework.cases import Cases
            from atlas.catalogue.library import open_library

            return [row.id for row in Cases(open_library(None)).rows()[0]]
        catalogue = load()
        return list(catalogue.zones if self.kind == "zone" else catalogue.patterns)
