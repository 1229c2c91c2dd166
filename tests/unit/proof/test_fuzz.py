"""Files with flipped, lost or repeated bytes: they are read, or refused in one line; nothing else happens."""

from __future__ import annotations

import random

import pytest

from templgen.errors import ReadError
from templgen.proof.readback import read_back
from tests.unit.proof.test_damage import DAMAGES, clean

RUNS = 40
MANY_RUNS = 1000


def scratched(data: bytes, dice: random.Random) -> bytes:
    """Return bytes with a few of them changed, cut out, or written twice."""
    broken = bytearray(data)
    for _ in range(dice.randint(1, 4)):
        at = dice.randrange(len(broken))
        length = dice.randint(1, 60)
        match dice.randrange(3):
            case 0:
                broken[at] = dice.randrange(256)
            case 1:
                del broken[at : at + length]
            case _:
                broken[at:at] = broken[at : at + length]
    return bytes(broken)


def check(kind: str, seed: int) -> None:
    data, drawings = clean(kind)
    try:
        result = read_back(kind, scratched(data, random.Random(seed)), drawings)
        told = [str(difference) for difference in result.differences]
    except ReadError as error:
        told = [str(error)]
    assert all(line and "\n" not in line for line in told)


@pytest.mark.parametrize("kind", DAMAGES)
def test_scratched_files(kind: str) -> None:
    for seed in range(RUNS):
        check(kind, seed)


@pytest.mark.heavy
@pytest.mark.parametrize("kind", DAMAGES)
def test_many_scratched_files(kind: str) -> None:
    for seed in range(RUNS, MANY_RUNS):
        check(kind, seed)
