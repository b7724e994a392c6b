"""Fault finding as the builder sees it: the move to make, what each answer would mean, the suspects, the ways out."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from benchtui.faults.events import (
    PatternSeen,
    PowerSaid,
    ReadingTyped,
    RepairDone,
    TestAnswered,
    TriedAgain,
    Withdrawn,
    WorkaroundDone,
)
from benchtui.faults.standing_fault import trouble
from benchtui.faults.words import asked, in_words, minutes_text, percent
from benchtui.ui.view.answers import answers, together
from benchtui.ui.view.cautions import acknowledge_line, in_full, in_order, in_short
from benchtui.ui.view.head import EMERGENCY
from benchtui.ui.view.rows import Row
from benchtui.ui.view.text import BLANK, bar, cut, line, rule, spread, width_of, window, wrap

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from benchtui.design.testpoints import Expected
    from benchtui.faults.belief import Suspect
    from benchtui.faults.events import HuntEvent
    from benchtui.faults.hunt import HuntState
    from benchtui.faults.views import MoveView, Proposal
    from benchtui.jobs.plan import Caution
    from benchtui.ui.view.shapes import Shapes
    from benchtui.ui.view.text import Line

LEAST_OF_MOVE = 10
"""Lines of the move itself that stay in sight above its answers."""

LEAST_SHARE = 0.03
"""Share below which a suspect is only counted. Our own choice."""

WORDS: Final[Mapping[str, str]] = {"test": "Test", "repair": "Repair", "work-around": "Work-around"}
"""What a kind of move is called before its title; the others are "Now"."""

LABEL = 9
"""Cells of the column of labels."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HuntSight:
    """What is shown beyond the proposal."""

    cautions: tuple[Caution, ...] = ()
    """Cautions of the move, gravest first."""
    unread: tuple[Caution, ...] = ()
    """Those still to be acknowledged before it."""
    page: tuple[Caution, ...] = ()
    """Those of them that stand on this page."""
    armed: bool = False
    waiting: bool = False
    """The move is still being worked out: it is not shown before it stays as it is."""
    too_late: bool = False
    """There is a work-around, but no time for it any more."""
    foretold: tuple[tuple[str, ...], ...] = ()
    """For each test point, what it would read under the leading suspects."""
    beforehand: tuple[str, ...] = ()
    """What has to be set before the first reading."""
    walk_minutes: float = 0.0
    """Minutes of the repair when it is gone through step by step; 0 where it is no procedure."""
    sample: str = ""
    """What stands behind the weights of the suspects: estimates, and how many confirmed repairs."""
    line: str = ""
    """An example of a line about many controls, where one would tell most; else empty."""
    typed: tuple[str, ...] = ()
    """Readings typed so far for this move."""
    picked: bool = False
    """The move was picked by hand instead of the one proposed."""
    better: str = ""
    """Title of a better move found since the one in sight was shown."""
    working: bool = False
    """Show how the limits come about."""
    below: tuple[Line, ...] = ()
    top: int = 0


def hunt_head(state: HuntState, width: int, shapes: Shapes, *, design: str, unit: str, elapsed: float) -> list[Line]:
    """Top of the screen: what is looked for on which unit, and how long there is."""
    what = f" {shapes.dot} ".join(part for part in (design, f"unit {unit}" if unit else "") if part)
    symptom = state.symptom
    whole = symptom is not None and symptom.title.lower().startswith(state.target.title)
    title = f"Find the fault: {state.target.title if whole else trouble(state)}"
    if state.deadline is not None:
        left = state.deadline - elapsed
        right = f"curtain in {minutes_text(left)}" if left > 0 else "curtain is now"
    else:
        made = len(state.answers)
        right = f"{made} test{'' if made == 1 else 's'} made"
        if len(title) + 1 + len(right) > width:  # the count gives way, what is hunted does not
            right = ""
    if state.no_power:
        right = f"no power here, {right}" if state.deadline is not None else "no power here"
    first = spread(line((what or "no unit", "title")), line(EMERGENCY), width)
    *rows, last = wrap(title, width)  # neither what is hunted nor the curtain is ever cut
    if width_of(last) + 1 + len(right) > width:
        return [first, *rows, last, line((right, "strong"))]
    return [first, *rows, spread(last, line((right, "strong")), width)]


