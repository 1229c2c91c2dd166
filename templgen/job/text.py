"""The text of a job file: found, decoded, and refused in plain words where it is none."""

from __future__ import annotations

import os
from pathlib import Path

from templgen.errors import JobError, JobFaults, Location
from templgen.shapes.names import nearest

__all__ = ["MOST_BYTES", "read_text"]

MOST_BYTES = 8_000_000
"""A job file is written by hand; a hundred thousand measured points still fit."""


def read_text(path: str | Path) -> tuple[str, bytes, str]:
    """The name to use in complaints, the bytes and the text of a file.

    A byte order mark in front is left out; line ends stay as they are.

    Raises:
        JobFaults: no such file, a folder, not readable, too large, or not UTF-8 text.
    """
    name = os.fspath(path)
    try:
        with open(name, "rb") as stream:
            content = stream.read(MOST_BYTES + 1)
    except (OSError, ValueError) as error:
        raise _refused(name, _why_not_read(error, Path(name))) from None
    if len(content) > MOST_BYTES:
        raise _refused(name, f"more than {MOST_BYTES // 1_000_000} million bytes: no job file is that long")
    return name, content, decoded(content, name)


def decoded(content: bytes, name: str) -> str:
    """The text of UTF-8 bytes.

    Raises:
        JobFaults: another encoding or no text at all; with the place of the first byte that is wrong.
    """
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise _refused(name, "saved as UTF-16; save the file as UTF-8")
    content = content.removeprefix(b"\xef\xbb\xbf")
    if b"\0" in content:
        raise _refused(name, "not a text file (it holds zero bytes); a job file is UTF-8 text")
    try:
        return content.decode("utf-8")
    except UnicodeDecodeError as error:
        before = content[: error.start].decode("utf-8")
        line, column = before.count("\n") + 1, len(before) - (before.rfind("\n") + 1) + 1
        message = f"byte 0x{content[error.start]:02x} is not UTF-8 text; save the file as UTF-8"
        raise JobFaults([JobError(message, at=Location(name, line, column))]) from None


def _refused(name: str, message: str) -> JobFaults:
    return JobFaults([JobError(message, at=Location(name, 1, 1))])


def _why_not_read(error: Exception, path: Path) -> str:
    if isinstance(error, FileNotFoundError):
        return f"there is no such file{_nearest_file(path)}"
    if isinstance(error, IsADirectoryError) or (isinstance(error, PermissionError) and _is_folder(path)):
        return "this is a folder; name the job file in it"
    if isinstance(error, PermissionError):
        return "no permission to read this file"
    return f"can not be read: {getattr(error, 'strerror', None) or error}"


def _is_folder(path: Path) -> bool:
    try:
        return path.is_dir()
    except (OSError, ValueError):
        return False


def _nearest_file(path: Path) -> str:
    try:
        names = [each.name for each in path.parent.iterdir() if each.suffix == ".toml"]
    except (OSError, ValueError):
        return ""
    like = nearest(path.stem, (name.removesuffix(".toml") for name in names))  # the ending is like in all
    return f"; nearest: {like}.toml" if like else ""
