"""The plan's page: shown, tried out, kept for a scene, dropped, and refused with the place named."""

from __future__ import annotations

import re

import pytest

from tests.web.conftest import PARLOUR, WEIR, Browser
from tests.web.page_check import faults_of

PLACES = {
    "subject": (2.5, 3.0, 1.2),
    "camera": (2.5, 0.8, 1.4),
    "key": (3.5, 2.0, 2.2),
    "fill": (0.6, 1.5, 1.4),
}


def sent(**places: tuple[float, float, float]) -> dict[str, str]:
    return {
        f"at-{name}-{axis}": str(value)
        for name, place in {**PLACES, **places}.items()
        for axis, value in zip("xyz", place, strict=True)
    }


@pytest.fixture
def room(ada: Browser) -> str:
    """A room with marks, proposed for a scene whose production has a kit."""
    place = ada.done("/locations/new", WEIR)
    room = ada.done(f"{place}/rooms/new", PARLOUR)
    job = ada.done(
        "/productions/new",
        {
            "title": "Film",
            "kit-camera-sensor_width_mm": "24.9",
            "kit-camera-sensor_height_mm": "14",
            "kit-camera-focal_lengths_mm": "35, 85",
            "kit-lights-0-id": "key",
            "kit-lights-0-watts": "300",
            "kit-lights-0-lux_at_1m": "9000",
            "kit-lights-1-id": "fill",
            "kit-lights-1-watts": "100",
            "kit-lights-1-lux_at_1m": "3000",
        },
    )
    scene = ada.done(f"{job}/scenes/new", {"name": "The talk"})
    ada.done(f"{scene}/rooms/1")
    return room


def test_the_page_is_sound_before_and_after_marks(ada: Browser, room: str) -> None:
    bare = ada.get(f"{room}/plan")
    assert bare.status_code == 200
    assert faults_of(bare.text) == []
    tried = ada.post(f"{room}/plan", {"try": "1", "candidate": "1", **sent()})
    assert tried.status_code == 200
    assert "Tried out, not kept" in tried.text
    assert faults_of(tried.text) == []
    assert "Not kept yet" in ada.get(f"{room}/plan").text


def test_further_people_stand_on_the_plan_and_cannot_be_dragged(ada: Browser, room: str) -> None:
    ada.done(f"{room}/marks", {"others": "3.5, 3, 1.2", "version": "1"})
    page = ada.get(f"{room}/plan").text
    assert page.count(">person 2</text>") == 1
    assert 'aria-label="person 2"' not in page
    assert faults_of(page) == []
    assert "3.5" in ada.get(f"{room}/marks").text  # what was typed is there again


def test_a_room_in_no_production_says_what_is_missing(ada: Browser) -> None:
    # property: what a kit says is no work for a tape
    room = ada.done(f"{ada.done('/locations/new', WEIR)}/rooms/new", PARLOUR)
    page = ada.get(f"{room}/plan").text
    assert page.count("Propose it for a scene and list a kit: then lights are placed.") == 1
    assert "worked-out lights" not in page
    assert "lights is not" not in page
    assert faults_of(page) == []
    assert "Measure lights" not in ada.get(room).text


def test_figures_follow_the_places(ada: Browser, room: str) -> None:
    found = ada.get(f"{room}/plan/figures", query_string={"candidate": "1", **sent()}).get_json()
    key = found["lights"][0]
    assert key["lux"] == pytest.approx(3000)  # by hand: 9000 / (1 + 1 + 1)
    assert key["down_deg"] == pytest.approx(35.264, abs=0.001)
    assert "<table" in found["html"]
    nearer = ada.get(
        f"{room}/plan/figures", query_string={"candidate": "1", **sent(key=(3.0, 2.5, 1.7))}
    ).get_json()
    assert nearer["lights"][0]["lux"] == pytest.approx(
        12000
    )  # by hand: half as far, four times the light


def test_a_plan_is_kept_for_its_scene_and_dropped(ada: Browser, room: str) -> None:
    kept = ada.done(
        f"{room}/plan", {"candidate": "1", "version": "1", **sent(subject=(2.0, 3.5, 1.2))}
    )
    page = ada.get(kept).text
    assert "Kept with the scene" in page
    assert 'value="3.5"' in page
    stale = ada.post(f"{room}/plan", {"candidate": "1", "version": "1", **sent()})
    assert stale.status_code == 409
    ada.done(f"{room}/plan", {"candidate": "1", "version": "2", "drop": "1"})
    assert "Not kept yet" in ada.get(f"{room}/plan").text