def hunt_page(
    proposal: Proposal, sight: HuntSight, *, width: int, height: int, shapes: Shapes
) -> tuple[list[Line], int]:
    """The page, and how far its middle can be scrolled. The answers and the ways out are always in sight."""
    edge = rule(width, mark=shapes.rule)
    ways = _ways_out(proposal, sight, width)
    hidden = sight.unread or sight.waiting
    outcomes = [] if hidden else answers(proposal, width, shapes, most=height - len(ways) - LEAST_OF_MOVE)
    room = max(height - len(outcomes) - len(ways) - (2 if outcomes else 1), 1)
    top = _working_out() if sight.waiting else _move(proposal, sight, width, shapes)
    if sight.below:
        middle = [*top, BLANK, *sight.below]
    else:
        beliefs = suspects(proposal.suspects, width, shapes, most=max(room - len(top) - 1, 3), sample=sight.sample)
        middle = [*top, BLANK, *beliefs] if len(top) + 1 + len(beliefs) <= room else [*top, *beliefs]
    shown, most = window(middle, room, sight.top)
    if most and sight.top < most:
        edge = rule(width, mark=shapes.rule, title=f"more below: {shapes.more} key")
    filled = [*shown, *[BLANK] * (room - len(shown))]
    if outcomes:
        return [*filled, edge, *outcomes, rule(width, mark=shapes.rule), *ways], most
    return [*filled, edge, *ways], most


def _working_out() -> list[Line]:
    """What stands in place of a move until it is known."""
    return [line(("Working out the best move", "title")), line(("a moment: what is shown then stays", "quiet"))]


def on_page(unread: Sequence[Caution], width: int, height: int, shapes: Shapes) -> tuple[Caution, ...]:
    """Those of the cautions to be read that fit whole on a page, at least one; they are acknowledged together.

    Args:
        unread: Cautions still to be read, gravest first.
        width: Cells.
        height: Lines for the middle of the page.
        shapes: Characters of this terminal.
    """
    shown: list[Caution] = []
    used = 3  # the move's title, its minutes where they need a line, and how to acknowledge
    for caution in unread:
        used += len(in_full(caution, width, shapes))
        if shown and used > height:
            break
        shown.append(caution)
    return tuple(shown)


def _title(proposal: Proposal, text: str, width: int) -> list[Line]:
    """The title with minutes and lid at its right, or below it where there is no room: neither is ever cut."""
    cost = _cost(proposal)
    if len(text) + 1 + len(cost) <= width:
        return [spread(line((text, "title")), line((cost, "strong")), width)]
    return [*wrap(text, width, role="title"), line((cost, "strong"))]


def _move(proposal: Proposal, sight: HuntSight, width: int, shapes: Shapes) -> list[Line]:
    word = WORDS.get(proposal.kind, "Now")
    picked = ", picked by you" if sight.picked else ""
    lines = _title(proposal, f"{word}: {proposal.title}{picked}", width)
    if sight.unread:
        total = sum(caution.person for caution in sight.cautions)
        for number, caution in enumerate(sight.page, total - len(sight.unread) + 1):
            lines += in_full(caution, width, shapes, place=f"{number} of {total}" if total > 1 else "")
        what = "the move opens" if len(sight.page) == len(sight.unread) else "the next page opens"
        return [*lines, acknowledge_line(what, armed=sight.armed)]
    if sight.walk_minutes:  # beside the title, so that its minutes and those of the procedure are read together
        lines += together(walk_words(proposal, sight.walk_minutes), width, first="time".ljust(LABEL))
    for caution in in_order(sight.cautions):
        # Acknowledged in full: one line keeps it in sight. A notice was never shown in full, so it stays whole.
        short = cut(in_short(caution, 10 * width, shapes)[0], width)
        lines += [short] if caution.person else in_short(caution, width, shapes)
    if proposal.contradiction:
        lines += wrap(proposal.contradiction, width, role="problem")
    if proposal.opens:
        lines += wrap(proposal.opens.do, width, first="first".ljust(LABEL))
    lines += together(proposal.do, width, role="do")
    for detail in proposal.detail:
        lines += together(detail, width, first=f"  {shapes.dot} ", rest="    ")
    if sight.line:
        lines += wrap(f"what many of them show, in one line: {sight.line}", width, first="s says".ljust(LABEL))
    if not sight.typed:
        for text in sight.beforehand:
            lines += wrap(text, width, first="first".ljust(LABEL))
    if proposal.tools or proposal.parts:
        lines += wrap(", ".join((*proposal.tools, *proposal.parts)), width, first="take".ljust(LABEL))
    # What was read stands in one line each, so that the place to be read next is in sight beside its field.
    for point, typed in zip(proposal.expected, sight.typed, strict=False):
        lines.append(cut(line("read".ljust(LABEL), (typed, "strong"), (f"   {point.where}", "quiet")), width))
    for number, point in enumerate(proposal.expected):
        if number < len(sight.typed):
            continue
        told = sight.foretold[number] if number < len(sight.foretold) else ()
        before = proposal.expected[number - 1].where if number > len(sight.typed) else ""
        lines += test_point(point, width, foretold=told, before=before)
        if sight.working:
            for text in point.working:
                lines += wrap(text, width, first="  ", role="quiet")
    lines += together(proposal.why, width, first="why".ljust(LABEL), role="quiet") if proposal.why else []
    return lines


