"""A spares kit asked for in words: what is understood, what is refused with a sentence, and what is said of the kit."""

from __future__ import annotations

import pytest
from helpers.fault_worlds import demo, shipped_model

from benchtui.cli import main
from benchtui.errors import CalcError
from benchtui.faults.spares import chance_enough
from benchtui.faults.spares_told import INPUTS, kit_for, rows_of, sources_of, still_needed, summary_of, wish_of


def test_the_habits_of_a_tour_are_taken_when_only_the_shows_are_said() -> None:
    """Three hours and 200 moves a show: trade notes, common practice."""
    wish = wish_of({"shows": "20"})
    assert (wish.hours, wish.units, wish.confidence) == (60.0, 1, 0.95)
    assert wish.moves_per_hour == pytest.approx(200 / 3)
    assert [entry.key for entry in still_needed({})] == ["shows"]


@pytest.mark.parametrize(
    ("texts", "key", "words"),
    [
        ({}, "shows", "is needed"),
        ({"shows": "0"}, "shows", "at least 1"),
        ({"shows": "many"}, "shows", "like 8"),
        ({"shows": "20", "show": "3 h"}, "", "no input 'show'"),
        ({"shows": "20", "confidence": "100 %"}, "confidence", "between 0 and 100 %"),
        ({"shows": "20", "most-money": "50"}, "most-money", "needs prices"),
        ({"shows": "20", "prices": "board"}, "prices", "'board' is not a price"),
        ({"shows": "20", "prices": "board=nan"}, "prices", "is not a price"),
        (
            {"shows": "20", "prices": "a=1", "most-money": "5", "most-mass": "1 kg"},
            "most-money",
            "one of mass and money",
        ),
        ({"shows": "20", "most-mass": "1 V"}, "most-mass", "is a voltage"),
    ],
)
def test_what_cannot_be_used_gets_one_sentence(texts: dict[str, str], key: str, words: str) -> None:
    with pytest.raises(CalcError) as caught:
        wish_of(texts)
    assert caught.value.key == key
    assert words in str(caught.value)


def test_more_desks_and_more_shows_ask_for_more() -> None:
    design, _ = demo()
    model = shipped_model()
    one, two, long = (
        kit_for(design, model, wish_of(texts))
        for texts in ({"shows": "20"}, {"shows": "20", "units": "2"}, {"shows": "60"})
    )
    assert one.mass < two.mass
    assert one.mass < long.mass
    # Each line's chance is that of the Poisson table (MIL-HDBK-338B section 5.3.8).
    for line in one.lines:
        assert line.enough == pytest.approx(chance_enough(line.expected, line.spares))


def test_a_limit_of_mass_is_kept_and_said_aloud() -> None:
    design, _ = demo()
    wish = wish_of({"shows": "20", "most-mass": "150 g"})
    found = kit_for(design, shipped_model(), wish)
    assert found.mass <= 0.15
    assert not found.reached
    assert "Within this limit the kit is enough on only" in summary_of(found, wish)[1]


def test_money_can_be_limited_where_every_control_the_board_and_the_lead_have_a_price() -> None:
    design, _ = demo()
    model = shipped_model()
    with pytest.raises(CalcError, match="no price"):
        kit_for(design, model, wish_of({"shows": "20", "prices": "board=30", "most-money": "60"}))
    with pytest.raises(CalcError, match="no part has the id 'bord'"):
        kit_for(design, model, wish_of({"shows": "20", "prices": "bord=30"}))
    ids = [line.item.id for line in kit_for(design, model, wish_of({"shows": "20"})).lines]
    dear = {*(each.part.id for each in design.controls), design.board.part, design.file.power.lead}
    prices = " ".join(f"{id}=4" for id in ids if id in dear)
    found = kit_for(design, model, wish_of({"shows": "20", "prices": prices, "most-money": "30"}))
    assert 0 < found.price <= 30
    assert {line.item.id for line in found.lines} == dear  # small parts without a price are left out, and that is said
    assert "parts that have a price" in " ".join(
        summary_of(found, wish_of({"shows": "20", "prices": prices, "most-money": "30"}))
    )


def test_what_is_carried_stands_first_and_every_part_has_a_source() -> None:
    design, _ = demo()
    found = kit_for(design, shipped_model(), wish_of({"shows": "20"}))
    counts = [count for count, _ in rows_of(found)]
    assert counts == sorted(counts, key=lambda count: count == "none")
    assert len(sources_of(found)) >= len(found.lines)
    assert all(entry.help for entry in INPUTS)


def test_the_command_prints_the_kit_and_its_sources(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["spares", "hollin-cue-desk", "shows=20"]) == 0
    said = capsys.readouterr().out
    assert "5 ×   slide potentiometer" in said
    assert "source: chances: steady failures by Poisson" in said
    assert main(["spares", "hollin-cue-desk", "shows=20", "most-mass=100 g"]) == 1
    assert main(["spares", "hollin-cue-dsk", "shows=20"]) == 2
    assert "did you mean 'hollin-cue-desk'?" in capsys.readouterr().err
    assert main(["spares", "shows=20"]) == 2
    assert main(["spares", "--help"]) == 0


def test_what_was_counted_on_such_desks_takes_the_place_of_the_rate() -> None:
    # Jeffreys' prior: 2 faders in 900 h of 8 each are 2.5 / 7200 h; in 60 h of 8 that is 0.17 to be expected by chance.
    tour = {"shows": "20", "show-time": "3 h", "moves": "1"}
    counted = wish_of({**tour, "seen-time": "900 h", "failed": "fader-60=2"})
    by_rate, by_count = (
        {line.item.id: line for line in kit_for(demo()[0], shipped_model(), wish).lines}
        for wish in (wish_of(tour), counted)
    )
    assert by_count["fader-60"].expected == pytest.approx(2.5 / (900 * 8) * 60 * 8, rel=0.1)
    assert by_count["fader-60"].spares >= by_rate["fader-60"].spares
    assert by_count["fader-60"].item.source == "your own count: 2 of it failed in 900 h of use"
    assert by_count["pot-9"] == by_rate["pot-9"]  # nobody counted those
    with pytest.raises(CalcError, match="go together"):
        wish_of({**tour, "failed": "fader-60=2"})
    with pytest.raises(CalcError, match="no part has the id"):
        kit_for(demo()[0], shipped_model(), wish_of({**tour, "seen-time": "9 h", "failed": "knobs=1"}))
