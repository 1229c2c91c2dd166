"""The bar: silent for a second and where nobody looks, gone at the end, told by every long command."""

from __future__ import annotations

import io
import time

import pytest

from templgen import cli
from templgen.build.check import check_job
from templgen.build.demo import demo_job
from templgen.checks import RULES


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def test_a_bar_is_drawn_after_a_second_and_taken_away(monkeypatch: pytest.MonkeyPatch) -> None:
    now = [100.0]
    monkeypatch.setattr(time, "monotonic", lambda: now[0])
    terminal = Terminal()
    bar = cli._Progress(terminal)
    bar("first", 0, 4)
    bar.clear()
    assert terminal.getvalue() == ""
    now[0] += 1.5
    bar("second", 2, 4)
    assert "[############............] second" in terminal.getvalue()
    bar.clear()
    assert terminal.getvalue().endswith("\r" + " " * 56 + "\r")


def test_nothing_is_drawn_where_no_terminal_is(monkeypatch: pytest.MonkeyPatch) -> None:
    now = [100.0]
    monkeypatch.setattr(time, "monotonic", lambda: now[0])
    plain = io.StringIO()
    bar = cli._Progress(plain)
    now[0] += 5.0
    bar("label", 1, 2)
    bar.clear()
    assert plain.getvalue() == ""


def test_checks_tell_of_every_rule() -> None:
    told: list[tuple[str, int, int]] = []
    check_job(demo_job(), lambda label, done, total: told.append((label, done, total)))
    assert told == [(rule.name, number, len(RULES)) for number, rule in enumerate(RULES)]