def walk_words(proposal: Proposal, minutes: float) -> str:
    """What the two times of a repair are: the act alone, and its procedure with every check.

    Args:
        proposal: The repair.
        minutes: Of the procedure.
    """
    late = ""
    if proposal.reserve is not None and proposal.reserve + proposal.minutes < minutes:
        late = "; that is too long before curtain"
    alone = minutes_text(proposal.minutes)
    return f"{alone} for a practised hand; step by step, with every check, about {minutes_text(minutes)}{late}"


def _cost(proposal: Proposal) -> str:
    parts = [minutes_text(proposal.minutes)] if proposal.minutes else []
    if proposal.opens:
        parts.append(f"opens {proposal.opens.title}")
    return ", ".join(parts)


def test_point(point: Expected, width: int, *, foretold: Sequence[str] = (), before: str = "") -> list[Line]:
    """Where the probes go, what a healthy unit reads, and what it would read under the leading suspects.

    Args:
        point: The test point.
        width: Cells.
        foretold: What it would read, in words.
        before: Where the probes went for the point above it; what stays there is not said twice.
    """
    power = f", power {point.power.upper()}" if point.power else ""
    places, _, stands = point.where.rpartition(", ")
    same = LABEL + len(point.where) > width and places == before.rpartition(", ")[0]
    lines = wrap(f"as before, {stands}" if same else point.where, width, first="probes".ljust(LABEL))
    lines.append(line("healthy".ljust(LABEL), (point.text, "value"), (power, "strong")))
    if foretold:
        lines += together("; ".join(foretold), width, first="else".ljust(LABEL), role="quiet")
    return lines


def suspects(found: Sequence[Suspect], width: int, shapes: Shapes, *, most: int, sample: str = "") -> list[Line]:
    """The suspects as bars, each with its share and a word for it, and what their weights are from."""
    lines = [line(("Suspects", "title"))]
    if sample:
        lines = wrap(f"Suspects, from {sample}", width, role="title")
    likely = max(sum(suspect.share >= LEAST_SHARE for suspect in found), 2)
    count = 0
    for suspect in found[:likely]:
        picture = bar(suspect.share, 10, full=shapes.full, half=shapes.half, empty=shapes.empty)
        left = f"{picture} {percent(suspect.share):>5}  "
        # Whole, on as many lines as it takes: what tells one suspect from the next often stands at the end.
        head, *more = wrap(f"{suspect.title} ({suspect.word})", width, first=left, rest=" " * width_of(line(left)))
        if count >= 2 and len(lines) + 1 + len(more) > most:
            break
        lines += [line((left, "value"), *head[1:]), *more]
        count += 1
    shown = found[:count]
    rest = found[len(shown) :]
    if rest:
        share = sum(suspect.share for suspect in rest)
        others = f"and {len(rest)} other{'' if len(rest) == 1 else 's'}, together {percent(share)}"
        lines.append(line((others, "quiet")))
    return lines


def _ways_out(proposal: Proposal, sight: HuntSight, width: int) -> list[Line]:
    """The runner-up and the work-around, each in a line."""
    lines: list[Line] = []
    other = proposal.runner_up
    if sight.picked:
        lines.append(line((" r ", "key"), " back to the move that was proposed"))
    elif sight.waiting or (proposal.kind == "close" and sight.too_late):
        pass
    elif sight.better:
        lines.append(cut(line((" r ", "key"), " or: ", (sight.better, "strong")), width))
    elif other and other.kind != "work-around":  # that one stands in the line below
        more = f", about {minutes_text(proposal.costs_more_minutes)} more" if proposal.costs_more_minutes > 0.05 else ""
        lines.append(_way(" r ", " or: ", other.title, more, width))
    way = proposal.workaround
    if way and way == proposal.move:
        if proposal.reserve is not None:
            late = f"within {minutes_text(proposal.reserve)}" if proposal.reserve > 0 else "now"
            lines.append(line((f"this is the way out: begin it {late}", "quiet")))
    elif way and proposal.kind == "try again":
        lines.append(cut(line(("if it is still there, the way out: ", "quiet"), way.title), width))
    elif way:
        times = f", {minutes_text(way.minutes)}{can_wait(proposal)}"
        lines.append(_way(" w ", " way out: ", way.title, times, width))
    elif sight.too_late:
        lines.append(line(("there is no time any more for a work-around before curtain", "quiet")))
    elif proposal.kind in ("test", "repair"):
        lines.append(line(("there is no work-around for this", "quiet")))
    return lines


