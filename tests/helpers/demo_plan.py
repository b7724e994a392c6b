"""A short job on the Hollin cue desk, made by hand: tests of the screens do not move with the shipped content."""

from __future__ import annotations

from dataclasses import replace

from benchtui.jobs.plan import Before, Caution, Choice, Limits, Plan, PlanStep, Subject, Wire

IRON = Caution(
    id="iron-burn",
    signal="CAUTION",
    hazard="The iron's tip is at 350 °C and burns at a touch.",
    avoid="Hold it by the grip, put it back in its stand after every joint.",
    consequence="burns to the hand, or a fire on the bench.",
    first_aid="cool the burn under running water for 20 minutes.",
    source="common practice",
    person=True,
)
FUMES = Caution(
    id="rosin-fume",
    signal="WARNING",
    hazard="Rosin fume harms the lungs and can bring on asthma.",
    avoid="Draw it off at the joint, or blow it away from your face.",
    consequence="a cough that stays for life.",
    source="common practice",
    person=True,
)
POWER = Caution(
    id="power-on",
    signal="WARNING",
    hazard="The unit is powered with its lid open.",
    avoid="No loose metal, no rings; one hand for the probe.",
    consequence="a short burns out the board, or your fingers.",
    source="common practice",
    person=True,
    spans=True,
)
ACRYLIC = Caution(
    id="no-alcohol-acrylic",
    signal="NOTICE",
    hazard="Alcohol crazes an acrylic panel.",
    avoid="Wipe it with water and a drop of soap.",
    source="common practice",
)


def fader_wires(name: str, first: int) -> tuple[Wire, ...]:
    rows = (("1", "ground", "black"), ("2", "signal", "yellow"), ("3", "supply", "red"))
    return tuple(
        Wire(
            id=f"{name}-{lug}",
            control=name,
            lug=lug,
            role=role,
            colour=colour,
            gauge="0.14 mm²",
            start=f"{name} lug {lug}",
            end=f"J2 pin {first + index}",
        )
        for index, (lug, role, colour) in enumerate(rows)
    )


def make_step(number: int, step_id: str, text: str, *, on: str = "", **more: object) -> PlanStep:
    titles = {"F1": "fader F1, Main light 1", "F2": "fader F2, Main light 2"}
    subject = Subject(id=on, kind="fader", title=titles[on]) if on else None
    values = {"act": "do", "section": "Wire", **more}
    key = f"{step_id}@{on}" if on else step_id
    return PlanStep(key=key, step_id=step_id, number=number, text=text, subject=subject, **values)  # type: ignore[arg-type]


def demo_plan() -> Plan:
    """Ten steps with every kind of thing a step can hold."""
    steps = (
        make_step(1, "lay-out", "Lay the panel face down on the mat, connector J2 to your left.", section="Prepare"),
        make_step(
            2,
            "wipe",
            "Wipe the panel where the faders sit.",
            section="Prepare",
            cautions=(ACRYLIC,),
            accept="no finger mark is seen under the lamp",
        ),
        *(
            make_step(
                2 + n,
                "solder",
                f"Solder the three wires of F{n} to its lugs.",
                on=f"F{n}",
                repeat=(n, 2),
                cautions=(IRON, FUMES),
                wires=fader_wires(f"F{n}", 3 * n - 2),
                detail=("Tip at 350 °C, 3 seconds a lug at most, 10 seconds between two tries.",),
                accept="the joint is smooth and the wire does not move in it",
                brief=f"Solder F{n}.",
                source="maker's data sheet, 60 mm slide potentiometer",
            )
            for n in (1, 2)
        ),
        make_step(
            5,
            "bank-ohms",
            "Measure between supply and ground of the bank, board unplugged.",
            act="measure",
            section="Inspect",
            required=True,
            limits=Limits(
                what="resistance of the fader bank",
                where="red probe on J2 pin 3 (red wire), black probe on J2 pin 1 (black wire)",
                kind="resistance",
                low=4000.0,
                nominal=5000.0,
                high=6000.0,
                text="4.0 kΩ to 6.0 kΩ",
                working=("two elements of 10 kΩ ±20 % in parallel", "10 kΩ / 2 = 5.0 kΩ, ±20 % is 4.0 kΩ to 6.0 kΩ"),
                sources=("maker's data sheet, 60 mm slide potentiometer",),
                power="off",
                point="bank-ohms",
            ),
        ),
        make_step(
            6,
            "lever",
            "Does every lever move from stop to stop without scraping?",
            act="choose",
            section="Inspect",
            choices=(Choice(text="yes"), Choice(text="no, one scrapes", verdict="fail")),
        ),
        make_step(
            7,
            "first-power",
            "Plug the board into the supply that limits its current to 100 mA.",
            section="First power",
            hold=True,
            cautions=(POWER,),
            begins="power-on",
        ),
        make_step(8, "soak", "Leave it powered.", act="wait", section="First power", seconds=1800.0),
        make_step(9, "unplug", "Unplug the board.", section="First power", ends="power-on"),
        make_step(10, "sign", "Sign for the wiring.", act="sign", section="Close"),
    )
    return Plan(
        kind="procedure",
        id="hollin-wiring",
        title="Wire the fader bank",
        revision=3,
        digest="d" * 64,
        design_id="hollin-cue-desk",
        design_title="Hollin cue desk",
        design_revision="2",
        procedure_kind="assembly",
        purpose="The two faders of the first bank are wired to connector J2, proved and powered for the first time.",
        minutes=45,
        before=Before(
            conditions=("The unit is unplugged", "The wrist strap tests good"),
            tools=("soldering iron", "multimeter", "side cutters"),
            parts=("2 faders", "J2 housing"),
            materials=("solder", "hook-up wire, 0.14 mm², red, black, yellow"),
        ),
        after=("Iron switched off and in its stand", "Clippings swept up"),
        steps=steps,
    )


def plain_plan() -> Plan:
    """The same job without a preliminary page."""
    return replace(demo_plan(), before=Before(), after=())
