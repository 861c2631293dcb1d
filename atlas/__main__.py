"""Entry point of the command and of ``python -m atlas``."""

import sys


def main() -> None:
    """Run the command; ctrl+c while it still loads ends it as quietly as later."""
    try:
        from atlas.cli.main import main as run

        run()
    except KeyboardInterrupt:
        sys.exit(130)


if __name__ == "__main__":
    main()
