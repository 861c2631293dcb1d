"""Atlas: a knowledge base of front-structure design patterns for vehicle teardown."""

__version__ = "0.1.0"
