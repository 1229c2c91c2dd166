"""Pictures that other processes draw."""

from __future__ import annotations

import multiprocessing

import pytest

from templgen.build.previews import drawn_apart

SVG = b'<svg xmlns="http://www.w3.org/2000/svg" width="10mm" height="10mm" viewBox="0 0 10 10"/>'


def _fails_while_pictures_are_drawn() -> None:
    with drawn_apart() as pictures:
        pictures.ask("one", SVG)
        assert multiprocessing.active_children()
        raise ZeroDivisionError


def test_a_fault_leaves_no_process_behind() -> None:
    with pytest.raises(ZeroDivisionError):
        _fails_while_pictures_are_drawn()
    assert multiprocessing.active_children() == []
