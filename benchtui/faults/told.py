"""A hunt as lines of text, from its events and its model: what was tried, what came of it, how it ended."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, Protocol

from benchtui.errors import BenchError
from benchtui.faults.events import KINDS
from benchtui.faults.huntstate import PASSED_OVER
from benchtui.faults.model_text import read_model_text
from benchtui.faults.words import asked, in_words

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
    from typing import Any

    from benchtui.faults.model import FaultModel


class Kept(Protocol):
    """An event as the record keeps it."""

    @property
    def job(self) -> str: ...
    @property
    def kind(self) -> str: ...
    @property
    def time(self) -> str: ...
    @property
    def data(self) -> Mapping[str, Any]: ...


def teller(events: Iterable[Kept], text: Callable[[str], str]) -> Callable[[Kept], Sequence[str]]:
    """What tells an event of any of these hunts in words, by the model that the record kept with it.

    Args:
        events: Events of a unit or a job, those that began its hunts among them.
        text: Gives a text of the record by its digest; raises a `BenchError` where it has none.

    Returns:
        A function from an event to its lines; none for what is no event of a hunt.
    """
    events = tuple(events)
    begun = {event.job: event for event in events if event.kind == "hunt-started"}
    around = {(event.job, event.time) for event, so in zip(events, _of_work_arounds(events), strict=True) if so}
    models: dict[str, FaultModel | None] = {}

    def tell(event: Kept) -> Sequence[str]:
        if not event.kind.startswith("hunt-"):
            return ()
        start = begun.get(event.job)
        if event.job not in models:
            try:
                models[event.job] = read_model_text(text(str(start.data.get("digest")))) if start else None
            except BenchError:  # the ids stand in for the words
                models[event.job] = None
        it = str((start.data.get("target") or {}).get("title", "")) if start else ""
        own = [(event.job, event.time) in around]
        return [words for _, words in hunt_lines([event], models[event.job], it=it, around=own)]

    return tell


def hunt_lines(
    events: Sequence[Kept],
    model: FaultModel | None,
    *,
    it: str = "",
    around: Sequence[bool] | None = None,
) -> Iterator[tuple[str, str]]:
    """Time and words of each event of a hunt.

    Args:
        events: All events of the job, in order.
        model: The fault model it was led by; ids stand in for titles where it is not to be had.
        it: What the hunt is about, where its first event is not among them.
        around: Of each event, whether it tried a work-around; as the events themselves say when None.
    """
    symptoms = {each.id: each.title for each in model.symptoms} if model else {}
    tests = {test.id: test for test in model.tests} if model else {}
    titles = {item.id: item.title for group in _groups(model) for item in group}
    around = _of_work_arounds(events) if around is None else around
    for event, of_work_around in zip(events, around, strict=True):
        data = event.data
        if event.kind == "hunt-started":
            words = f"began: {data.get('title', '')}" + (
                f", curtain in {data['deadline']:g} min" if data.get("deadline") else ""
            )
            yield event.time, words
            it = str((data.get("target") or {}).get("title", "")) or it
            if data.get("symptom"):
                name = str(data["symptom"])
                yield event.time, f"it does this: {symptoms.get(name, name)}"
            if data.get("locked"):
                yield event.time, "another hunt had left a short inside: measured before anything else"
            if data.get("words"):
                yield event.time, f"in the player's words: {data['words']}"
        elif event.kind == "hunt-test":
            name, outcome = str(data.get("test")), str(data.get("outcome"))
            known = {each.id: each.text for each in tests[name].outcomes} if name in tests else {}
            text = in_words(known.get(outcome, outcome.replace("-", " ")), it or "it")
            typed = ", ".join(data.get("typed", ()))
            read = f" (read {typed})" if typed else ""
            before = "known before: " if data.get("before") else ""
            yield event.time, f"test, {before}{asked(titles.get(name, name))} {text}{read}"
        elif event.kind == "hunt-reading":
            name = str(data.get("test"))
            yield event.time, f"read {data.get('typed')}: {titles.get(name, name)}"
        elif event.kind == "hunt-caution":
            yield event.time, f"read the caution {data.get('caution')}"
        elif event.kind == "hunt-repair":
            note = f": {data['note']}" if data.get("note") else ""
            word = "repaired before, without success" if data.get("before") else "repaired"
            yield event.time, f"{word}: {titles.get(str(data.get('repair')), data.get('repair'))}{note}"
        elif event.kind == "hunt-walk":
            yield event.time, f"the repair, step by step, is job {data.get('job')}"
        elif event.kind == "hunt-workaround":
            name = str(data.get("workaround"))
            yield event.time, f"work-around: {titles.get(name, name)}"
        elif event.kind == "hunt-not-possible":
            why = f", because {data['why']}" if data.get("why") else ""
            name = str(data.get("move"))
            yield event.time, f"cannot be done here{why}: {titles.get(name, name)}"
        elif event.kind == "hunt-pattern":
            yield event.time, f"seen on many controls: {data.get('text')} ({data.get('words')})"
        elif event.kind == "hunt-note":
            yield event.time, f"note: {data.get('text')}"
        elif event.kind == "hunt-deadline":
            minutes = data.get("minutes")
            yield event.time, "no hurry" if minutes is None else f"curtain {minutes:g} min after the hunt began"
        elif event.kind == "hunt-power":
            yield event.time, "there is power again" if data.get("there") else "there is no power here"
        elif event.kind == "hunt-short":
            what = "found that a short may be inside" if data.get("found", True) else "has the power free again"
            yield event.time, f"another hunt on this unit, {data.get('job')}, {what}"
        elif event.kind == "hunt-withdrawn":
            yield event.time, "the answer before was taken back"
        elif event.kind == "hunt-again" and data.get("unhealthy"):
            name = str(data["unhealthy"])
            yield event.time, f"not healthy after the repair, so not plugged in: {titles.get(name, name)}"
        elif event.kind == "hunt-again" and of_work_around:
            yield event.time, _serves(data)
        elif event.kind == "hunt-again":
            gone = {True: "gone", False: "still there", None: "cannot tell"}[data.get("gone")]
            tries = data.get("tries", 1)
            times = f" in {tries} tries" if data.get("gone") and tries > 1 else ""
            yield event.time, f"the symptom tried again: {gone}{times}"
        elif event.kind == "hunt-neighbours":
            which = str(data.get("which") or "one of them")
            left = ", and is left for a hunt of its own" if data.get("left") else ""
            said = "they all work" if data.get("well") else f"{which} does not work{left}"
            yield event.time, f"neighbours tried: {said}"
        elif event.kind == "hunt-closed":
            yield event.time, f"ended: {_ENDED.get(str(data.get('result')), data.get('result'))}"
            for key, label in (("found", "found"), ("done", "done"), ("parts", "parts"), ("conditions", "conditions")):
                if data.get(key):
                    yield event.time, f"{label}: {data[key]}"
            if data.get("fault"):
                yield event.time, f"cause confirmed: {titles.get(str(data['fault']), data['fault'])}"
        else:
            yield event.time, event.kind.removeprefix("hunt-").replace("-", " ")


_ENDED: Final[Mapping[str, str]] = {
    "work-around": "a work-around serves, and the fault was left as it was",
    "not reproduced": "it could not be reproduced",
    "open": "left open",
}
"""How a hunt ended, where its word alone does not say it."""

_PUT_IN: Final = ("hunt-repair", "hunt-workaround")
"""What is tried after it was done."""


def _of_work_arounds(events: Iterable[Kept]) -> list[bool]:
    """Of each event, whether it tried a work-around: that may serve, and what it stands in for is not mended.

    What was taken back before a trial is not what was tried.
    """
    made: dict[str, list[str]] = {}
    found = []
    for event in events:
        tried = ""
        own = made.setdefault(event.job, [])
        if event.kind == "hunt-withdrawn":
            del own[-1:]
        elif event.kind in KINDS and not issubclass(KINDS[event.kind], PASSED_OVER):
            tried = next((kind for kind in reversed(own) if kind in _PUT_IN), "") if event.kind == "hunt-again" else ""
            own.append(event.kind)
        found.append(tried == "hunt-workaround")
    return found


def _serves(data: Mapping[str, Any]) -> str:
    """What came of trying a work-around."""
    words = {True: "it serves, and the fault was left as it was", False: "it does not serve", None: "cannot tell"}
    return f"the work-around tried: {words[data.get('gone')]}"


def _groups(model: FaultModel | None) -> tuple[Iterable[Any], ...]:
    return (model.tests, model.repairs, model.workarounds, model.faults) if model else ()
