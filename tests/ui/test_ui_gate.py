"""Keys that are held or were typed ahead must not pass a caution, nor mark anything (MIL-STD-1472E 5.15.8.4).

Delays before a held key repeats, and rates, are the settings of common systems, from memory.
"""

from __future__ import annotations

import pytest

from benchtui.ui.gate import AGAIN_TIME, QUIET_TIME, READING_TIME, Gate, Keyboard, Press

DELAYS = [0.25, 0.5, 0.66, 1.0]
RATES = [30.0, 6.0]

held_keys = pytest.mark.parametrize(("delay", "rate"), [(delay, rate) for delay in DELAYS for rate in RATES])


class Seconds:
    def __init__(self) -> None:
        self.now = 100.0

    def __call__(self) -> float:
        return self.now


class Ahead:
    """A key that was typed ahead, as the prompt sends it on."""

    def __init__(self, key: str) -> None:
        self.key = key


class Bench:
    """A keyboard, and one list whose lines are ticked with its keys."""

    def __init__(self) -> None:
        self.seconds = Seconds()
        self.keys = Keyboard(clock=self.seconds)
        self.gate = Gate(self.keys)
        self.ticks = 0

    def press(self, key: str = "space", *, after: float = 0.0) -> Press:
        self.wait(after)
        return self.keys.note(key)

    def wait(self, seconds: float) -> None:
        end = self.seconds.now + seconds
        while (left := self.keys.due()) and self.seconds.now + left < end:
            self.seconds.now += left + 1e-6
        self.seconds.now = end

    def hold(self, key: str, *, delay: float, rate: float, seconds: float = 3.0) -> list[Press]:
        """All that a terminal reports of a key held that long."""
        first = self.press(key)
        presses = [first, self.press(key, after=delay)]
        while self.seconds.now - first.at < seconds:
            presses.append(self.press(key, after=1 / rate))
        return presses

    def tick(self, press: Press) -> None:
        """What a list does with a press (`widgets.rows`)."""
        if press.sure:
            self.ticks += 1
        else:
            self.keys.doubt(press, self._tick)

    def _tick(self) -> None:
        self.ticks += 1


@held_keys
def test_a_held_key_marks_once(delay: float, rate: float) -> None:
    bench = Bench()
    first, *rest = bench.hold("space", delay=delay, rate=rate)
    assert first.marks
    assert not any(press.marks for press in rest)
    assert bench.press(after=QUIET_TIME).marks, "let go and pressed again, it counts"


@held_keys
def test_a_held_key_ticks_one_line(delay: float, rate: float) -> None:
    bench = Bench()
    bench.tick(bench.press())
    bench.tick(bench.press(after=delay))
    for _ in range(50):
        bench.tick(bench.press(after=1 / rate))
    bench.wait(3.0)
    assert bench.ticks == 1


@held_keys
def test_a_key_held_after_many_ticks_marks_nothing(delay: float, rate: float) -> None:
    for ticks in range(1, 8):
        bench = Bench()
        for _ in range(ticks):
            bench.press(after=0.5)
        assert not any(bench.keys.marks(press) for press in bench.hold("space", delay=delay, rate=rate)[1:])


@pytest.mark.parametrize("apart", [0.3, 0.5, 0.9, 1.5])
def test_whoever_ticks_fast_loses_no_press(apart: float) -> None:
    bench = Bench()
    for number in range(10):
        bench.tick(bench.press(after=apart + 0.04 * (number % 3)))
    bench.wait(1.0)
    assert bench.ticks == 10


def test_whoever_taps_on_is_not_shut_out() -> None:
    bench = Bench()
    counted = [bench.keys.marks(bench.press(after=0.65)) for _ in range(10)]
    assert counted == [True, False] * 5


def test_a_pedal_for_turning_pages_marks_with_each_press() -> None:
    # It sends one of the keys that go on; a foot may rest on it long enough for a repeat or two.
    bench = Bench()
    for _ in range(10):
        assert bench.press("pagedown", after=2.5).sure
        assert not bench.press("pagedown", after=0.25).marks
        assert not bench.press("pagedown", after=0.033).marks


def test_another_key_in_between_shows_that_the_first_was_let_go() -> None:
    bench = Bench()
    for key in ("space", "right") * 5:
        assert bench.press(key, after=0.05).marks


@held_keys
def test_a_key_held_down_from_the_caution_before_never_acknowledges_the_next(delay: float, rate: float) -> None:
    bench = Bench()
    bench.gate.show()
    bench.seconds.now += READING_TIME + 0.01
    first = bench.press("a")
    assert bench.gate.passed(first)
    bench.gate.show()  # the next page of cautions, or the next notice
    assert not any(bench.gate.passed(press) for press in bench.hold("a", delay=delay, rate=rate)[1:])


def test_the_key_that_acknowledged_has_to_rest_longer_than_any_keyboard_waits() -> None:
    bench = Bench()
    bench.press("a")
    bench.gate.show()
    assert bench.gate.wait() == pytest.approx(AGAIN_TIME)
    bench.seconds.now += 1.9
    assert not bench.gate.passed(bench.press("a"))
    bench.seconds.now += AGAIN_TIME
    assert bench.gate.open()
    assert bench.gate.passed(bench.press("a"))


def test_a_key_in_the_same_moment_does_not_acknowledge() -> None:
    bench = Bench()
    bench.gate.show()
    assert not bench.gate.open()
    assert not bench.gate.passed(bench.press("a"))


def test_a_key_after_the_reading_time_does() -> None:
    bench = Bench()
    bench.press("space")
    bench.gate.show()
    bench.seconds.now += READING_TIME + 0.01
    assert bench.gate.open()
    assert bench.gate.passed(bench.press("a"))


def test_fifty_keys_typed_ahead_do_not_open_it() -> None:
    bench = Bench()
    bench.gate.show()
    assert not any(bench.gate.passed(bench.press(key, after=0.001)) for key in ("a", "space") * 25)


def test_the_wait_is_counted_from_the_last_key() -> None:
    bench = Bench()
    bench.gate.show()
    bench.seconds.now += 0.5
    bench.press("space")
    assert bench.gate.wait() == pytest.approx(READING_TIME)


def test_a_key_that_was_typed_ahead_of_a_question_acknowledges_nothing() -> None:
    bench = Bench()
    bench.gate.show()
    bench.seconds.now += 5.0
    press = bench.keys.of(Ahead("1"))
    assert press.marks
    assert not bench.gate.passed(press)


def test_keys_typed_ahead_of_a_question_answer_the_one_and_not_the_one_after() -> None:
    bench = Bench()
    keys = [Ahead(key) for key in ("1", "1", "1", "2")]
    assert [bench.keys.marks(bench.keys.of(key)) for key in keys] == [True, False, False, True]
    assert not bench.keys.of(keys[1]).marks, "however often it is asked"


def test_what_was_pressed_before_the_screen_came_up_answers_nothing_on_it() -> None:
    # A slow machine draws the page that a key asked for a second later; the next key was meant for the page before.
    bench = Bench()
    event = Ahead("enter")
    bench.wait(5.0)
    bench.keys.note("enter", event=event)
    bench.wait(0.4)
    bench.keys.painted()
    press = bench.keys.of(event)
    assert press.early
    assert not press.marks
    assert not press.sure
    bench.wait(2.0)
    event = Ahead("enter")
    bench.keys.note("enter", event=event)
    assert bench.keys.of(event).marks
