"""The library: all shapes that ship, and those of a builder's own folder beside the job file."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import lru_cache
from pathlib import Path

from templgen.errors import ShapeError
from templgen.shapes.names import unknown
from templgen.shapes.reader import read_shape
from templgen.shapes.shape import Shape

__all__ = ["ShapeLibrary", "standard_folder"]


class ShapeLibrary:
    """Shapes by name. A file is read when its shape is asked for, so that a short run reads few files.

    >>> ShapeLibrary.standard().get("circle").outline(diameter=10).contour.bounds.width
    10.0
    """

    def __init__(self, paths: Mapping[str, Path]) -> None:
        self._files = dict(sorted(paths.items()))
        self._shapes: dict[str, Shape] = {}

    @classmethod
    def standard(cls) -> ShapeLibrary:
        """The shapes that ship with the program; one library for the whole run.

        Raises:
            ShapeError: the installation lacks its shape files.
        """
        return _standard()

    @classmethod
    def with_folder(cls, folder: Path | str) -> ShapeLibrary:
        """The shapes that ship and those of a folder, the latter read at once so that faults show up.

        Args:
            folder: a folder of shape files; other files in it are left alone.

        Raises:
            ShapeError: no such folder, a file that is not a shape, or a name that is taken.
        """
        standard = cls.standard()
        found = _shape_files(Path(folder))
        for name, file in found.items():
            if name in standard:
                raise ShapeError(
                    f"{file}: the library already has a shape called {name!r}; choose another name"
                )
        library = cls({**standard._files, **found})
        library._shapes.update({name: read_shape(file) for name, file in found.items()})
        return library

    def names(self) -> tuple[str, ...]:
        """The names of all shapes, sorted."""
        return tuple(self._files)

    def get(self, name: str) -> Shape:
        """The shape of a name.

        Raises:
            ShapeError: no such shape (with the nearest name), or its file is faulty.
        """
        if name not in self._files:
            raise ShapeError(f"no shape is called {name!r}; {unknown(name, self._files)}")
        if name not in self._shapes:
            self._shapes[name] = read_shape(self._files[name])
        return self._shapes[name]

    def __iter__(self) -> Iterator[Shape]:
        """All shapes, sorted by name."""
        return (self.get(name) for name in self._files)

    def __len__(self) -> int:
        return len(self._files)

    def __contains__(self, name: object) -> bool:
        return name in self._files


@lru_cache(maxsize=1)
def _standard() -> ShapeLibrary:
    return ShapeLibrary(_shape_files(standard_folder()))


def standard_folder() -> Path:
    """Where the shape files are: beside this module when installed, else at the top of a source tree.

    Raises:
        ShapeError: neither place has any.
    """
    here = Path(__file__).resolve()
    packaged, source = here.parent / "data", here.parents[2] / "shapes"
    for folder in (packaged, source):
        if any(folder.glob("*.toml")):
            return folder
    raise ShapeError(
        f"the shape files are missing, neither {packaged} nor {source} has any; install templgen again"
    )


def _shape_files(folder: Path) -> dict[str, Path]:
    if not folder.is_dir():
        raise ShapeError(f"{folder}: there is no such folder of shapes")
    return {file.stem: file for file in sorted(folder.glob("*.toml"))}