def test_a_plan_starts_with_the_camera_where_the_setup_puts_it(ada: Browser, room: str) -> None:
    # property: the act, the plan and the day's drawing have one place for the camera
    marks = {"subject": ["2.5", "3.0", "1.2"], "camera": ["2.5", "0.3", "1.4"]}
    ada.done(f"{room}/marks", {"version": "1", **marks})
    close = {
        "needs-0-topic": "framing",
        "needs-0-strength": "must",
        "needs-0-framing": "head_and_shoulders",
    }
    ada.done("/scenes/1/edit", {"version": "1", "name": "The talk", **close})
    said = re.search(r"Set the camera ([\d.]+)\u00a0m from the face", ada.get(f"{room}/space").text)
    assert said is not None
    page = ada.get(f"{room}/plan").text
    at = [
        float(re.search(f'name="at-camera-{axis}"[^>]*value="([^"]*)"', page)[1])  # type: ignore[index]
        for axis in "xyz"
    ]
    assert at[2] == pytest.approx(1.4)
    assert 3.0 - at[1] == pytest.approx(float(said[1]), abs=0.05)
    assert at[1] > 0.8


def test_a_stale_plan_shows_both_and_loses_nothing(ada: Browser, room: str) -> None:
    ada.done(f"{room}/plan", {"candidate": "1", "version": "1", **sent(subject=(2.0, 3.5, 1.2))})
    stale = ada.post(
        f"{room}/plan", {"candidate": "1", "version": "1", **sent(key=(3.75, 2.0, 2.2))}
    )
    assert stale.status_code == 409
    assert faults_of(stale.text) == []
    assert 'value="3.75"' in stale.text  # mine stands in its field
    assert "subject, theirs" in stale.text  # theirs is drawn beside it
    assert '<th scope="row" dir="auto">key, x</th>' in stale.text
    ada.done(
        f"{room}/plan", {"candidate": "1", "version": "2", **sent(key=(3.75, 2.0, 2.2))}
    )  # the version that page carries
    assert 'value="3.75"' in ada.get(f"{room}/plan").text


def test_what_is_refused_comes_back_as_it_was_typed(ada: Browser, room: str) -> None:
    answer = ada.post(
        f"{room}/plan",
        {
            "candidate": "1",
            "version": "1",
            **sent(),
            "at-key-x": "about three",
            "facing": "sideways",
        },
    )
    assert answer.status_code == 422
    assert faults_of(answer.text) == []
    assert 'value="about three"' in answer.text
    assert 'value="sideways"' in answer.text
    assert "key, x: about three" in answer.text


def test_aims_walk_boom_and_facing_are_kept_and_the_three_plans_shown(
    ada: Browser, room: str
) -> None:
    more = {
        "aim-key": "place",
        "aim-key-x": "2.5",
        "aim-key-y": "5",
        "aim-key-z": "1",
        "boom-x": "2.5",
        "boom-y": "2.8",
        "boom-z": "1.9",
        "facing": "90",
        "path-1-x": "1",
        "path-1-y": "3",
        "path-1-z": "1.5",
        "path-2-x": "4",
        "path-2-y": "3",
        "path-2-z": "1.5",
        "lens": "85",
    }
    page = ada.get(
        ada.done(f"{room}/plan", {"candidate": "1", "version": "1", **sent(), **more})
    ).text
    for name, value in more.items():
        if name not in ("aim-key", "lens"):
            assert f'name="{name}"' in page
            assert f'value="{value}"' in page
    found = ada.get(
        f"{room}/plan/figures", query_string={"candidate": "1", **sent(), **more}
    ).get_json()
    assert found["boom_distance_m"] == pytest.approx((0.2**2 + 0.7**2) ** 0.5)  # by hand
    assert found["turns"]["at-subject"] == pytest.approx(
        0
    )  # facing 90 degrees clockwise from up is to the right
    assert found["lens_mm"] == 85
    shown = ada.get(f"{room}/plan/sheets?candidate=1")
    assert shown.status_code == 200
    assert faults_of(shown.text) == []
    for words in ("Light plan", "Shot plan", "kept for the scene"):
        assert words in shown.text


@pytest.mark.parametrize("odd", ["x" * 300, "", "\0", "<b>", "subject-", "🎬", "-x", "path"])
def test_names_nobody_has_are_refused_and_never_break_the_page(
    ada: Browser, room: str, odd: str
) -> None:
    for prefix in ("at", "aim", "block", "path", "boom"):
        answer = ada.get(
            f"{room}/plan/figures",
            query_string={
                **sent(),
                f"{prefix}-{odd}-x": "1",
                f"{prefix}-{odd}-y": "1",
                f"{prefix}-{odd}-z": "1",
            },
        )
        assert answer.status_code in (200, 422)
        assert ada.post(
            f"{room}/plan",
            {"candidate": "1", "version": "1", **sent(), f"{prefix}-{odd}-x": "1e400"},
        ).status_code in (303, 409, 422)


