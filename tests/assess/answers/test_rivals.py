"""Acts that exclude each other do not both stand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from scout.assess.answers import Act, Change, act, without_rivals
from scout.assess.answers.finding import finding_json
from scout.assess.bounce.codes import Mixed
from scout.values import Figure, Many, Name, Word
from scout.words import Reader, or_line, reading


def bought(before: float, after: float) -> Change:
    return Change("delta_e_between", "delta_e", before, after)


def left(*acts: Sequence[Act]) -> list[list[Act]]:
    """The acts that stand, finding by finding."""
    cast = Figure(6.0, "delta_e")
    findings = [
        Mixed(level="care", acts=tuple(one), cast=cast, apart=None, sky=None) for one in acts
    ]
    return [list(finding.acts) for finding in without_rivals(findings)]


GEL = act("gel.practical", practical=Name("L1"), buys=bought(6.0, 3.0))
OFF = act("practical.off", practical=Name("L1"), buys=bought(6.0, 4.5))


def test_of_a_lamp_gelled_and_a_lamp_switched_off_the_one_that_buys_more_stands() -> None:
    # property: a lamp that is off wants no gel
    assert left([GEL, OFF]) == [[GEL]]
    better = act("practical.off", practical=Name("L1"), buys=bought(6.0, 2.9))
    assert left([GEL, better]) == [[better]]
    assert left([GEL], [OFF]) == [[GEL], []]
    other = act("practical.off", practical=Name("L2"), buys=bought(6.0, 4.5))
    assert left([GEL, other]) == [[GEL, other]]
    # of two alike the first: that of the worse finding
    even = act("practical.off", practical=Name("L1"), buys=bought(12.0, 6.0))
    assert left([even], [GEL]) == [[even], []]


def test_what_gives_way_is_what_could_be_done_instead_with_what_it_buys() -> None:
    cast = Figure(6.0, "delta_e")
    (one,) = without_rivals(
        (Mixed(level="care", acts=(GEL, OFF), cast=cast, apart=None, sky=None),)
    )
    assert (one.acts, one.instead) == ((GEL,), (OFF,))
    with reading(Reader()):
        assert or_line(OFF) == "Or: Switch L1 off (colour cast 6.0 to 4.5)"
        assert [act["code"] for act in finding_json(one)["instead"]] == ["practical.off"]


def test_the_act_of_the_worse_finding_stands_though_it_buys_less() -> None:
    # property: a problem keeps its only act, whatever a lesser finding would gain by another
    cast = Figure(6.0, "delta_e")
    wall = act("camera.balance", surface=Word("surface", "C"), buys=bought(9.0, 1.0))
    gel = act("gel.light", gels=Many((Word("gel", "ctb_1_2"),)), lights=Many((Name("key"),)))
    gel = replace(gel, buys=bought(9.0, 6.0))
    worse = Mixed(level="problem", acts=(gel,), cast=cast, apart=None, sky=None)
    lesser = Mixed(level="care", acts=(wall,), cast=cast, apart=None, sky=None)
    first, second = without_rivals((worse, lesser))
    assert (first.acts, first.instead) == ((gel,), ())
    assert (second.acts, second.instead) == ((), (wall,))


def test_windows_go_to_the_light_or_the_light_to_the_windows() -> None:
    gels = Many((Word("gel", "cto_full"),))
    windows = act("gel.windows", gels=gels, light=Name("key"), buys=bought(6.0, 3.0))
    key = act("key.daylight", light=Name("key"), buys=bought(6.0, 1.0))
    assert left([windows, key]) == [[key]]


def test_a_camera_is_balanced_to_one_surface_and_no_lamp_is_gelled_for_it() -> None:
    wall, floor = (
        act("camera.balance", surface=Word("surface", name), buys=bought(9.0, after))
        for name, after in (("C", 3.0), ("floor", 1.0))
    )
    gels = [
        act(
            "gel.light",
            gels=Many((Word("gel", gel),)),
            lights=Many((Name(light),)),
            buys=bought(9, 8),
        )
        for gel, light in (("ctb_1_2", "key"), ("ctb_1_8", "fill"))
    ]
    assert left([wall, gels[0]], [floor, gels[1]]) == [[], [floor]]
    assert left([gels[0]], [gels[1]]) == [[gels[0]], [gels[1]]]
    # one that is measured by nothing gives way to one that is
    bare = act("camera.balance", surface=Word("surface", "C"))
    assert left([bare, gels[0]]) == [[gels[0]]]
