"""Working through a job, one key at a time, whatever the keys come from: the screen and the line mode both drive this.

Each method is one act of the builder. It writes what has to be written through the job's `Run`, which puts it into the
record first, and gives back what to say and what to ask for next. A refusal is a sentence, never an exception.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from benchtui.jobs import events as ev
from benchtui.jobs.readings import BY_METER, is_reading, shown
from benchtui.jobs.run_sitting import strap_tested
from benchtui.jobs.sitting import STRAP_TEST
from benchtui.jobs.steps import TO_DO, Status
from benchtui.jobs.twice import apart_text
from benchtui.ui.other_marks import UNREAD as UNREAD
from benchtui.ui.other_marks import OtherMarks
from benchtui.ui.power import NOT_OFF, in_the_way, lead_out, said_off
from benchtui.ui.reply import Reply as Reply
from benchtui.ui.reply import answered
from benchtui.ui.strap import Strap
from benchtui.ui.view.ages import countdown
from benchtui.ui.view.signature import meaning
from benchtui.ui.view.stopped import stopped
from benchtui.ui.why_again import DEFECT_FIRST, SLIPPED, WHY_AGAIN, has_failed, why_asked, why_given

if TYPE_CHECKING:
    from collections.abc import Sequence

    from benchtui.jobs.plan import Caution
    from benchtui.jobs.run import Run

OVERRIDE_ASKED: Final = "The meter's calibration has run out. It is used because"
"""Asked before a reading with a meter past its calibration."""

SECOND: Final = "kept, and out of sight: take the probes off and measure once more"
"""Said when the first of two readings is kept."""

WITNESS_ASKED: Final = "Who looks on"
NO_WITNESS: Final = "this is no witness point"


def to_go(left: float) -> str:
    """What is said of a wait with that many seconds left, when a key would go past it."""
    return f"{countdown(left)} to go; e ends the wait early, with a reason"


class Work(OtherMarks):
    """A job in hand: what is read, marked, answered and signed at its steps."""

    def __init__(self, run: Run, *, override: str = "") -> None:
        super().__init__(run)
        self.strap = Strap(run.bench)
        self._asked = ("", "")
        """A reading that was doubted, and the question put."""
        self._typed = ""
        """A reading that waits for the reason why it is taken again, or why its meter may be used."""
        self._picked = 0
        """Number of an answer that waits for the reason why it is another one than before."""
        self.overridden = override
        """Why a meter past its calibration is used, once said for this sitting."""

    @answered
    def work_here(self) -> Reply:
        """Take the step in sight in hand, where the order allows it."""
        if self.known.status not in TO_DO:
            return Reply(f"this step is {self.known.status}: u opens it again", problem=True)
        reason = self.state.blocked(self.key)
        if reason:
            return Reply(reason, problem=True)
        self.run.act(ev.MovedTo(step=self.key))
        self._sight = ""
        self.take_up()
        return Reply()

    @answered
    def acknowledge(self, shown: Sequence[Caution] = ()) -> Reply:
        """The cautions in sight were read; each is written down by the digest of its words.

        Args:
            shown: Those that stood whole on the page; the one to be read next when empty.
        """
        caution = self.unread
        if caution is None:
            return Reply("there is no caution to acknowledge here")
        unread = {each.digest for each in self.state.unread(self.key)}
        for each in [each for each in shown if each.digest in unread] or [caution]:
            self.run.acknowledge(each)
        if self.unread is None:
            self.take_up()
        return Reply()

    @answered
    def go_on(self) -> Reply:
        """Done with the step in hand, and on to the next; when looking elsewhere, back to the step in hand."""
        if self.looking:
            self._trail.left(self.key)
            self._sight = ""
            return Reply(at_end=not self.state.current)
        key = self.state.current
        if not key:
            return Reply(at_end=True)
        if self.unread is not None:
            return Reply(UNREAD, problem=True)
        reason = self.state.blocked(key)
        if reason:
            return Reply(reason, problem=True)
        if self.known.status is Status.HELD:
            return self._past_held(key)
        if self.known.status is Status.FAILED:
            return self._past_failure(key)
        if self.strap.due(self.step):
            return Reply(ask="strap")
        reply = self._prove(key)
        if reply is not None:
            return reply
        self.run.act(ev.StepDone(step=key))
        return self._arrived()

    def _prove(self, key: str) -> Reply | None:
        """What the step still asks for before it can be called done; None when nothing."""
        step, known = self.step, self.known
        if step.act == "measure" and step.limits and known.to_read:
            return Reply(ask="reading")
        if step.choices and (not known.choice or known.fresh):
            return Reply(f"pick an answer: 1 to {len(step.choices)}", problem=True)
        if step.trace and not known.fitted:
            return Reply(ask="part")
        if step.act == "sign" and not known.signed:
            return Reply(ask="sign")
        if step.act == "wait" and (known.timer is None or not known.timer.ended):
            left = self.run.left_to_wait()
            if left is None or known.fresh:
                self.run.start_wait()
                return Reply("the wait has begun")
            if left > 0:
                return Reply(to_go(left), problem=True)
            self.run.end_wait()
        if step.act == "call" and not known.returned:
            return self._call(key)
        return None

    def _call(self, key: str) -> Reply:
        called = self.run.bench.call(self.run, key)
        if called.state.closed:  # it came to its end, and the program was killed before this job was told
            return self.returned(called.job, called.state.closed)
        return Reply(open=called.job)

    @answered
    def returned(self, job: str, result: str) -> Reply:
        """The procedure that was called has come to its end."""
        key = self.state.current
        if not key or self.state[key].called != job:
            return Reply()
        self.run.act(ev.CallReturned(step=key, called=job, result=result))
        if not self.state[key].returned:
            # It is not opened again by itself: whoever closed it with nothing done wanted to be out of it.
            return Reply("nothing was done in it, so this step is still to be done", problem=True)
        return self.go_on()

    def _past_held(self, key: str) -> Reply:
        """What waits is not done by a key that goes on; where the order allows it, the work goes on elsewhere."""
        after = self.state.next_to_do(after=key)
        if not after or self.state.blocked(after):
            return self.held_said
        self.run.act(ev.MovedTo(step=after))
        return self._arrived()

    def _past_failure(self, key: str) -> Reply:
        if not self.state.passable(key):
            return Reply(stopped(self.state, key), problem=True)
        after = self.state.next_to_do(after=key)
        if not after or after == key:
            return Reply("what is left has failed or waits", at_end=True)
        self.run.act(ev.MovedTo(step=after))
        return self._arrived()

    @answered
    def reading(self, typed: str, *, reason: str = "", sure: bool = True) -> Reply:
        """A reading was typed. One in doubt is asked about first, and kept when the same is given again.

        Args:
            typed: What was typed.
            reason: Why it is not the first reading.
            sure: The key was pressed on purpose, after the question could be read.
        """
        if self._held:
            return self.held_said
        if first := self.first_asked:
            return Reply(ask=first)
        key = self.key
        question = self.run.question(typed, step=key)
        if question and (self._asked != (typed, question) or not sure):
            quick = "That was too quick to have been read. " if self._asked == (typed, question) else ""
            self._asked = (typed, question)
            return Reply(f"{quick}{question} Enter again keeps it as typed.", problem=True, ask="reading")
        if self._meter_expired() and not self.overridden:
            self._typed = typed
            return Reply(ask="override")
        if self.known.asks_why and not reason:
            self._typed = typed
            return Reply(ask="why again")
        self.run.read(typed, step=key, reason=reason, override=self.overridden, asked=question)
        self._asked, self._typed = ("", ""), ""
        known = self.state[key]
        if known.first is not None:
            return Reply(SECOND)
        if known.differ:
            return Reply(f"{apart_text(self.step)}: measure again, and then once more")
        verdict = known.readings[-1].verdict
        if verdict != "fail" and self.state.plan.id == STRAP_TEST:
            strap_tested(self.run.bench.store, typed)
        if verdict == "pass":
            self.run.act(ev.StepDone(step=key))
            return self._arrived()
        if verdict == "near limit":
            return Reply("near the limit: it passes, and is worth a second look. Space keeps it and goes on")
        return Reply("outside the limits: m measures again, x writes down the defect", problem=True)

    @property
    def first_asked(self) -> str:
        """What is asked before a reading of the step in sight, as `Reply.ask` names it; empty when nothing is."""
        if self.strap.due(self.step):
            return "strap"
        return "power" if in_the_way(self.run, self.step.limits) else ""

    @answered
    def power_off(self, typed: str) -> Reply:
        """Whether the power is off now, before a reading that is taken without it."""
        if not said_off(typed):
            return Reply(f"{NOT_OFF}; Esc leaves the reading", problem=True)
        return Reply(lead_out(self.run), ask="reading")

    def _meter_expired(self) -> bool:
        meter, limits = self.run.bench.meter, self.step.limits
        if limits is None or limits.kind not in BY_METER:
            return False
        return meter is not None and meter.past_due(self.run.bench.clock().date().isoformat())

    @property
    def _waits(self) -> str:
        """The reading that waits for an answer, as it will be shown."""
        return shown(self.step.limits, self._typed)

    @property
    def override_asked(self) -> str:
        """Asked before a reading with a meter past its calibration is kept; it names the reading."""
        return f"{self._waits} is read. {OVERRIDE_ASKED}"

    def override(self, why: str) -> Reply:
        """Why a meter past its calibration is used all the same, after the reading itself."""
        if not why.strip():
            return Reply("say why this meter may be used, or choose another at the bench", problem=True)
        if is_reading(self.step.limits, why):
            return Reply(f"{self._waits} is not kept yet: say in words why this meter may be used", problem=True)
        self.overridden = why.strip()
        return self.reading(self._typed)

    @property
    def why_asked(self) -> str:
        """The question before another reading or answer at the step in sight is kept."""
        return WHY_AGAIN if self._of_the_bench else why_asked(self.known)

    @property
    def _of_the_bench(self) -> bool:
        """The work is about the strap, the meter or the iron: another lead there is no work on the unit."""
        return self.run.bench.once_a_sitting(self.state.plan.id)

    def reading_again(self, reason: str) -> Reply:
        """The reason for a second reading, after the reading itself."""
        given = why_given(reason)
        if not given:
            return Reply("say why it is done again: the number or a few words", problem=True)
        if not self.step.choices and is_reading(self.step.limits, given):
            return Reply(
                f"{self._waits} is not kept yet: the number, or say in words why it is done again", problem=True
            )
        if has_failed(self.known) and given != SLIPPED and not self._of_the_bench:
            # What was done to the unit makes other proofs void too: the defect and its rework say which.
            first = self.state.written(self.key)
            then = (
                "d begins the rework of the defect, and says what was touched" if first else "x writes down the defect"
            )
            return Reply(f"{DEFECT_FIRST}: {then}", problem=True, ask="" if first else "defect first")
        if self.step.choices:
            return self.choose(self._picked, reason=given)
        return self.reading(self._typed, reason=given)

    @answered
    def choose(self, number: int, *, reason: str = "") -> Reply:
        """Pick an answer by its number; `reason` says why it is another one than before."""
        if self._held:
            return self.held_said
        if self.strap.due(self.step):
            return Reply(ask="strap")
        choices = self.step.choices
        if not 1 <= number <= len(choices):
            return Reply(f"there are {len(choices)} answers", problem=True)
        choice = choices[number - 1]
        key = self.key
        if self.known.asks_why and self.known.choice != choice.text and not reason:
            self._picked = number
            return Reply(ask="why again")
        self.run.act(ev.ChoiceMade(step=key, choice=choice.text, reason=reason))
        if choice.verdict == "fail":
            # What was seen is asked for at once: words typed ahead go into its field, and are no keys of the screen.
            return Reply(
                f"{choice.text}: x writes down the defect", problem=True, ask="" if self.state.written(key) else "fail"
            )
        self.run.act(ev.StepDone(step=key))
        return self._arrived()

    @answered
    def sign(self, name: str) -> Reply:
        """Sign the step in hand."""
        if self._held:
            return self.held_said
        key = self.key
        self.run.act(ev.SignedOff(step=key, name=name.strip(), meaning=meaning(self.state, key)))
        self.run.act(ev.StepDone(step=key))
        return self._arrived()
