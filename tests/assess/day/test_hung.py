"""How long what is hung takes; minutes by the table (common practice), sums by hand."""

from __future__ import annotations

from scout.assess.answers import Act, act
from scout.assess.answers.acts import ACTS
from scout.assess.day.hung import BOUNCES, HANGS_MIN, hung_min
from scout.values import Figure, Name, Word, names
from tests.packet.invented import judged


def white(wall: str, area_m2: float) -> Act:
    return act("hang.white", surface=Word("surface", wall), area=Figure(area_m2, "m2"))


def test_what_is_hung_is_counted_once() -> None:
    flag = act("flag.lamp", lights=names(["key"]), surface=Word("surface", "floor"))
    asked = judged("care", "colour", "red", white("B", 4.0), flag)
    again = judged(
        "care", "light", "dim", white("B", 6.0), flag, act("light.key", light=Name("key"))
    )
    other = judged("care", "light", "dim", white("C", 6.0))
    # by hand: 10 for wall B however often and 5 for the flag; to face a light is its set-up
    assert hung_min([asked, again]) == 15
    assert hung_min([asked, again, other]) == 25
    assert hung_min([]) == 0
    assert (
        hung_min([judged("care", "power", "full", act("bring.battery", lights=names(["a"])))]) == 0
    )


def test_every_act_of_the_table_is_an_act() -> None:
    assert set(HANGS_MIN) <= set(ACTS)
    assert all(ACTS[code].who in ("light", "sound", "camera") for code in HANGS_MIN)
    bounce = judged("care", "colour", "red", white("B", 4.0))
    for code in BOUNCES:  # nobody hangs for a lamp that is not turned at the wall
        object.__setattr__(bounce, "code", code)
        assert hung_min([bounce]) == 0
