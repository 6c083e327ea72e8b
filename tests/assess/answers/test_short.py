"""The short answer: what is worst first, no act twice, and nothing lost of the whole."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import UTC, datetime

from hypothesis import given
from hypothesis import strategies as st

from scout.assess.answers import BEFORE, LEVELS, LOAD_IN, ON_DAY, When, worst_level
from scout.assess.answers.acts import ACTS, ORDER
from scout.assess.answers.finding import ROLES, Act, Change, Finding, Level
from scout.assess.answers.short import (
    MOST_LINES,
    MOST_OF_A_TOPIC,
    by_person,
    short,
    summary,
    topic_levels,
)
from tests.demo_rooms import assessed

AT = datetime(2026, 6, 20, 14, 0, tzinfo=UTC)


@dataclass(frozen=True, kw_only=True)
class Light(Finding):
    """Invented for these tests."""

    topic = "light"
    number: int = 0


@dataclass(frozen=True, kw_only=True)
class Sound(Light):
    """Invented for these tests."""

    topic = "sound"


def done(who: str = "light", when: When = BEFORE, code: str = "x") -> Act:
    return Act(code, who, when)  # type: ignore[arg-type]


LEVELS_ANY = st.sampled_from(LEVELS)
FINDINGS = st.lists(
    st.builds(
        lambda kind, level, number, acts: kind(level=level, number=number, acts=tuple(acts)),
        st.sampled_from([Light, Sound]),
        LEVELS_ANY,
        st.integers(0, 50),
        st.lists(st.builds(done, code=st.sampled_from("abc")), max_size=2),
    ),
    max_size=14,
)


@given(FINDINGS)
def test_property_worst_first_no_act_twice_and_the_rest_is_the_rest(found: list[Finding]) -> None:
    lines, rest = short(found)
    assert len(lines) <= MOST_LINES
    levels = [LEVELS.index(line.finding.level) for line in lines]
    assert levels == sorted(levels)
    acts = [line.act for line in lines if line.act is not None]
    assert len(acts) == len(set(acts))
    assert len(lines) + len(rest) == len(found)
    assert not any(line.finding.level == "outside" for line in lines)


def test_a_problem_stands_before_whatever_else_there_is() -> None:
    care = [Sound(level="care", number=i, acts=(done(code=f"c{i}"),)) for i in range(9)]
    problem = Light(level="problem", number=99)
    lines, rest = short([*care, problem])
    assert lines[0].finding is problem
    assert len(rest) == 10 - MOST_LINES


def test_what_can_be_acted_on_stands_before_what_cannot() -> None:
    plain, mended = Light(level="care", number=1), Sound(level="care", number=2, acts=(done(),))
    assert [line.finding for line in short([plain, mended])[0]] == [mended, plain]


def test_other_topics_are_told_before_a_third_line_of_one() -> None:
    assert MOST_OF_A_TOPIC == 2
    lights = [Light(level="care", number=i, acts=(done(code=f"a{i}"),)) for i in range(3)]
    sound = Sound(level="unknown", number=7)
    chosen = {line.finding for line in short([*lights, sound], most=2)[0]}
    assert sound in chosen, "one of each before the second of the same code"


def test_a_finding_whose_only_act_stands_above_is_not_told_twice() -> None:
    one = Light(level="care", number=1, acts=(done(),))
    again = Sound(level="care", number=2, acts=(done(),))
    lines, rest = short([one, again])
    assert [line.finding for line in lines] == [one]
    assert rest == (again,)


def test_what_an_act_buys_makes_it_no_other_act() -> None:
    # property: one sheet of white on the floor mends two lights by different figures
    act = done(code="white")
    one = Light(
        level="problem", number=1, acts=(replace(act, buys=Change("delta_e", "", 9.0, 2.0)),)
    )
    two = Sound(
        level="problem", number=2, acts=(replace(act, buys=Change("delta_e", "", 7.0, 1.0)),)
    )
    lines, rest = short([one, two])
    assert [line.finding for line in lines] == [one]
    assert rest == (two,)
    assert [len(acts) for acts in by_person([one, two]).values()] == [1]


def test_each_person_has_each_act_once_in_the_order_it_falls_due() -> None:
    late = done("sound", When("by", at=AT), "late")
    found = [
        Light(level="care", acts=(done("sound", ON_DAY, "day"), late)),
        Sound(level="problem", acts=(done("sound", LOAD_IN, "in"), done("carry", BEFORE, "bring"))),
        Sound(level="care", acts=(late,)),
    ]
    told = by_person(found)
    assert list(told) == [role for role in ROLES if role in ("sound", "carry")]
    assert [one.code for one in told["sound"]] == ["in", "late", "day"]


def test_the_sentence_names_each_topic_under_its_worst_level() -> None:
    found: list[Finding] = [
        Light(level="good"),
        Light(level="care"),
        Sound(level="unknown"),
        Sound(level="good"),
    ]
    levels: dict[str, Level] = {"light": "care", "sound": "unknown"}
    assert topic_levels(found) == levels
    assert str(summary(found)) == "Watch light; sound not known"
    found[2] = Sound(level="problem")
    assert str(summary(found)) == "Trouble with sound; watch light"
    assert str(summary([Light(level="good")])) == "No trouble found"


def test_rooms_of_the_demonstration_in_seven_lines() -> None:
    for room, _, found in assessed():
        lines, rest = short(found.findings)
        assert lines, room
        assert worst_level(one.level for one in found.findings) == lines[0].finding.level, room
        assert len(str(summary(found.findings)).split()) <= 20, room
        assert len(lines) + len(rest) == len(found.findings), room


# common practice: what must be done before what, by whoever does both at one time
BEFOREHAND = (
    ("move.back", "camera.place"),
    ("move.subject", "camera.place"),
    ("camera.place", "camera.nd"),
    ("measure.circuits", "light.key"),
    ("lay.white", "light.key"),
    ("light.key", "hang.white"),
    ("light.key", "flag.black"),
    ("hang.blankets", "measure.noise"),
)


def test_acts_of_one_person_at_one_time_come_as_they_can_be_done() -> None:
    assert sorted(ORDER) == sorted(ACTS)  # property: none without a place
    every = [Act(code, kind.who, LOAD_IN) for code, kind in ACTS.items()]
    for acts in (every, every[::-1]):
        one = judge("care", acts)
        codes = [act.code for role in by_person([one]).values() for act in role]
        for first, then in BEFOREHAND:
            assert codes.index(first) < codes.index(then), (first, then)


def judge(level: Level, acts: list[Act]) -> Finding:
    return Light(level=level, acts=tuple(acts))
