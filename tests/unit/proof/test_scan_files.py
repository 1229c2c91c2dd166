"""What picture files say of themselves, against an independent writer of them; and pictures that are none."""

from __future__ import annotations

import sys
from io import BytesIO
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from templgen.proof.scan.metadata import FileFacts, facts_of
from templgen.proof.scan.picture import ScanError, read_picture

GREY = Image.fromarray(np.tile(np.arange(240, dtype=np.uint8), (220, 1)))


def _written(kind: str, **options: object) -> bytes:
    file = BytesIO()
    GREY.save(file, kind, **options)
    return file.getvalue()


@pytest.mark.parametrize("kind", ["PNG", "JPEG", "TIFF"])
@pytest.mark.parametrize("dpi", [(300, 300), (600, 300), (72, 72)])
def test_resolution_as_pillow_writes_it(kind: str, dpi: tuple[int, int]) -> None:
    found = facts_of(_written(kind, dpi=dpi)).dpi
    assert found == pytest.approx(dpi, rel=2e-4)  # PNG counts whole pixels per metre


@pytest.mark.parametrize("kind", ["PNG", "TIFF"])
def test_no_resolution(kind: str) -> None:
    assert facts_of(_written(kind)).dpi is None


def test_focal_length_and_resolution_of_a_camera() -> None:
    exif = Image.Exif()
    exif[0x011A], exif[0x011B], exif[0x0128] = 72.0, 72.0, 2
    exif.get_ifd(0x8769)[0xA405] = 26
    facts = facts_of(_written("JPEG", exif=exif))
    assert facts == FileFacts((72.0, 72.0), 26)


def test_resolution_of_a_turned_picture_is_as_it_is_shown() -> None:
    exif = Image.Exif()
    exif[0x011A], exif[0x011B], exif[0x0128], exif[0x0112] = 600.0, 300.0, 2, 6
    assert facts_of(_written("JPEG", exif=exif)).dpi == (300.0, 600.0)


def test_resolution_per_centimetre() -> None:
    data = _written("TIFF", resolution_unit="cm", x_resolution=118.11, y_resolution=236.22)
    assert facts_of(data).dpi == pytest.approx((300.0, 600.0), rel=1e-4)


@given(st.sampled_from(["PNG", "JPEG", "TIFF"]), st.integers(0, 400), st.binary(max_size=30))
def test_broken_files_say_nothing_and_never_fail(kind: str, cut: int, tail: bytes) -> None:
    facts_of(_written(kind, dpi=(300, 300))[:cut] + tail)


@given(st.binary(max_size=200))
def test_any_bytes_never_fail(data: bytes) -> None:
    facts_of(data)
    facts_of(b"\xff\xd8\xff\xe1" + data)
    facts_of(b"II*\x00" + data)


def test_a_picture_is_read_as_it_is_shown(tmp_path: Path) -> None:
    path = tmp_path / "scän.png"
    path.write_bytes(_written("PNG", dpi=(300, 300)))
    picture = read_picture(path)
    assert (picture.width, picture.height) == (240, 220)
    assert picture.name == "scän.png"
    assert np.array_equal(picture.grey, np.asarray(GREY))


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "no image that can be read"),
        (b"not a picture", "no image that can be read"),
        (b"%PDF-1.6", "this is a PDF; let the scanner write PNG"),
        (b"\x89PNG\r\n\x1a\n", "no image that can be read"),
    ],
)
def test_what_is_no_picture_is_said(tmp_path: Path, content: bytes, words: str) -> None:
    path = tmp_path / "scan.png"
    path.write_bytes(content)
    with pytest.raises(ScanError, match=words):
        read_picture(path)


def test_without_opencv_the_extra_is_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "scan.png"
    path.write_bytes(_written("PNG"))
    monkeypatch.setitem(sys.modules, "cv2", None)
    with pytest.raises(ScanError, match=r"templgen\[scan\]"):
        read_picture(path)


def test_a_missing_and_a_tiny_picture_are_said(tmp_path: Path) -> None:
    with pytest.raises(ScanError, match="No such file"):
        read_picture(tmp_path / "none.png")
    path = tmp_path / "tiny.png"
    Image.fromarray(np.zeros((20, 20), np.uint8)).save(path)
    with pytest.raises(ScanError, match="too few to measure"):
        read_picture(path)
