"""One TOML record from one file, or one clear line on why not."""

from pathlib import Path
from typing import TypeVar

import msgspec
import rtoml

from atlas.catalogue.model import path_of
from atlas.errors import BadInput, NotThere, Refused

Record = TypeVar("Record")


def read_table(path: Path) -> dict[str, object]:
    """Parse a TOML file.

    Raises:
        NotThere: there is no such file.
        Refused: the file system does not let it be read.
        BadInput: it is not UTF-8 or not TOML; the message gives the line.
    """
    try:
        text = path.read_text(encoding="utf-8")
    except FileNotFoundError:
        raise NotThere("no such file", str(path)) from None
    except UnicodeDecodeError as error:
        raise BadInput(
            f"byte {error.start} is not UTF-8", str(path), "save the file as UTF-8 text"
        ) from None
    except OSError as error:
        raise Refused(f"cannot be read ({error.strerror})", str(path)) from None
    try:
        return dict(rtoml.loads(text))
    except rtoml.TomlParsingError as error:
        raise BadInput(f"not TOML: {error}", str(path)) from None


def read_record(path: Path, kind: type[Record]) -> Record:
    """Read a file whose whole content is one record of ``kind``.

    Raises:
        NotThere, Refused, BadInput: as ``read_table``; BadInput also where a field is missing,
            unknown or of the wrong type, with the field's path.
    """
    table = read_table(path)
    try:
        return msgspec.convert(table, kind)
    except msgspec.ValidationError as error:
        what, field = path_of(error)
        raise BadInput(what, f"{path}: {field}" if field else str(path)) from None
