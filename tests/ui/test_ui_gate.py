"""Keys that are held or were typed ahead must not pass a caution (MIL-STD-1472E 5.15.8.4)."""

from __future__ import annotations

import pytest

from benchtui.ui.gate import READING_TIME, Gate


class Seconds:
    def __init__(self) -> None:
        self.now = 100.0

    def __call__(self) -> float:
        return self.now


def make() -> tuple[Gate, Seconds]:
    seconds = Seconds()
    return Gate(clock=seconds), seconds


def test_a_key_in_the_same_moment_does_not_acknowledge() -> None:
    gate, _ = make()
    gate.show()
    assert not gate.open()


def test_a_key_after_the_reading_time_does() -> None:
    gate, seconds = make()
    gate.show()
    seconds.now += READING_TIME + 0.01
    assert gate.open()


def test_fifty_keys_typed_ahead_do_not_open_it() -> None:
    gate, seconds = make()
    gate.show()
    for _ in range(50):
        assert not gate.open()
        gate.press("a")
        seconds.now += 0.001
    assert not gate.open()


def test_a_key_held_down_from_the_caution_before_never_opens_it() -> None:
    # First repeat after 0.66 s, then 25 a second: what a common keyboard does by default.
    gate, seconds = make()
    gate.press("a")
    gate.show()
    seconds.now += 0.66
    for _ in range(100):
        assert not gate.open()
        gate.press("a")
        seconds.now += 0.04


def test_the_wait_is_counted_from_the_last_key() -> None:
    gate, seconds = make()
    gate.show()
    seconds.now += 0.5
    gate.press("space")
    assert gate.wait() == pytest.approx(READING_TIME)


def test_a_held_key_is_told_from_one_pressed_again() -> None:
    gate, seconds = make()
    assert gate.press("space")
    seconds.now += 0.04
    assert not gate.press("space")
    seconds.now += 0.3
    assert gate.press("space")
