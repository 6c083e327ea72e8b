"""The daylight page: every section with its figures or its reason, drawings of their own, and
facing and skyline set in every way.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from html import unescape
from io import BytesIO
from typing import Any
from xml.etree import ElementTree

import pytest

from scout.usecases import rooms
from scout.usecases.work import Work
from tests.web.conftest import PARLOUR, Browser, faults, value_of
from tests.web.page_check import faults_of

Look = Callable[[Callable[[Work], Any]], Any]
WINDOW = {
    "id": "W1",
    "wall": "A",
    "offset_m": "1.5",
    "sill_m": "0.9",
    "width_m": "2",
    "height_m": "1.5",
    "transmittance": "0.7",
    "covering": "none",
}
FACING = {
    "facing-wall": "A",
    "facing-bearing_deg": "180",
    "facing-north": "true",
    "facing-accuracy_deg": "3",
}
DAY = "?on=2026-06-21"


@pytest.fixture
def lit(ada: Browser, parlour: str) -> str:
    """The parlour with a window to the south, marks and pale surfaces."""
    ada.done(
        f"{parlour}/edit",
        {**PARLOUR, **FACING, "version": value_of(ada.get(f"{parlour}/edit"), "version")},
    )
    ada.done(f"{parlour}/windows/new", WINDOW)
    for name in ("A", "B", "C", "D", "floor", "ceiling"):
        ada.done(f"{parlour}/surfaces/{name}", {"light_reflectance": "0.5"})
    version = value_of(ada.get(f"{parlour}/marks"), "version")
    ada.done(
        f"{parlour}/marks",
        {"version": version, "subject": ["2.5", "4.5", "1.2"], "camera": ["2.5", "1", "1.4"]},
    )
    return parlour


def text_of(page: str) -> str:
    """What a page says, without its drawings."""
    bare = re.sub(r"<svg.*?</svg>", " ", page, flags=re.S)
    return unescape(re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", bare)))


def room_of(look: Look, address: str) -> Any:
    """The room as kept."""
    return look(lambda work: rooms.room(work, int(address.rsplit("/", 1)[1]))).kept.record


# -- the page
# ---------------------------------------------------------------------------------------------------------
def test_a_measured_room_shows_its_day(ada: Browser, lit: str) -> None:
    answer = ada.get(f"{lit}/daylight{DAY}&hours=10,+12:30&mark=subject")
    assert answer.status_code == 200
    assert faults_of(answer.text) == []
    said = text_of(answer.text)
    # by hand: at latitude 52.2 on the longest day the sun is due east and west at bearings that
    # reach a window facing south from about 9 to 17 local time
    begins = re.search(r"Direct sun through each window.*?W1\b.*?(\d\d):\d\d to (\d\d):\d\d", said)
    assert begins is not None
    assert 8 <= int(begins[1]) <= 9
    assert 16 <= int(begins[2]) <= 18
    # by hand: 12:30 is 31 minutes before the noon of 13:01, an hour angle of -7.75 degrees; with the
    # sun 23.44 degrees north, tan(azimuth from south) = sin H / (cos H sin 52.2 - tan 23.44 cos 52.2)
    assert "12:30 at 165°" in unescape(answer.text)
    assert "At 12:30 the sun falls on the floor" in answer.text
    assert "Seen from" in said
    assert "lux" in said
    assert "± 3.0°" in said


def test_a_bare_room_says_what_is_missing(ada: Browser, parlour: str) -> None:
    answer = ada.get(f"{parlour}/daylight{DAY}&show=year&show=floor&show=steady")
    assert answer.status_code == 200
    assert faults_of(answer.text) == []
    said = text_of(answer.text)
    assert "Facing is not measured" in said
    assert "Sun on the picture Unknown: facing is not measured." in said
    assert "Light at the marks Unknown: the subject's mark is not given." in said
    assert "None" not in said


def test_light_that_was_read_stands_beside_what_is_predicted(ada: Browser, lit: str) -> None:
    given = {
        "id": "R1",
        "mark": "subject",
        "plane": "level",
        "sky": "overcast",
        "taken_at": "2026-06-20T12:00",
        "lux": "90",
        "how": "meter",
    }
    refused = ada.post(f"{lit}/readings/new", {**given, "lux": "-3"})
    assert refused.status_code == 422
    assert "above 0" in text_of(refused.text)
    assert value_of(refused, "id") == "R1"
    ada.done(f"{lit}/readings/new", given)
    page = ada.get(f"{lit}/daylight{DAY}")
    assert faults_of(page.text) == []
    assert "Predicted and read" in text_of(page.text)
    ada.done(f"{lit}/readings/new", {**given, "id": "R2", "taken_at": "2026-06-20T01:00"})
    assert "the reading is kept and changes nothing" in text_of(
        ada.get(f"{lit}/daylight{DAY}").text
    )


def test_an_exterior_has_a_page(ada: Browser, place: str) -> None:
    yard = ada.done(
        f"{place}/rooms/new",
        {
            "name": "Yard",
            "setting": "exterior",
            "width_m": "8",
            "length_m": "9",
            "skyline": "90, 20\n270, 5",
        },
    )
    answer = ada.get(f"{yard}/daylight{DAY}&show=year&show=steady")
    assert answer.status_code == 200
    assert faults_of(answer.text) == []
    assert "Over the floor" not in answer.text


def test_the_sun_as_light_outdoors(ada: Browser, place: str) -> None:
    yard = ada.done(
        f"{place}/rooms/new",
        {"name": "Yard", "setting": "exterior", "width_m": "8", "length_m": "9", **FACING},
    )
    version = value_of(ada.get(f"{yard}/marks"), "version")
    ada.done(
        f"{yard}/marks",
        {"version": version, "subject": ["4", "6", "1.6"], "camera": ["4", "1", "1.6"]},
    )
    answer = ada.get(f"{yard}/daylight{DAY}&show=reflector&when=13:00&distance=4+m&drift=0.3")
    assert faults_of(answer.text) == []
    said = text_of(answer.text)
    # by hand: wall A, up the plan, faces 180; the face looks down the plan to the camera, which is
    # north: the noon sun is behind it, and no back light from where it stands 60 degrees high
    assert "For a face that looks to 0 ° true" in said
    back = re.search(r"Back light (\d\d):\d\d to (\d\d):\d\d", said)
    assert back is not None
    assert int(back[1]) < int(back[2]) <= 13
    assert "Aim it again after" in said
    assert "never into eyes" in said
    assert "Distance:" in text_of(ada.get(f"{yard}/daylight{DAY}&show=reflector&distance=far").text)


def test_the_year_and_the_floor_are_worked_out_when_asked(ada: Browser, lit: str) -> None:
    plain = ada.get(f"{lit}/daylight{DAY}").text
    assert "Show the year 2026" in plain
    assert 'id="year-title"' not in plain
    both = ada.get(f"{lit}/daylight{DAY}&show=year&show=floor")
    assert faults_of(both.text) == []
    assert 'id="year-title"' in both.text
    assert 'id="floor-title"' in both.text
    assert 'id="year-windows-title"' in both.text
    said = text_of(both.text)
    # by hand: a window due south at 52.2 north has the low midwinter sun all day (sunrise 08:07 to
    # sunset 15:50, almanac, from memory to some minutes)
    winter = re.search(r"Sun in W1 .*?15 Dec (\d\d):\d\d to (\d\d):\d\d", said)
    assert winter is not None
    assert (int(winter[1]), int(winter[2])) in {(8, 15), (8, 16)}


def test_steady_blocks(ada: Browser, lit: str) -> None:
    answer = ada.get(
        f"{lit}/daylight{DAY}&show=steady&from=2026-06-21&until=2026-06-22&minutes=30&stops=0.5&sky=overcast"
    )
    assert faults_of(answer.text) == []
    said = text_of(answer.text)
    block = re.search(r"21 Jun 2026 (\d\d):\d\d to (\d\d):\d\d", said)
    assert block is not None
    # property: overcast light follows the sun's height, so the longest steady block lies round noon
    # (13:00 by summer time)
    assert int(block[1]) < 13 <= int(block[2])
    for typed, field in (
        ("until=2026-01-01", "Until"),
        ("minutes=1", "Minutes"),
        ("stops=-1", "Stops"),
        ("minutes=many", "Minutes"),
        ("until=soon", "Until"),
    ):
        wrong = ada.get(f"{lit}/daylight{DAY}&show=steady&from=2026-06-21&{typed}")
        assert wrong.status_code == 200
        assert f"{field}:" in text_of(wrong.text), typed


def test_steady_blocks_on_the_dates_of_a_scene(ada: Browser, lit: str) -> None:
    job = ada.done("/productions/new", {"title": "The Weir", "shoot_dates": "2026-06-24"})
    scene = ada.done(f"{job}/scenes/new", {"name": "The talk"})
    ada.done(f"{scene}/rooms/{lit.rsplit('/', 1)[1]}")
    number = scene.rsplit("/", 1)[1]
    assert f'<option value="{number}">The talk</option>' in ada.get(f"{lit}/daylight{DAY}").text
    answer = ada.get(f"{lit}/daylight{DAY}&show=steady&scene={number}&minutes=30&sky=overcast")
    assert faults_of(answer.text) == []
    assert re.search(r"24 Jun 2026 \d\d:\d\d to \d\d:\d\d", text_of(answer.text))
    undated = ada.done(
        f"{ada.done('/productions/new', {'title': 'Later'})}/scenes/new", {"name": "The walk"}
    )
    told = ada.get(f"{lit}/daylight{DAY}&show=steady&scene={undated.rsplit('/', 1)[1]}")
    assert "has no date" in text_of(told.text)
    assert ada.get(f"{lit}/daylight{DAY}&show=steady&scene=many").status_code == 200
    assert ada.get(f"{lit}/daylight{DAY}&show=steady&scene=9999").status_code == 404


@pytest.mark.parametrize("which", ["plan", "sky_disc", "lux", "year", "windows", "floor"])
def test_each_drawing_stands_alone(ada: Browser, lit: str, which: str) -> None:
    answer = ada.get(f"{lit}/daylight/{which}.svg{DAY}")
    assert answer.mimetype == "image/svg+xml"
    root = ElementTree.fromstring(answer.text)
    assert len("".join(root.itertext())) > 60


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ("hours=25:00", "is not a time of day"),
        ("hours=noon", "is not a time of day"),
        ("mark=ceiling", "is not one of"),
        ("on=2026-13-01", "is not a date"),
        ("on=2026-03-29&hours=01:30", "does not exist"),
        ("hours=1,2,3,4,5,6,7", "6 at most"),
    ],
)
def test_what_cannot_be_asked_is_said(ada: Browser, lit: str, asked: str, said: str) -> None:
    answer = ada.get(f"{lit}/daylight?{asked}")
    assert answer.status_code in (200, 400, 422)
    assert said in text_of(answer.text)


@pytest.mark.parametrize("on", ["1850-06-21", "2999-12-31", "0900-01-01"])
def test_far_years(ada: Browser, lit: str, on: str) -> None:
    answer = ada.get(f"{lit}/daylight?on={on}&show=year&show=steady")
    assert answer.status_code in (200, 422)
    assert "Traceback" not in answer.text


# -- facing
# -----------------------------------------------------------------------------------------------------------
def test_facing_from_the_map_is_proposed_and_saved(ada: Browser, parlour: str, look: Look) -> None:
    # by hand: wall B runs due east from its left end to its right as seen from inside, so it looks
    # north: 0 degrees
    points = {
        "wall": "B",
        "runs": "along",
        "from_latitude_deg": "52.2",
        "from_longitude_deg": "0.12",
        "to_latitude_deg": "52.2",
        "to_longitude_deg": "0.121",
    }
    proposal = ada.done(f"{parlour}/daylight/facing/map", points)
    page = ada.get(proposal)
    assert faults_of(page.text) == []
    assert re.search(r"two map points 68(\.\d+)? m apart", text_of(page.text))
    bearing = value_of(page, "facing-bearing_deg")
    assert min(float(bearing), 360 - float(bearing)) < 0.01
    assert room_of(look, parlour).facing is None  # nothing is kept yet
    names = (
        "version",
        "how",
        "facing-wall",
        "facing-bearing_deg",
        "facing-north",
        "facing-accuracy_deg",
    )
    ada.done(proposal, {name: value_of(page, name) for name in names})
    kept = room_of(look, parlour).facing
    assert (kept.wall, kept.north) == ("B", "true")
    how = look(lambda work: rooms.room(work, int(parlour.rsplit("/", 1)[1]))).measurements[-1]
    assert "map points" in how.how


def test_facing_from_a_shadow(ada: Browser, parlour: str) -> None:
    # by hand: about 13:03 summer time on 21 June the sun is due south at longitude 0.12; a shadow
    # straight up the plan then makes the plan's y axis north,
    # and wall A, along whose normal it points, looks north
    proposal = ada.done(
        f"{parlour}/daylight/facing/shadow",
        {"at": "2026-06-21T13:01", "near": "2, 1", "far": "2, 4"},
    )
    bearing = float(value_of(ada.get(proposal), "facing-bearing_deg"))
    assert min(bearing, 360 - bearing) < 2.5


def test_facing_from_a_photo_of_the_floor(
    ada: Browser, parlour: str, look: Look, picture: bytes
) -> None:
    assert "has no photo yet" in ada.get(f"{parlour}/daylight/facing/photo").text
    ada.client.post(
        f"{parlour.replace('/rooms', '/room')}/photos",
        data={"csrf_token": ada.token(), "photos": (BytesIO(picture), "floor.jpg")},
    )
    link = re.search(
        r"/daylight/facing/photo\?photo=\d+", ada.get(f"{parlour}/daylight/facing/photo").text
    )
    assert link is not None
    page = ada.get(f"{parlour}{link[0]}")
    assert faults_of(page.text) == []
    assert 'data-trace="floor"' in page.text
    # by hand: straight from above, a square of 1 m whose upper side lies along wall A, and a shadow
    # that runs straight to the wall. At 13:01 the sun is due south,
    # so the shadow runs north, and out through wall A it looks north
    typed = {
        "photo_id": value_of(page, "photo_id"),
        "wall": "A",
        "along_m": "1 m",
        "deep_m": "1 m",
        "at": "2026-06-21T13:01",
        "points": "0.4, 0.4\n0.6, 0.4\n0.6, 0.6\n0.4, 0.6\n0.5, 0.9\n0.5, 0.5",
    }
    proposal = ada.done(f"{parlour}{link[0]}", typed)
    told = ada.get(proposal)
    bearing, doubt = (
        float(value_of(told, f"facing-{name}")) for name in ("bearing_deg", "accuracy_deg")
    )
    assert min(bearing, 360 - bearing) < 0.5
    assert (
        1.5 < doubt < 6
        # laid to 1 degree, the minute's doubt about 0.6, clicks of 0.4 % over 0.4 of the picture about
        # 1 and those on the square more
    )
    assert re.search(r"rectangle 1\.00( m)? by 1\.00 m along wall A", text_of(told.text))
    for points, said in (
        ("0.6, 0.4\n0.4, 0.4\n0.4, 0.6\n0.6, 0.6\n0.5, 0.9\n0.5, 0.5", "go round the wrong way"),
        ("0.1, 0.1\n0.2, 0.1", "6"),
        ("0.4, 0.4\n0.6, 0.4\n0.6, 0.6\n0.4, 0.6\n0.5, 1.9\n0.5, 0.5", "outside the picture"),
        ("here", "is not two shares"),
    ):
        wrong = ada.post(f"{parlour}{link[0]}", {**typed, "points": points})
        assert wrong.status_code == 422
        assert said in text_of(wrong.text)
        assert points.splitlines()[0] in unescape(wrong.text)  # nothing typed is lost
    night = ada.post(f"{parlour}{link[0]}", {**typed, "at": "2026-06-21T23:30"})
    assert "the sun is down there" in text_of(night.text)
    assert ada.get(f"{parlour}/daylight/facing/photo?photo=999").status_code == 404


@pytest.mark.parametrize(
    ("way", "typed", "field", "said"),
    [
        ("map", {"wall": "B", "runs": "along"}, "from_latitude_deg", "is needed"),
        (
            "map",
            {
                "wall": "B",
                "runs": "along",
                "from_latitude_deg": "52",
                "from_longitude_deg": "0",
                "to_latitude_deg": "52",
                "to_longitude_deg": "0",
            },
            "to_latitude_deg",
            "50\u00a0km",
        ),
        (
            "shadow",
            {"at": "2026-06-21T23:30", "near": "1, 1", "far": "2, 2"},
            "at",
            "the sun is down there",
        ),
        (
            "shadow",
            {"at": "2026-06-21T12:30", "near": "1, 1", "far": "here"},
            "far",
            "is not 2 lengths",
        ),
        ("shadow", {"at": "2026-06-21T12:30", "near": "1, 1", "far": "1, 1"}, "far", "0.05\u00a0m"),
    ],
)
def test_sightings_refused_beside_their_fields(
    ada: Browser, parlour: str, way: str, typed: dict[str, str], field: str, said: str
) -> None:
    answer = ada.post(f"{parlour}/daylight/facing/{way}", typed)
    assert answer.status_code == 422
    assert faults_of(answer.text) == []
    assert any(said in unescape(fault) for fault in faults(answer)), faults(answer)
    assert f'id="{field}-fault"' in answer.text


def test_magnetic_and_true_stand_side_by_side(ada: Browser, parlour: str) -> None:
    page = ada.get(f"{parlour}/daylight/facing")
    assert 'id="dial-needle"' in page.text
    version = value_of(page, "version")
    ada.done(
        f"{parlour}/daylight/facing",
        {
            "version": version,
            "facing-wall": "A",
            "facing-bearing_deg": "90",
            "facing-north": "magnetic",
            "facing-read_on": "2026-05-03",
        },
    )
    said = text_of(ada.get(f"{parlour}/daylight{DAY}").text)
    assert "90.0 ° magnetic" in said
    assert re.search(
        r"Correction \+\d\.\d\d", said
    )  # from memory: in eastern England declination is a degree or two east in 2026
    assert "steel" in said


def test_a_facing_saved_by_two(ada: Browser, second: Browser, parlour: str) -> None:
    version = value_of(ada.get(f"{parlour}/daylight/facing"), "version")
    ada.done(f"{parlour}/daylight/facing", {"version": version, **FACING})
    answer = second.post(
        f"{parlour}/daylight/facing", {"version": version, **FACING, "facing-bearing_deg": "10"}
    )
    assert answer.status_code == 409
    assert faults_of(answer.text) == []
    assert "Save mine over theirs" in answer.text


# -- skylines
# ---------------------------------------------------------------------------------------------------------
def test_skyline_of_a_room_and_of_a_window(ada: Browser, lit: str, look: Look) -> None:
    page = ada.get(f"{lit}/daylight/skyline")
    assert faults_of(page.text) == []
    ada.done(
        f"{lit}/daylight/skyline",
        {"version": value_of(page, "version"), "skyline": "350, 10\n20, 12"},
    )
    assert [(p.bearing_deg, p.elevation_deg) for p in room_of(look, lit).skyline] == [
        (350, 10),
        (20, 12),
    ]
    window = re.search(r"skyline\?window=(\d+)", ada.get(f"{lit}/daylight{DAY}").text)
    assert window is not None
    address = f"{lit}/daylight/skyline?window={window[1]}"
    ada.done(address, {"version": value_of(ada.get(address), "version"), "skyline": "180, 5"})
    assert room_of(look, lit).windows[0].skyline[0].elevation_deg == 5
    wrong = ada.post(
        address, {"version": value_of(ada.get(address), "version"), "skyline": "180, 5\n200, 95"}
    )
    assert wrong.status_code == 422
    assert faults_of(wrong.text) == []
    assert ada.get(f"{lit}/daylight/skyline?window=999").status_code == 404


def test_skyline_traced_on_a_photo(ada: Browser, lit: str, look: Look, picture: bytes) -> None:
    ada.client.post(
        f"{lit.replace('/rooms', '/room')}/photos",
        data={"csrf_token": ada.token(), "photos": (BytesIO(picture), "out.jpg")},
    )
    ada.done(
        f"{lit}/daylight/skyline",
        {
            "version": value_of(ada.get(f"{lit}/daylight/skyline"), "version"),
            "skyline": "0, 40\n178, 40",
        },
    )
    link = re.search(r"/daylight/skyline/trace\?photo=\d+", ada.get(f"{lit}/daylight/skyline").text)
    assert link is not None
    page = ada.get(f"{lit}{link[0]}")
    assert faults_of(page.text) == []
    typed = {
        "photo_id": value_of(page, "photo_id"),
        "bearing_deg": "180",
        "across_deg": "90",
        "points": "0, 0.5\n0.5, 0.25\n1, 0.5",
    }
    traced = ada.post(f"{lit}{link[0]}", typed)
    assert traced.status_code == 200
    assert faults_of(traced.text) == []
    # by hand: 90 degrees across a picture of 4:3: the middle's quarter up is 0.5 x 3/4 = 0.375:
    # atan 20.6; the point of 178 lay within and is replaced
    lines = unescape(value_of(traced, "skyline")).split("\n")
    assert lines == ["0; 40", "135; 0", "180; 20.6", "225; 0"]
    action = re.search(r'action="([^"]*skyline[^"]*)"', traced.text)
    assert action is not None
    ada.done(
        unescape(action[1]),
        {
            "version": value_of(traced, "version"),
            "how": value_of(traced, "how"),
            "skyline": "\n".join(lines),
        },
    )
    assert len(room_of(look, lit).skyline) == 4
    refused = ada.post(f"{lit}{link[0]}", {**typed, "across_deg": ""})
    assert refused.status_code == 422
    assert any("one of the two" in fault for fault in faults(refused))
