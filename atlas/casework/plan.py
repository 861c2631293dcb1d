"""What taking in a file would write, what is there already, and what of it is refused."""

import contextlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

from atlas.errors import AtlasError


@dataclass(frozen=True)
class Step:
    """One record to be written, and how to take it back if a later one cannot be."""

    name: str
    write: Callable[[], object]
    take_back: Callable[[], object]


@dataclass
class Plan:
    """Everything that a file holds, sorted into what becomes of it."""

    kind: str
    steps: list[Step] = field(default_factory=list)
    there_already: list[str] = field(default_factory=list)
    refused: list[AtlasError] = field(default_factory=list)

    @contextlib.contextmanager
    def refusing(self, where: str) -> Iterator[None]:
        """Keep a refusal among the others instead of stopping at it."""
        try:
            yield
        except AtlasError as error:
            inner = f"{where}: {error.where}" if error.where else where
            self.refused.append(type(error)(error.what, inner, error.remedy))

    def write(self) -> list[str]:
        """Write everything, or nothing: names of what was written.

        Raises:
            AtlasError: one of the records could not be written; those before it were taken back.
        """
        done: list[Step] = []
        try:
            for step in self.steps:
                step.write()
                done.append(step)
        except BaseException:
            for step in reversed(done):
                with contextlib.suppress(AtlasError, OSError):
                    step.take_back()
            raise
        return [step.name for step in done]