def test_a_light_called_like_a_mark_breaks_nothing(ada: Browser, room: str) -> None:
    ada.done(
        "/productions/1/edit",
        {
            "version": "1",
            "title": "Film",
            "kit-lights-0-id": "camera",
            "kit-lights-0-lux_at_1m": "900",
            "kit-lights-1-id": "key",
            "kit-lights-1-lux_at_1m": "900",
        },
    )
    page = ada.post(
        f"{room}/plan",
        {"try": "1", "candidate": "1", **{k: v for k, v in sent().items() if "fill" not in k}},
    )
    assert page.status_code == 200
    assert faults_of(page.text) == []
    assert page.text.count('name="at-camera-x"') == 1


def test_the_comparison_shows_a_small_plan(ada: Browser, room: str) -> None:
    ada.done(f"{room}/plan", {"candidate": "1", "version": "1", **sent()})
    ada.done(
        "/scenes/1/edit",
        {
            "version": "1",
            "name": "The talk",
            "needs-0-topic": "noise",
            "needs-0-strength": "must",
            "needs-0-laeq_db": "30",
        },
    )
    page = ada.get("/scenes/1/compare")
    assert page.status_code == 200
    assert faults_of(page.text) == []
    assert 'aria-label="Small plan of Long parlour, as kept for the scene"' in page.text
    assert f'href="{room}/plan?candidate=1"' in page.text


def test_deciding_on_a_room_keeps_its_plan(ada: Browser, room: str) -> None:
    ada.done(f"{room}/plan", {"candidate": "1", "version": "1", **sent()})
    ada.done("/candidates/1", {"version": "2", "state": "reserve", "reason": "echo"})
    assert "Kept with the scene" in ada.get(f"{room}/plan").text


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"at-subject-x": "9"}, "outside"),
        ({"at-key-z": "high"}, "is not a length"),
        ({"at-key-z": "nan"}, "is not a length"),
        ({"at-key-x": "1e9"}, "is not a length"),
        ({"at-key-x": "2000 m"}, "is more than 15.00\u00a0m outside the room"),
        ({"facing": "900"}, "degrees"),
        ({"path-1-x": "1", "path-1-y": "1", "path-1-z": "1"}, "two marks or none"),
        ({"boom-x": "9", "boom-y": "1", "boom-z": "2"}, "outside"),
        ({"at-key-z": "9"}, "is above the ceiling, which is 2.70\u00a0m high"),
        ({"at-fill-x": "80 m"}, "is more than 15.00\u00a0m outside the room"),
        ({"candidate": ""}, "is missing"),
        ({"at-camera-z": ""}, "height: is needed beside the others; give all 3 or none"),
    ],
)
def test_what_cannot_be_is_refused_by_name(
    ada: Browser, room: str, changes: dict[str, str], words: str
) -> None:
    answer = ada.post(f"{room}/plan", {"candidate": "1", "version": "1", **sent(), **changes})
    assert answer.status_code == 422
    assert words in answer.text


def test_a_name_that_is_no_light_and_a_room_that_is_not_there(ada: Browser, room: str) -> None:
    assert (
        ada.get(
            f"{room}/plan/figures",
            query_string={"at-ghost-x": "1", "at-ghost-y": "1", "at-ghost-z": "1"},
        ).status_code
        == 422
    )
    assert ada.get("/rooms/99/plan").status_code == 404
    assert ada.get(f"{room}/plan?candidate=99").status_code == 404
    assert (
        ada.post(f"{room}/plan", {"candidate": "99", "version": "1", **sent()}).status_code == 404
    )


def test_a_room_nobody_measured_asks_for_its_size(ada: Browser) -> None:
    place = ada.done("/locations/new", WEIR)
    room = ada.done(f"{place}/rooms/new", {"name": "Attic"})
    page = ada.get(f"{room}/plan")
    assert page.status_code == 200
    assert "not measured" in page.text
    assert faults_of(page.text) == []


def test_strangers_see_nothing(stranger: Browser) -> None:
    assert stranger.get("/rooms/1/plan").status_code in (302, 303)
    assert stranger.get("/rooms/1/plan/figures").status_code in (302, 303)


def test_figures_speak_feet_where_feet_are_chosen(ada: Browser, room: str) -> None:
    tight = {**sent(), "at-camera-x": "0.2 m", "at-camera-y": "1 m", "at-camera-z": "1.4 m"}
    metres = ada.get(f"{room}/plan/figures", query_string={"candidate": "1", **tight}).get_json()
    assert metres["camera_against"] == ["a wall leaves the tripod less than its 1.00\u00a0m"]
    ada.done("/units", {"units": "feet"})
    feet = ada.get(
        f"{room}/plan/figures",
        query_string={
            "candidate": "1",
            **{
                name: f"{value} m" if re.fullmatch(r"-?[\d.]+", value) else value
                for name, value in tight.items()
            },
        },
    ).get_json()
    (told,) = feet["camera_against"]
    assert "3'" in told, told  # by hand: 1.0 m is 39.4 inches, 3' 3"
    assert " m" not in told.replace(" means", "")
    assert feet["places"] == metres["places"], "places stay metres: the page draws by them"
