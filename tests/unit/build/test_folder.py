"""A result folder is complete and new, or the old one is untouched."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from templgen.build import folder
from templgen.errors import FolderError


def names(path: Path) -> set[str]:
    return {str(p.relative_to(path)) for p in path.rglob("*") if p.is_file()}


def test_a_new_folder_holds_exactly_what_was_given(tmp_path: Path) -> None:
    target = tmp_path / "deep" / "result"
    folder.swap_in(target, {"a.txt": b"1", "cut/b.dxf": b"2"}, mark={"digest": "d"})
    assert names(target) == {"a.txt", os.path.join("cut", "b.dxf"), folder.MARK}
    assert sorted(p.name for p in target.parent.iterdir()) == ["result"]


def test_an_older_result_is_replaced_whole(tmp_path: Path) -> None:
    target = tmp_path / "result"
    folder.swap_in(target, {"old.txt": b"1"}, mark={})
    folder.swap_in(target, {"new.txt": b"2"}, mark={})
    assert names(target) == {"new.txt", folder.MARK}


def test_a_folder_of_somebody_else_is_refused_and_untouched(tmp_path: Path) -> None:
    target = tmp_path / "photos"
    target.mkdir()
    (target / "wing.jpg").write_bytes(b"x")
    with pytest.raises(FolderError, match="did not write"):
        folder.swap_in(target, {"a.txt": b"1"}, mark={})
    assert names(target) == {"wing.jpg"}
    assert [p.name for p in tmp_path.iterdir()] == ["photos"]


def test_a_file_in_the_way_is_refused(tmp_path: Path) -> None:
    target = tmp_path / "result"
    target.write_text("mine")
    with pytest.raises(FolderError, match="not a folder"):
        folder.swap_in(target, {}, mark={})
    assert target.read_text() == "mine"


@pytest.mark.parametrize("keep_old", [False, True])
def test_the_old_folder_comes_back_if_the_last_rename_fails(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, keep_old: bool
) -> None:
    target = tmp_path / "result"
    folder.swap_in(target, {"old.txt": b"1"}, mark={})
    real, calls = os.replace, []

    def second_fails(source: Path, to: Path) -> None:
        calls.append(to)
        if len(calls) == 2:
            raise OSError(28, "No space left on device")
        real(source, to)

    monkeypatch.setattr(folder.os, "replace", second_fails)
    with pytest.raises(FolderError, match="No space left"):
        folder.swap_in(target, {"new.txt": b"2"}, mark={}, keep_old=keep_old)
    assert names(target) == {"old.txt", folder.MARK}
    assert [p.name for p in tmp_path.iterdir()] == ["result"]


def test_superseded_folders_are_numbered_and_kept(tmp_path: Path) -> None:
    target = tmp_path / "result"
    moved = [
        folder.swap_in(target, {"a.txt": content}, mark={}, keep_old=True) for content in (b"1", b"2", b"3")
    ]
    assert moved == [None, tmp_path / "result-superseded-1", tmp_path / "result-superseded-2"]
    contents = [(path / "a.txt").read_bytes() for path in (*moved[1:], target) if path]
    assert contents == [b"1", b"2", b"3"]


def test_an_old_folder_stays_in_its_place_if_the_new_one_can_not_be_written(tmp_path: Path) -> None:
    target = tmp_path / "result"
    folder.swap_in(target, {"old.txt": b"1"}, mark={})
    with pytest.raises(FolderError):
        folder.swap_in(target, {"a": b"1", "a/b": b"2"}, mark={}, keep_old=True)
    assert names(target) == {"old.txt", folder.MARK}
    assert [p.name for p in tmp_path.iterdir()] == ["result"]
