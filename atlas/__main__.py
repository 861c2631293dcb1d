"""Lets ``python -m atlas`` stand in for the ``atlas`` command."""

from atlas.cli.main import main

if __name__ == "__main__":
    main()
