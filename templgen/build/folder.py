"""A result folder is complete and new, or it is not there: nothing half-written, nothing stale.

Files are written into a hidden folder beside the target and the folder is swapped in at the end. Only a
folder that carries our own mark is ever replaced, so that a slip of the keyboard deletes nobody's work.
"""

from __future__ import annotations

import json
import os
import shutil
import tempfile
from collections.abc import Mapping
from pathlib import Path

from templgen.errors import FolderError

__all__ = ["MARK", "require_ours", "swap_in"]

MARK = "templgen.json"


def swap_in(
    target: Path, files: Mapping[str, bytes], *, mark: Mapping[str, object], keep_old: bool = False
) -> Path | None:
    """Write `files` (relative name -> bytes) as the whole content of `target`, replacing an older result.

    With `keep_old` the older result moves aside as superseded, so that its cut files never lie beside a
    failing sheet; its new place is returned. It moves only when the new folder is complete.
    Raises FolderError if `target` is there and was not made by templgen, or can not be written.
    """
    require_ours(target)
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        fresh = Path(tempfile.mkdtemp(prefix=f".{target.name}.new-", dir=target.parent))
    except OSError as error:
        raise FolderError(f"can not write beside {target}: {error.strerror or error}") from error
    try:
        fresh.chmod(0o755)
        _write_all(fresh, {**files, MARK: _mark_bytes(mark)})
        return _exchange(fresh, target, keep_old)
    except OSError as error:
        raise FolderError(f"can not write {target}: {error.strerror or error}") from error
    finally:
        shutil.rmtree(fresh, ignore_errors=True)


def require_ours(target: Path) -> None:
    """Raise FolderError unless `target` is free, an empty folder, or an older result of ours."""
    if not target.exists() and not target.is_symlink():
        return
    if not target.is_dir() or target.is_symlink():
        raise FolderError(f"{target} is there and is not a folder; give another --out")
    if any(target.iterdir()) and not (target / MARK).is_file():
        raise FolderError(
            f"{target} holds files that templgen did not write; give another --out, or empty it"
        )


def _write_all(folder: Path, files: Mapping[str, bytes]) -> None:
    for name, content in files.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)


def _mark_bytes(mark: Mapping[str, object]) -> bytes:
    return (json.dumps(dict(mark), indent=2, sort_keys=True) + "\n").encode()


def _exchange(fresh: Path, target: Path, keep_old: bool) -> Path | None:
    """Put `fresh` at `target`; the old folder comes back if the second rename fails."""
    had_old = target.exists()
    old = _free_name(target) if keep_old else fresh.with_name(fresh.name.replace(".new-", ".old-"))
    if had_old:
        os.replace(target, old)
    try:
        os.replace(fresh, target)
    except OSError:
        if had_old:
            os.replace(old, target)
        raise
    if keep_old:
        return old if had_old else None
    shutil.rmtree(old, ignore_errors=True)
    return None


def _free_name(target: Path) -> Path:
    number = 1
    while (aside := target.with_name(f"{target.name}-superseded-{number}")).exists():
        number += 1
    return aside