def can_wait(proposal: Proposal) -> str:
    """How long the work-around can wait, from now and once the move in sight is made; empty where there is no hurry.

    Where the move takes so little that the two are the same to read, only the time from now is said.
    """
    if proposal.reserve is None:
        return ""
    now = proposal.reserve if proposal.waits is None else proposal.waits
    if now <= 0:
        return "; begin it now"
    if proposal.reserve <= 0:
        return f"; it can wait {minutes_text(now)}, not after this"
    then = f", {minutes_text(proposal.reserve)} after this" if now - proposal.reserve >= 1.0 else ""
    return f"; it can wait {minutes_text(now)}{then}"


def _way(key: str, word: str, title: str, times: str, width: int) -> Line:
    """Another way in a line: its title gives way, its minutes never do."""
    room = width - width_of(line(key, word, times))
    return (*line((key, "key"), word), *cut(line(title), room), *line((times, "quiet")))


def middle_of(page: Sequence[Line]) -> int:
    """How many lines of a page stand above its first rule: the part that can be scrolled."""
    return next((number for number, row in enumerate(page) if row and row[0].role == "rule"), len(page))


ORDER: Final = (
    "They stand by the last figure: the minutes to a working input, and more where it may end with the work-around, "
    "for what that would lose."
)
"""Said above the list of all moves, whose second figure alone does not tell its order."""


def move_rows(moves: Sequence[MoveView]) -> list[Row]:
    """Every move as a list: those on offer first, then the rest with the reason."""
    rows: list[Row] = [Row(text="On offer, best first", right="by itself / to a working input / losses counted")]
    offered = True
    for move in moves:
        if offered and move.expected is None:
            rows.append(Row(text="Not on offer"))
            offered = False
        times = minutes_text(move.minutes)
        if move.expected is not None:
            times = f"{times} / {minutes_text(move.expected)} / {minutes_text(move.counted)}"
        rows.append(Row(id=move.id, text=f"{move.kind}: {move.title}", right=times, under=move.note))
    return rows


def _around(state: HuntState, number: int) -> bool:
    """Whether what was tried at an event was a work-around rather than a repair; one taken back before was not."""
    before = state.events[:number]
    back = {each.event for each in before if isinstance(each, Withdrawn)}
    made = [each for at, each in enumerate(before) if at not in back and isinstance(each, RepairDone | WorkaroundDone)]
    return bool(made) and isinstance(made[-1], WorkaroundDone)


def _said(state: HuntState, number: int, event: HuntEvent) -> str:
    """One event of a hunt in a line; empty for what is no move."""
    if isinstance(event, TestAnswered):
        test = next((each for each in state.model.tests if each.id == event.test), None)
        if test is None:
            return ""
        words = next((each.text for each in test.outcomes if each.id == event.outcome), event.outcome)
        read = f" (read {', '.join(event.typed)})" if event.typed else ""
        before = "known before: " if event.before else ""
        return f"{before}{asked(test.title)} {in_words(words, state.target.title)}{read}"
    if isinstance(event, ReadingTyped):
        title = next((each.title for each in state.model.tests if each.id == event.test), event.test)
        return f"{title}: read {event.typed}"
    if isinstance(event, RepairDone):
        title = next((each.title for each in state.model.repairs if each.id == event.repair), "")
        return f"{title}: {'tried before, did not help' if event.before else 'done'}" if title else ""
    if isinstance(event, WorkaroundDone):
        return next((f"{each.title}: done" for each in state.model.workarounds if each.id == event.workaround), "")
    if isinstance(event, TriedAgain) and event.unhealthy:
        title = next((each.title for each in state.model.tests if each.id == event.unhealthy), event.unhealthy)
        return f"{title}: not healthy after the repair, so not plugged in"
    if isinstance(event, TriedAgain):
        if _around(state, number):
            return "" if event.gone is None else f"What stands in {'serves' if event.gone else 'does not serve'}"
        return "" if event.gone is None else f"The symptom is {'gone' if event.gone else 'still there'}"
    if isinstance(event, PowerSaid):
        return "There is power again" if event.there else "There is no power here"
    return event.words if isinstance(event, PatternSeen) else ""


def trail(state: HuntState, width: int) -> list[Line]:
    """What was tried and said so far, withdrawn answers among it."""
    lines = [line(("So far", "title"))]
    for number, event in enumerate(state.events):
        said = _said(state, number, event)
        if not said:
            continue
        gone = "taken back: " if number in state.withdrawn else ""
        lines += wrap(f"{gone}{said}", width, rest="  ", role="quiet")
    return lines if len(lines) > 1 else []
