"""The kit before anything else: ours or the last job's to start from, and a light in a few fields."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from scout.records.starter_kits import starter_kit
from scout.usecases import productions
from tests.web.conftest import Browser
from tests.web.page_check import faults_of

LIGHT = {"id": "key", "watts": "150", "lux_at_1m": "5500", "cct_k": "5600", "lead_m": "5"}
Look = Callable[..., Any]


def kit(look: Look, key: int) -> dict[str, Any]:
    kept = look(lambda work: productions.production(work, key)).kept.record.kit
    return {} if kept is None else dict(kept.model_dump(mode="json", exclude_none=True))


def test_a_kit_is_offered_before_the_scenes_while_there_is_none(ada: Browser, look: Look) -> None:
    new = ada.get("/productions/new")
    assert faults_of(new.text) == []
    assert "The kit first" in new.text
    assert 'value="two_lights"' in new.text
    job = ada.done("/productions/new", {"title": "A film"})
    page = ada.get(job).text
    assert faults_of(page) == []
    assert page.index("The kit first") < page.index("<h2>Scenes")
    light = ada.get(f"{job}/light")
    assert faults_of(light.text) == []
    ada.done(f"{job}/light", LIGHT)
    assert kit(look, 1) == {
        "lights": [{"id": "key", "watts": 150, "lux_at_1m": 5500, "cct_k": 5600}],
        "cables": [{"length_m": 5}],
    }
    page = ada.get(job).text
    assert faults_of(page) == []
    assert "The kit first" not in page
    assert "What is not typed of it is assumed" in page
    # another beside it, by its kind alone; one of a name that is taken, or of none, is refused
    ada.done(f"{job}/light", {"id": "fill", "spectrum": "led"})
    assert kit(look, 1)["lights"][1] == {"id": "fill", "spectrum": "led"}
    for wrong, words in (
        ({"id": "fill"}, "fill"),
        ({"id": ""}, "needed"),
        ({"watts": "much"}, "much"),
    ):
        answer = ada.post(f"{job}/light", {**LIGHT, **wrong})
        assert answer.status_code == 422
        assert words in answer.text
        assert "5500" in answer.text
        assert faults_of(answer.text) == []
    assert len(kit(look, 1)["lights"]) == 2
    assert ada.get("/productions/9/light").status_code == 404


def test_the_same_kit_as_the_last_job_but_for_its_places(ada: Browser, look: Look) -> None:
    placed = {"kit-lights-0-at_m": ["1", "2", "2.4"], "kit-lights-0-aim_m": ["1", "1", "1.2"]}
    lamp = {"title": "A film", "kit-name": "Ours", "kit-lights-0-id": "key"}
    ada.done("/productions/new", {**lamp, **placed})
    assert "at_m" in kit(look, 1)["lights"][0]
    new = ada.get("/productions/new")
    assert 'value="job:1"' in new.text
    assert "The same kit as" in new.text
    form = ada.get("/productions/new?kit=job:1")
    assert faults_of(form.text) == []
    assert 'value="Ours"' in form.text
    assert "but for where its lights stood" in form.text
    assert 'value="2.4"' not in form.text
    second = ada.done("/productions/new", {"title": "Another"})
    assert 'value="job:1"' in ada.get(second).text
    assert 'value="Ours"' in ada.get(f"{second}/edit?kit=job:1").text
    assert ada.get("/productions/new?kit=job:9").status_code == 404
    without = ada.get("/productions/new?kit=job:2")
    assert (without.status_code, "The kit first" in without.text) == (200, True)


def test_the_kit_chosen_is_taken_with_the_start(ada: Browser, look: Look) -> None:
    job = {"title": "A film", "starter": "two_lights"}
    wrong = ada.post("/productions/new", {**job, "title": "", "shoot_dates": "soon"})
    assert wrong.status_code == 422
    assert faults_of(wrong.text) == []
    assert '<option value="two_lights" selected>' in wrong.text  # the choice stands
    both = ada.post("/productions/new", {**job, "kit-lights-0-id": "mine"})
    assert both.status_code == 422
    assert "another is chosen to start from" in both.text
    assert '<option value="two_lights" selected>' in both.text
    ada.done("/productions/new", job)
    starter = starter_kit("two_lights")
    assert starter is not None
    assert kit(look, 1) == starter.kit.model_dump(mode="json", exclude_none=True)
    ada.done("/productions/new", {**job, "starter": ""})
    assert kit(look, 2) == {}


def test_the_kit_chosen_opens_beside_what_was_typed(ada: Browser, look: Look) -> None:
    typed = {"title": "A film", "crew-0-name": "Ines"}
    opened = ada.post("/productions/new", {**typed, "starter": "two_lights", "open_kit": "yes"})
    assert opened.status_code == 200
    assert faults_of(opened.text) == []
    assert "Nothing is kept" in opened.text
    assert "The kit first" not in opened.text
    for words in ('value="A film"', 'value="Ines"', 'name="kit-lights-1-id"'):
        assert words in opened.text
    asked_without = ada.post("/productions/new", {**typed, "starter": "", "open_kit": "yes"})
    assert "The kit first" in asked_without.text
