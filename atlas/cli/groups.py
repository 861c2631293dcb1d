"""A group of commands that names the nearest one where there is none of that name."""

import click


class Group(click.Group):
    """As click's, but a slip in a command's name is answered as any other slip."""

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """As click does, with the nearest command named where there is none."""
        try:
            return super().resolve_command(ctx, args)
        except click.UsageError as error:
            from atlas.catalogue.nearest import suggestion

            names = self.list_commands(ctx)
            lists = f"'{ctx.command_path} --help' lists the commands"
            hint = suggestion(args[0][:100], names, lists)
            raise click.UsageError(f"no command {args[0][:60]!r}; {hint}") from error
