"""One TOML record from one file, or one clear line on why not."""

import os
import stat
from pathlib import Path
from typing import TypeVar

import msgspec
import rtoml

from atlas.catalogue.model import path_of
from atlas.catalogue.writing import kind_of_file
from atlas.errors import BadInput, NotThere, Refused

Record = TypeVar("Record")
MOST_BYTES = 64_000_000  # of a case with years of history, or a file of many records
MOST_RECORD = 1_000_000  # of one record that people write by hand; the shipped ones have 20 kB


def read_bytes(path: Path, most: int = MOST_BYTES) -> bytes:
    """Content of an ordinary file; a pipe, a device or a file without end is refused, not awaited.

    Raises:
        NotThere: there is no such file.
        Refused: it is no ordinary file, larger than ``most`` bytes, or may not be read.
    """
    try:
        # Non-blocking, since the opening of a pipe would else wait for somebody to write into it.
        handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0))
        with os.fdopen(handle, "rb") as file:
            now = os.fstat(handle)
            if not stat.S_ISREG(now.st_mode):
                kind = kind_of_file(now.st_mode)
                raise Refused(f"is {kind}, not a file", str(path), "move it away")
            if now.st_size > most:
                raise Refused(
                    f"is {now.st_size / 1e6:,.0f} MB large", str(path),
                    f"a record has at most {most / 1e6:,.0f} MB",
                )  # fmt: skip
            return file.read(most)
    except FileNotFoundError:
        raise NotThere("no such file", str(path)) from None
    except IsADirectoryError:
        raise Refused("is a folder, not a file", str(path), "move it away") from None
    except PermissionError:
        raise Refused("no permission to read", str(path)) from None
    except OSError as error:
        raise Refused(f"cannot be read ({error.strerror})", str(path)) from None


def read_table(path: Path, most: int = MOST_BYTES) -> dict[str, object]:
    """Parse a TOML file of at most so many bytes.

    Raises:
        NotThere: there is no such file.
        Refused: the file system does not let it be read.
        BadInput: it is not UTF-8 or not TOML; the message gives the line.
    """
    content = read_bytes(path, most)
    try:
        text = content.decode().replace("\r\n", "\n")
    except UnicodeDecodeError as error:
        raise BadInput(
            f"byte {error.start} is not UTF-8", str(path), "save the file as UTF-8 text"
        ) from None
    try:
        return dict(rtoml.loads(text))
    except rtoml.TomlParsingError as error:
        raise BadInput(f"not TOML: {error}", str(path)) from None


def read_record(path: Path, kind: type[Record], most: int = MOST_RECORD) -> Record:
    """Read a file whose whole content is one record of ``kind``.

    Raises:
        NotThere, Refused, BadInput: as ``read_table``; BadInput also where a field is missing,
            unknown or of the wrong type, with the field's path.
    """
    table = read_table(path, most)
    try:
        return msgspec.convert(table, kind)
    except msgspec.ValidationError as error:
        what, field = path_of(error)
        raise BadInput(what, f"{path}: {field}" if field else str(path)) from None
