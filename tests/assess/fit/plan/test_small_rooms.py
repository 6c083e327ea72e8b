"""Small rooms: where the engine says that a key has no place, a random search finds none."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

import numpy as np
import pytest

from scout.assess.fit.fit import fit
from scout.assess.stage.floor import ground, stage_of
from scout.calc.fit.stand.lights import Stage
from scout.records import read_sheet
from scout.records.sheet import RoomSheet
from tests.demo_rooms import setups
from tests.stand_shape import Scene, keys_found


def small_rooms(count: int, seed: int) -> Iterator[tuple[str, RoomSheet]]:
    """Box rooms, studies and kitchens at random, with the kit of the real house's key."""
    rng, house = np.random.default_rng(seed), [setup.sheet for _, setup in setups()][-1]
    assert house.kit is not None
    kit: dict[str, Any] = json.loads(house.model_dump_json(exclude_none=True))["kit"]
    for number in range(count):
        width, length, height = rng.uniform((1.7, 2.0, 2.2), (3.6, 4.2, 2.8))
        face = 1.2 if rng.random() < 0.6 else 1.6
        subject = [*rng.uniform((0.45, 0.5 * length), (width - 0.45, length - 0.45)), face]
        camera = [*rng.uniform((0.3, 0.25), (width - 0.3, 0.35 * length)), face + 0.1]
        focal = float(rng.choice([24.0, 35.0, 50.0, 85.0]))
        door = {"id": "D1", "wall": "C", "width_m": 0.75, "height_m": 2.0}
        room = {"setting": "interior", "width_m": width, "length_m": length, "height_m": height}
        if np.hypot(subject[0] - camera[0], subject[1] - camera[1]) < 0.8:
            continue
        light = {
            key: value for key, value in kit["lights"][0].items() if key not in ("at_m", "aim_m")
        }
        sheet = {
            "schema": "room-sheet/1",
            "room": {**room, "doors": [{**door, "offset_m": rng.uniform(0.0, width - 0.8)}]},
            "marks": {"subject": subject, "camera": camera},
            "kit": {"camera": {**kit["camera"], "focal_lengths_mm": [focal]}, "lights": [light]},
        }
        yield f"small {number}", read_sheet(json.dumps(sheet).encode())


def missed(sheet: RoomSheet, tries: int) -> tuple[bool, int]:
    """Whether the engine has a place for the key, and how many a random search found if it has not."""
    stage, answer = stage_of(sheet, ground(sheet.room)), fit(sheet)
    key = answer.plan["key"]
    if not isinstance(stage, Stage) or key.fits or key.light is None:
        return True, 0
    assert sheet.kit is not None
    assert sheet.kit.camera is not None
    light = next(one for one in sheet.kit.lights or () if one.id == key.light)
    camera = sheet.kit.camera
    scene = Scene(
        stage.space.plan_m,
        stage.space.ceiling_m or 9.0,
        stage.space.exits_m,
        stage.subject_m,
        stage.camera_m,
        (camera.sensor_width_mm or 0.0, camera.sensor_height_mm or 0.0, max(answer.judged_mm)),
    )
    lamp = (light.stand_min_m or 0.0, light.stand_max_m or 0.0, light.head_m or 0.0)
    return False, len(keys_found(scene, (*lamp, light.soft_width_m or 0.0), tries, seed=3))


@pytest.mark.parametrize("seed", [7, 11])
def test_a_search_at_random_finds_no_key_where_there_is_said_to_be_none(seed: int) -> None:
    # property: before stands were asked by their shape it found one in 21 of the 28 rooms of the first
    # seed that were said to have none
    rows = [(name, *missed(sheet, 10_000)) for name, sheet in small_rooms(20, seed)]
    assert [(name, found) for name, _, found in rows if found] == []
    assert any(not fits for _, fits, _ in rows)  # some rooms are too small, or nothing was tried


def test_nor_in_the_rooms_of_the_real_house_and_of_the_demonstration() -> None:
    # property: as above; three of the real house's rooms were said to have no place for the key
    rows = [
        (name, *missed(setup.sheet, 10_000))
        for name, setup in setups()
        if setup.sheet.marks is not None
    ]
    assert [(name, found) for name, _, found in rows if found] == []
