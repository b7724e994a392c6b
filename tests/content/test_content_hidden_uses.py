"""Texts that use a thing without saying so are caught, and texts that only speak near it are left alone.

The sentences are invented as a careless author would write them; the hazards are those of `cautions.yaml`.
"""

from __future__ import annotations

import pytest

from benchtui.content.betrayed import hidden_uses
from benchtui.content.cautions import derived
from benchtui.content.library import Library


def said(text: str) -> list[str]:
    return [use for use, _ in hidden_uses(text)]


@pytest.mark.parametrize(
    "text",
    [
        # A small part put in or taken out.
        "Fit 100 nF from the wiper to ground.",
        "Fit a capacitor of 100 nF at the pin.",
        "Replace the resistor of {control}.",
        "Swap the pull-up for one of 4.7 kΩ.",
        "Remove the diode of {control}. Read its band first.",
        "Open the lid. Add 10 µF across the supply.",
        "Take out the multiplexer.",
        "Put in 220 ohm instead.",
        "Replace the pull-down; unplug the harness first.",
        # Another clause of the sentence holds something else.
        "Replace the resistor, and put the old one into a bag.",
        "Change the resistor for another.",
        "Unplug the connector and replace the diode.",
        "Unplug J1, then change the resistor.",
        "Take the resistor off the board and lay it in the tray.",
        "Remove the diode and put it into its bag.",
        "With the harness unplugged, renew the capacitor.",
        "Clip the black lead to ground, and exchange the pull-down.",
        "Replace the clamp diode.",
        "Replace the resistor beside the socket.",
        "Replace the resistor at the plug.",
        "Replace the resistor by the socket.",
        "Fit the resistor from the bag.",
        "Replace the resistor with one from the tray.",
        # Other words for the same act.
        "Substitute a diode of the same kind.",
        "Install the new regulator, pin 1 at the mark.",
        "Mount the capacitor close to the pin.",
        "Attach a resistor from the collector pin to ground.",
        "Connect a capacitor of 100 nF across the supply.",
        "Take the old resistor out.",
        "Lift one end of the diode off the board.",
        "Put the new capacitor back.",
        "Pull the old chip off the board.",
        "The old resistor is replaced by a new one.",
        "The diode is to be changed.",
        "The old diode comes out first.",
        "Replace the fader by one of the same part.",
        "Change the encoder.",
        "Renew the old toggle of this place.",
        # Wires, lugs and joints.
        "Take the wires off the lugs.",
        "Attach the red wire to lug 3.",
        "Free the wire from its lug.",
        "Re-make the joint at lug 2.",
        "Mend the cracked joint.",
        "Draw the bridge off with braid.",
        "Melt the old solder once more.",
        "Heat the pad, and lift the leg.",
        "Feed solder to the lug.",
        "Resolder it.",
        # The verb itself, whatever follows.
        "Solder {control} as listed.",
        "Solder both ends.",
        "Slide the sleeve on and solder a wire to it.",
        "Set the part. Solder two corners, look, then solder the rest.",
        "Unsolder it.",
        "Tin its end.",
        "Do not wait. Solder it now.",
    ],
)  # fmt: skip
def test_a_hidden_use_of_the_iron_is_caught(text: str) -> None:
    assert said(text) == ["iron"]


@pytest.mark.parametrize(
    "text",
    [
        "Plug the multiplexer into its socket, and replace it if a pin is bent.",
        "Fit a resistor of 1 kΩ between two clips.",
        "Connect a resistor of 1 kΩ between two test leads.",
        "Remove the multiplexer from its socket.",
        "Pull the multiplexer straight out of its socket.",
        "Fit the new one into the screw terminals.",
        "Do not replace the resistor.",
        "Never fit a capacitor after the multiplexer.",
        "Measure the resistor of lamp {control} on the carrier.",
        "Take the reading across the resistor.",
        "Replace the cap of {control}. Measure the resistor.",
        "Replace the cap of the fader.",
        "Change the knob of the encoder.",
        "Put the resistors into their tray.",
        "Take the resistor out of its bag.",
        "Put the old diode into a bag and label it.",
        "Add the resistor to the list of spares.",
        "Fit the knob, 5 mm off the panel.",
        "Replace the lead. It reads 0.1 Ω or less.",
        "Fit the lid, then measure the resistor.",
        "Change the value of the resistor in the design.",
        "Look at each joint through the loupe.",
        "A ball, a crack or a grey crust is a bad joint.",
        "Solder has run onto lug and wire.",
        "Solder creeps under the crimp.",
        "The solder is smooth and has run onto the pad.",
        "Take the solder out of the drawer.",
        "Read the label on the solder. Is it the alloy of this unit?",
        "Slide the sleeve onto the wire, far away from the heat.",
        "Move the fader to its stop.",
        "Set every control of the bank to the middle.",
        "Compare the new part with the old.",
        "Hold the new diode beside the old one. Look at the bands.",
        "Move the wire while you measure at the lug.",
        "Put the wire through the hole of the lug.",
        "Wriggle the lead at the receptacle.",
        "Clamp the lead, so that a pull on it does not reach the receptacle.",
        "Without the iron nothing can be mended here.",
    ],
)  # fmt: skip
def test_what_is_plugged_clipped_handled_or_only_measured_needs_no_iron(text: str) -> None:
    assert said(text) == []


