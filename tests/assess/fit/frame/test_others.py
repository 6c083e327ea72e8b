"""Further people in a room: kept, drawn, kept clear of, and said to be judged by nobody."""

from __future__ import annotations

import math
import re

import pytest

from scout.assess.answers import Finding
from scout.assess.fit.fit import fit
from scout.errors import RefusedMany
from scout.values import Figure
from tests.assess.fit.test_findings import found_for
from tests.assess.fit.test_fit import sheet

MARKS = {"subject": [2.5, 3.0, 1.2], "camera": [2.5, 0.8, 1.4]}


def test_the_second_person_is_said_not_to_be_judged() -> None:
    two = sheet(marks={**MARKS, "others": [[3.2, 3.0, 1.2]]})
    # by hand: a sensor 24.9 mm wide behind 85 mm sees 12.45 / 85 x 2.2 m = 0.32 m to either side
    # of the subject; behind 24 mm 1.14 m. The second sits 0.70 m beside
    (told,) = found_for(two)["space.others_unjudged"]
    assert told.level == "care"
    assert told.away.value == pytest.approx(0.70, abs=0.005)
    words = re.sub(r"\s", " ", str(told))
    assert words.startswith("Only person 1 is judged, not person 2, 0.7 m off")
    assert words.endswith("out of the picture at 85 mm: person 2")
    (act,) = told.acts
    assert "person 2" in str(act)
    wide = sheet(marks={**MARKS, "others": [[3.2, 3.0, 1.2]]}, kit__camera__focal_lengths_mm=[24])
    (told,) = found_for(wide)["space.others_unjudged"]
    assert told.outside is None
    three = sheet(marks={**MARKS, "others": [[3.2, 3.0, 1.2], [1.0, 3.0, 1.6]]})
    (told,) = found_for(three)["space.others_unjudged"]
    assert told.away.value == pytest.approx(1.5, abs=0.005)
    assert "space.others_unjudged" not in found_for(sheet())


def test_a_framing_of_two_holds_both_or_says_how() -> None:
    # by hand: the sensor 24.9 mm wide, the camera 2.2 m off; 35 mm sees 0.78 m to either side of
    # its aim, 24 mm 1.14 m, 85 mm 0.32 m
    def told(apart: float, *lenses: float) -> Finding | None:
        two = sheet(
            marks={**MARKS, "others": [[2.5 + apart, 3.0, 1.2]]},
            kit__camera__focal_lengths_mm=list(lenses),
        )
        scene = {"framing": "two_people", "focal_length_mm": lenses[-1]}
        (care,) = found_for(two, **scene)["space.others_unjudged"]
        assert care.figures()["outside"] is None  # said once
        return next(iter(found_for(two, **scene).get("space.second_out", ())), None)

    assert told(0.7, 35) is None
    out = told(0.9, 35)
    assert out is not None
    assert out.level == "problem"
    # by hand: atan(0.9 / 2.2) and atan(12.45 / 35)
    assert out.figures()["off"].value == pytest.approx(22.25 - 19.58, abs=0.1)
    # by hand: aimed midway 0.45 m and a shoulder of 0.25 m lie within 0.78 m
    assert str(out.acts[0]) == "Aim the camera midway between person 1 and person 2"
    # by hand: 0.6 m and a shoulder are too much for 35 mm, and not for 24 mm
    out = told(1.2, 24, 35)
    assert out is not None
    assert out.acts[0]["lens"] == Figure(24.0, "mm")
    # by hand: the middle is 2.28 m off, where 0.81 m lie to either side, less the shoulder; the
    # one who is turned towards the lens by it needs a few centimetres more
    out = told(1.2, 35)
    assert out is not None
    assert out.acts[0]["apart"].value == pytest.approx(1.05, abs=0.06)
    out = told(1.2, 85)
    assert out is not None
    assert out.acts == ()  # 0.14 m apart they would stand in each other
    # property: of a framing of one nobody is missing
    alone = sheet(marks={**MARKS, "others": [[3.4, 3.0, 1.2]]}, kit__camera__focal_lengths_mm=[35])
    assert "space.second_out" not in found_for(alone, framing="medium")


def test_no_light_stands_where_somebody_is() -> None:
    bare = fit(sheet()).plan["key"].at_m
    assert bare is not None
    there = [[bare[0], bare[1], 1.2]]
    moved = fit(sheet(marks={**MARKS, "others": there})).plan["key"]
    # property: it stands elsewhere, clear of the person's elbows
    assert moved.at_m is None or math.dist(moved.at_m[:2], bare[:2]) >= 0.3


def test_others_stand_in_the_room_too() -> None:
    with pytest.raises(RefusedMany) as refused:
        sheet(marks={**MARKS, "others": [[2.0, 3.0, 1.2], [9.0, 3.0, 1.2]]})
    assert "marks.others[1]" in str(refused.value)