HOSTILE = [
    ("mains-inlet", "Plug the supply into the wall."),
    ("mains-inlet", "Plug the laptop into the house socket."),
    ("mains-inlet", "Switch it off at the wall."),
    ("mains-inlet", "Use an extension lead to reach the bench."),
    ("mains-inlet", "Look whether 230 V is there."),
    ("mains-inlet", "Open the power supply and look at its fuse."),
    ("mains-inlet", "Plug the kettle lead in."),
    ("mains-inlet", "Keep the mains plug in sight."),
    ("lithium-cell", "Charge the battery overnight."),
    ("lithium-cell", "Put the Li-ion pack into the case."),
    ("lithium-cell", "Feed it from a LiPo."),
    ("lithium-cell", "Feed the unit from a powerbank."),
    ("lithium-cell", "Pack the spare battery packs."),
    ("drill", "Ream the hole until the bushing passes."),
    ("drill", "Countersink the screw holes."),
    ("drill", "Bore the hole out to 7 mm."),
    ("drill", "The rivet is drilled out."),
    ("saw", "Trim the panel with a fret-saw."),
    ("file", "Deburr the edge."),
    ("file", "File its edge flat."),
    ("file", "Take a needle file to the corner."),
    ("file", "Grind the tab off."),
    ("hot-air", "Shrink the sleeve."),
    ("hot-air", "Slide the sleeve over the lug and shrink it."),
    ("hot-air", "Warm it with a hair dryer."),
    ("hot-air", "Warm air finds the joint that opens."),
    ("adhesive", "Glue the foot on."),
    ("adhesive", "Fix it with a drop of super glue."),
    ("adhesive", "Mix the resin."),
    ("adhesive", "Put some hot glue on the plug."),
    ("isopropanol", "Wipe it with alcohol."),
    ("isopropanol", "Wash the board with flux remover."),
    ("isopropanol", "Rub it with acetone."),
    ("isopropanol", "Clean it with a solvent."),
    ("contact-cleaner", "Put one squirt of cleaner into it."),
    ("contact-cleaner", "Use switch cleaner."),
    ("contact-cleaner", "Work the cleaner in."),
    ("aerosol", "Blow it clear with canned air."),
    ("aerosol", "Spray the board."),
    ("freezer-spray", "Freeze the chip and look whether it starts."),
    ("freezer-spray", "Use cold spray on the joint."),
    ("headphones", "Plug a headset in and listen."),
    ("headphones", "Turn the headphone level up."),
    ("headphones", "Put your earphones in."),
    ("crimp-tool", "Crimp both ends."),
    ("crimp-tool", "Re-crimp the contact."),
    ("crimp-tool", "Crimp {control} as listed."),
    ("torque-driver", "Tighten the nut to 0.5 N m."),
    ("torque-driver", "Tighten it with the torque screwdriver."),
    ("soak", "Leave the unit running until the morning."),
    ("soak", "Start the burn-in."),
    ("tin-lead-solder", "Use tin-lead wire."),
    ("tin-lead-solder", "Use 60/40 wire."),
]


@pytest.mark.parametrize(("use", "text"), HOSTILE)
def test_another_name_of_a_hazard_does_not_slip_past(use: str, text: str) -> None:
    assert use in said(text)
    cautions = Library.open().cautions()
    assert derived([use], [], cautions), "each of them brings a caution"


@pytest.mark.parametrize(
    "text",
    [
        "Plug the unit into the computer.",
        "Pull the USB lead out.",
        "A laptop on its battery feeds nothing into the unit.",
        "Power from the hub is enough.",
        "Measure 5 V at the board.",
        "Look at the drilled holes.",
        "Wear a thing you saw the maker wear.",
        "Save the mapping to a file.",
        "Write a new file beside the old one.",
        "Slide heat-shrink sleeve onto the wire.",
        "Let it cool in the air of the room.",
        "Stick it down once, from the tail end.",
        "Fit the adhesive feet.",
        "Use double-sided adhesive tape.",
        "No alcohol and no cleaner.",
        "Keep alcohol away from the panel.",
        "Never isopropanol on a track.",
        "Brush the dust away until the slot is cleaner than before.",
        "Use a vacuum cleaner with a soft nozzle.",
        "A wire thinner than this breaks.",
        "Move your head out of the way, and your ears too.",
        "Look at the crimp and the joint through the loupe.",
        "The crimp is whole.",
        "Tighten the nut by hand.",
        "The resistor is lead-free.",
        "Is the USB lead soldered? No, it is moulded.",
        "Leave the unit closed.",
        "Leave the lid open.",
        "Do it without a saw.",
        "Use the lever instead of the drill.",
        "Turn the level down.",
        "Blow it clear with the hand blower.",
    ],
)
def test_a_plain_sentence_is_left_alone(text: str) -> None:
    assert said(text) == []


def test_the_iron_is_told_once() -> None:
    assert said("Desolder the old one and fit a new resistor of 270 Ω.") == ["iron"]


def test_a_part_that_is_fitted_is_told_in_its_own_words() -> None:
    assert dict(hidden_uses("Change the resistor."))["iron"] == "fitting a part, which is soldered"
