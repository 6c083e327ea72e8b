"""Paints a room of the demonstration as a camera in it would see it: one ray a point, flat
surfaces, daylight by area and distance.

Plan and walls are those of the room sheet: metres, x to the right, y up the page, walls
    clockwise, z above the floor. Light is only
as right as a picture for a demonstration needs; no figure of the application comes from here.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from scout.calc.geometry import Wall, walls

Floats = NDArray[np.float32]
Box = tuple[float, float, float, float, float, float, str]  # x0, y0, z0, x1, y1, z1, colour
FLOOR, CEILING, WALL, BOX, LAMP, SKY = 0, 1, 2, 3, 4, 5
FAR = np.float32(1e6)


@dataclass(frozen=True)
class Opening:
    """A window or a door: wall by number, left edge, lower edge, width, height [m]; covering as the
    room sheet words it.
    """

    wall: int
    offset_m: float
    sill_m: float
    width_m: float
    height_m: float
    covering: str | None = None


@dataclass(frozen=True)
class Scene:
    """A room with what stands in it. `open_sky` leaves the ceiling out; its walls are then a fence
    of `height_m`.
    """

    plan_m: NDArray[np.float64]
    height_m: float
    wall_colours: tuple[str, ...]
    floor: str
    ceiling: str
    floor_kind: str  # boards, tiles, carpet, grass
    windows: tuple[Opening, ...] = ()
    doors: tuple[Opening, ...] = ()
    lamps_m: tuple[tuple[float, float, float], ...] = ()
    lamps_lit: bool = False
    boxes: tuple[Box, ...] = ()
    tiled_walls: frozenset[int] = frozenset()
    ceiling_grid: bool = False
    open_sky: bool = False
    north_deg: float = 0.0  # true bearing of the plan's +y
    sides: tuple[Wall, ...] = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "sides", walls(self.plan_m))


@dataclass(frozen=True)
class View:
    """A camera: where [m], the true bearing it looks along, its tilt (up positive) and the width of
    its field.
    """

    at_m: tuple[float, float, float]
    bearing_deg: float
    tilt_deg: float = -4.0
    field_deg: float = 74.0


def paint(
    scene: Scene,
    view: View,
    sun: tuple[float, float],
    cloudy: bool,
    size: tuple[int, int],
    grain: float,
    seed: int,
) -> Image.Image:
    """The picture, RGB. sun: its elevation and true azimuth [deg]; cloudy hides it; grain [levels]
    is what the sensor adds.
    """
    width, height = (
        size[0] * 3 // 2,
        size[1] * 3 // 2,
    )  # painted larger and shrunk, so that edges are smooth
    turn, tilt = np.radians(view.bearing_deg - scene.north_deg), np.radians(view.tilt_deg)
    ahead = np.array([np.sin(turn) * np.cos(tilt), np.cos(turn) * np.cos(tilt), np.sin(tilt)])
    right = np.array([np.cos(turn), -np.sin(turn), 0.0])
    up = np.cross(right, ahead)
    half = np.tan(np.radians(view.field_deg) / 2)
    across = (np.arange(width) + 0.5) / width * 2 - 1
    bands, falls = [], []
    for rows in np.array_split(np.arange(height), 12):
        down = (1 - (rows + 0.5) / height * 2) * height / width
        rays = ahead + half * (across[None, :, None] * right + down[:, None, None] * up)
        rays /= np.linalg.norm(rays, axis=2, keepdims=True)
        light, falling = _light(
            scene,
            np.array(view.at_m, np.float32),
            rays.reshape(-1, 3).astype(np.float32),
            sun,
            cloudy,
        )
        bands.append(light.reshape(len(rows), width, 3))
        falls.append(falling)
    # Exposed for the light that falls in the room, as with a meter held there: a dark wall stays
    # dark.
    exposure = 1.05 / float(np.median(np.concatenate(falls)))
    shown = _encode(
        np.concatenate([1 - np.exp(-np.where(band < 0, -band, band * exposure)) for band in bands])
    )
    image = Image.fromarray(np.round(shown * 255).astype(np.uint8)).resize(
        size, Image.Resampling.LANCZOS
    )
    if not grain:
        return image
    noise = np.random.default_rng(seed).normal(0, grain, (size[1], size[0], 1))
    return Image.fromarray(np.clip(np.asarray(image) + noise, 0, 255).round().astype(np.uint8))


def _encode(linear: Floats) -> Floats:
    return np.where(
        linear <= 0.0031308, 12.92 * linear, 1.055 * np.maximum(linear, 1e-9) ** (1 / 2.4) - 0.055
    )


def _rgb(colour: str) -> Floats:
    levels = np.array([int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)])
    return np.where(levels <= 0.04045, levels / 12.92, ((levels + 0.055) / 1.055) ** 2.4).astype(
        np.float32
    )


def _hash(*numbers: Floats) -> Floats:
    """The same pseudo-random value from 0 to 1 for the same whole numbers."""
    total = sum(np.floor(n) * k for n, k in zip(numbers, (12.9898, 78.233, 37.719), strict=False))
    return np.modf(np.abs(np.sin(total)) * 43758.547)[0]


def _sun_vector(scene: Scene, sun: tuple[float, float]) -> Floats:
    high, turn = np.radians(sun[0]), np.radians(sun[1] - scene.north_deg)
    return np.array(
        [np.sin(turn) * np.cos(high), np.cos(turn) * np.cos(high), np.sin(high)], np.float32
    )


def _light(
    scene: Scene, eye: Floats, rays: Floats, sun: tuple[float, float], cloudy: bool
) -> tuple[Floats, Floats]:
    """What arrives along each ray, linear (below zero: what needs no exposing), and the light that
    falls on what each ray meets.
    """
    distance, kind, which = _hit(scene, np.broadcast_to(eye, rays.shape), rays)
    at = eye + rays * np.minimum(distance, 1e4)[:, None]
    if scene.open_sky:  # beyond the fence the ground is somebody else's
        beyond = (at[:, :2] < scene.plan_m.min(axis=0) - 0.5).any(axis=1) | (
            at[:, :2] > scene.plan_m.max(axis=0) + 0.5
        ).any(axis=1)
        kind[(kind == FLOOR) & beyond] = SKY
    normal = np.zeros_like(rays)
    colour = np.zeros_like(rays)
    normal[kind == FLOOR], normal[kind == CEILING] = (0, 0, 1), (0, 0, -1)
    near = np.ones(len(rays), np.float32)
    edge_m = np.full(len(rays), 9, np.float32)
    glass = np.zeros(len(rays), bool)
    for i, wall in enumerate(scene.sides):
        on = (kind == WALL) & (which == i)
        normal[on, :2] = -wall.outward
        u, z = _on_wall(wall, at[on]), at[on, 2]
        colour[on], glass[on] = _wall_colour(scene, i, u, z)
        edge_m[on] = np.minimum.reduce([u, wall.length_m - u, z, scene.height_m - z])
        flat = (kind == FLOOR) | (kind == CEILING)
        edge_m[flat] = np.minimum(
            edge_m[flat],
            np.abs(
                (wall.start_m.astype(np.float32) - at[flat, :2]) @ wall.outward.astype(np.float32)
            ),
        )
    colour[kind == FLOOR] = _floor_colour(scene, at[kind == FLOOR])
    colour[kind == CEILING] = _ceiling_colour(scene, at[kind == CEILING])
    for i, box in enumerate(scene.boxes):
        on = (kind == BOX) & (which == i)
        normal[on], colour[on] = _box_normal(box, at[on]), _rgb(box[6])
        edge_m[on] = np.minimum(edge_m[on], at[on, 2] + 0.1)
    near -= 0.3 * np.exp(-np.maximum(edge_m, 0) / 0.18)  # corners see less of the room
    falling = _lit(scene, at, normal, sun, cloudy) * near[:, None]
    out = colour * falling
    outside = glass | (kind == SKY)
    out[outside] = _outside(scene, rays[outside], cloudy) * (-1.5 if scene.open_sky else -2.3)
    out[kind == LAMP] = (
        np.array([-3.2, -2.7, -2.0]) if scene.lamps_lit else np.array([-0.55, -0.54, -0.5])
    )
    return out, falling[~outside & (kind != LAMP)].mean(axis=1)


def _hit(
    scene: Scene, origin: Floats, rays: Floats
) -> tuple[Floats, NDArray[np.int8], NDArray[np.int8]]:
    """Distance, kind and number of what each ray meets first."""
    best = np.full(len(rays), FAR, np.float32)
    kind = np.full(len(rays), SKY, np.int8)
    which = np.zeros(len(rays), np.int8)

    def nearer(distance: Floats, mask: NDArray[np.bool_], what: int, number: int) -> None:
        take = mask & (distance > 1e-4) & (distance < best)
        best[take], kind[take], which[take] = distance[take], what, number

    with np.errstate(divide="ignore", invalid="ignore"):
        nearer(-origin[:, 2] / rays[:, 2], rays[:, 2] < 0, FLOOR, 0)
        if not scene.open_sky:
            nearer((scene.height_m - origin[:, 2]) / rays[:, 2], rays[:, 2] > 0, CEILING, 0)
        for i, wall in enumerate(scene.sides):
            outward, start = wall.outward.astype(np.float32), wall.start_m.astype(np.float32)
            towards = rays[:, :2] @ outward
            distance = ((start - origin[:, :2]) @ outward) / towards
            met = origin + rays * distance[:, None]
            u = _on_wall(wall, met)
            nearer(
                distance,
                (towards > 1e-6)
                & (u >= -1e-3)
                & (u <= wall.length_m + 1e-3)
                & (met[:, 2] >= 0)
                & (met[:, 2] <= scene.height_m),
                WALL,
                i,
            )
        for i, (x0, y0, z0, x1, y1, z1, _) in enumerate(scene.boxes):
            low, high = (
                (np.array([x0, y0, z0], np.float32) - origin) / rays,
                (np.array([x1, y1, z1], np.float32) - origin) / rays,
            )
            enter, leave = np.minimum(low, high).max(axis=1), np.maximum(low, high).min(axis=1)
            nearer(enter, enter < leave, BOX, i)
        for i, lamp in enumerate(scene.lamps_m):
            to = np.array(lamp, np.float32) - origin
            along = (to * rays).sum(axis=1)
            gap = 0.16**2 - ((to * to).sum(axis=1) - along**2)
            nearer(along - np.sqrt(np.maximum(gap, 0)), gap > 0, LAMP, i)
    return best, kind, which


def _on_wall(wall: Wall, at: Floats) -> Floats:
    return (at[:, :2] - wall.start_m.astype(np.float32)) @ wall.along.astype(np.float32)


def _inside(u: Floats, z: Floats, opening: Opening) -> NDArray[np.bool_]:
    return (np.abs(u - opening.offset_m - opening.width_m / 2) < opening.width_m / 2) & (
        np.abs(z - opening.sill_m - opening.height_m / 2) < opening.height_m / 2
    )


def _bars(u: Floats, z: Floats, window: Opening) -> NDArray[np.bool_]:
    """The frame of a window and the bars between its panes."""
    x, y = u - window.offset_m, z - window.sill_m
    frame = (np.minimum(x, window.width_m - x) < 0.06) | (np.minimum(y, window.height_m - y) < 0.06)
    panes = max(1, round(window.width_m / 0.75))
    upright = np.abs((x / window.width_m * panes + 0.5) % 1 - 0.5) * window.width_m / panes < 0.022
    return frame | upright | (np.abs(y - window.height_m * 0.55) < 0.025)


def _wall_colour(
    scene: Scene, number: int, u: Floats, z: Floats
) -> tuple[Floats, NDArray[np.bool_]]:
    """Colour of the points of one wall, and which of them are glass."""
    colour = np.broadcast_to(_rgb(scene.wall_colours[number]), (len(u), 3)).copy()
    if scene.open_sky:  # a fence of boards
        colour *= (0.85 + 0.3 * _hash(u / 0.15, u * 0)[:, None]) * np.where(
            (u / 0.15) % 1 < 0.06, 0.5, 1
        )[:, None]
        return colour, np.zeros(len(u), bool)
    if number in scene.tiled_walls:
        joint = ((u / 0.15) % 1 < 0.03) | ((z / 0.15) % 1 < 0.03)
        colour *= (0.94 + 0.12 * _hash(u / 0.15, z / 0.15))[:, None]
        colour[joint] = _rgb("#d8d8d0")
    colour[z < 0.13] = _rgb("#ece8de")
    colour[np.abs(z - 0.13) < 0.008] *= 0.6
    for door in (d for d in scene.doors if d.wall == number):
        _paint_door(colour, u, z, door)
    glass = np.zeros(len(u), bool)
    for window in (w for w in scene.windows if w.wall == number):
        on = _inside(u, z, window)
        around = (np.abs(u - window.offset_m - window.width_m / 2) < window.width_m / 2 + 0.07) & (
            np.abs(z - window.sill_m - window.height_m / 2) < window.height_m / 2 + 0.07
        )
        colour[around] = _rgb("#efece4")
        bars = on & _bars(u, z, window)
        glass |= on & ~bars
        if window.covering == "blind":
            drawn = on & (z > window.sill_m + window.height_m * 0.62)
            colour[drawn] = _rgb("#d9cfb6") * (0.8 + 0.2 * ((z[drawn] / 0.05) % 1 > 0.2))[:, None]
            glass &= ~drawn
        elif window.covering in {"sheer", "blackout"}:
            side = window.width_m * (0.5 if window.covering == "sheer" else 0.12)
            hung = on & (
                np.minimum(u - window.offset_m, window.offset_m + window.width_m - u) < side
            )
            fold = (
                1.6 + 0.35 * np.sin(u[hung] * 70)
                if window.covering == "sheer"
                else 0.14 + 0.05 * np.sin(u[hung] * 60)
            )
            colour[hung] = np.array([1.0, 0.99, 0.96]) * fold[:, None]
            glass &= ~hung
    return colour, glass


def _paint_door(colour: Floats, u: Floats, z: Floats, door: Opening) -> None:
    x, y = u - door.offset_m, z - door.sill_m
    frame = (x > -0.08) & (x < door.width_m + 0.08) & (y < door.height_m + 0.08)
    colour[frame] = _rgb("#e9e4d8")
    leaf = (x > 0) & (x < door.width_m) & (y < door.height_m)
    colour[leaf] = _rgb("#b9a484")
    left, low = np.minimum(x, door.width_m - x), np.minimum(y - 0.1, door.height_m - y)
    panel = leaf & (left > 0.11) & (low > 0.11) & (np.abs(y - 0.95) > 0.1)
    colour[panel] = _rgb("#ab9676")
    edge = panel & ((left < 0.125) | (low < 0.125) | (np.abs(y - 0.95) < 0.115))
    colour[edge] = _rgb("#7d6c52")
    colour[leaf & (np.hypot(x - 0.08, y - 1.0) < 0.035)] = _rgb("#57503f")


def _floor_colour(scene: Scene, at: Floats) -> Floats:
    x, y = at[:, 0], at[:, 1]
    base = _rgb(scene.floor)
    if scene.floor_kind == "boards":
        board = np.floor(x / 0.14)
        length = y / 1.9 + _hash(board, board * 0)
        tone = 0.82 + 0.36 * _hash(board, length)
        tone *= np.where(((x / 0.14) % 1 < 0.03) | (length % 1 < 0.003), 0.45, 1)
    elif scene.floor_kind == "tiles":
        tone = (0.9 + 0.2 * _hash(x / 0.3, y / 0.3)) * np.where(
            ((x / 0.3) % 1 < 0.02) | ((y / 0.3) % 1 < 0.02), 0.6, 1
        )
    elif scene.floor_kind == "grass":
        tone = (
            0.8
            + 0.15 * np.sin(x * 2.1 + np.sin(y * 1.7)) * np.sin(y * 1.3)
            + 0.1 * _hash(x / 0.05, y / 0.05)
        )
        path = np.abs(x - 3.6 - 0.5 * np.sin(y * 0.5)) < 0.45
        colour = base * tone[:, None]
        colour[path] = _rgb("#b5aa98") * (0.9 + 0.2 * _hash(x[path] / 0.4, y[path] / 0.45))[:, None]
        return colour
    else:
        tone = 0.97 + 0.06 * _hash(x / 0.5, y / 0.5)
    return base * tone[:, None]


def _ceiling_colour(scene: Scene, at: Floats) -> Floats:
    tone = np.ones(len(at), np.float32)
    if scene.ceiling_grid:
        tone = np.where(
            ((at[:, 0] / 0.6) % 1 < 0.03) | ((at[:, 1] / 0.6) % 1 < 0.03), 0.75, 1
        ).astype(np.float32)
    elif scene.height_m > 4:  # beams
        tone = np.where((at[:, 1] / 2.5) % 1 < 0.12, 0.45, 1).astype(np.float32)
    return _rgb(scene.ceiling) * tone[:, None]


def _box_normal(box: Box, at: Floats) -> Floats:
    middle = np.array([(box[i] + box[i + 3]) / 2 for i in range(3)], np.float32)
    half = np.array([max((box[i + 3] - box[i]) / 2, 1e-3) for i in range(3)], np.float32)
    share = (at - middle) / half
    normal = np.zeros_like(at)
    axis = np.abs(share).argmax(axis=1)
    rows = np.arange(len(at))
    normal[rows, axis] = np.sign(share[rows, axis])
    return normal


def _lit(
    scene: Scene, at: Floats, normal: Floats, sun: tuple[float, float], cloudy: bool
) -> Floats:
    """Light on each point: from the sky through each window, from lamps, from the sun where it
    reaches, and what the room throws back.
    """
    sky = np.array([0.95, 1.0, 1.06], np.float32)
    if scene.open_sky:
        total = (0.75 + 0.25 * normal[:, 2:3]) * sky * (1.3 if cloudy else 0.55)
    else:
        area = sum(w.width_m * w.height_m for w in scene.windows)
        total = np.full_like(at, 0.05 + 0.012 * area)
    for window in scene.windows:
        wall = scene.sides[window.wall]
        middle = wall.point(
            window.offset_m + window.width_m / 2, window.sill_m + window.height_m / 2
        ).astype(np.float32)
        size = window.width_m * window.height_m
        to = middle - at
        far = (to * to).sum(axis=1)
        way = to / np.sqrt(far + 1e-6)[:, None]
        seen = np.maximum((way * normal).sum(axis=1), 0) * np.maximum(
            way[:, :2] @ wall.outward.astype(np.float32), 0
        )
        total += (
            (size * seen / (np.pi * far + size))[:, None]
            * sky
            * (1.1 if window.covering == "sheer" else 1.9)
        )
    if scene.lamps_lit:
        for lamp in scene.lamps_m:
            to = np.array(lamp, np.float32) - at
            far = (to * to).sum(axis=1)
            total += (np.maximum((to * normal).sum(axis=1), 0) / (far**1.5 + 0.3))[
                :, None
            ] * np.array([0.42, 0.33, 0.2])
    if not cloudy and sun[0] > 0:
        total += _sunlit(scene, at, normal, _sun_vector(scene, sun))[:, None] * np.array(
            [3.2, 3.0, 2.6]
        )
    return total


def _sunlit(scene: Scene, at: Floats, normal: Floats, sun: Floats) -> Floats:
    """How squarely the sun meets each point; 0 where a wall, a bar or a thing stands in the way."""
    meets = np.maximum(normal @ sun, 0)
    rays = np.broadcast_to(sun, at.shape)
    start = at + normal * 0.01
    distance, kind, which = _hit(scene, start, rays)
    free = kind == SKY
    end = start + rays * np.minimum(distance, 1e4)[:, None]
    for window in scene.windows:
        on = (kind == WALL) & (which == window.wall)
        u, z = _on_wall(scene.sides[window.wall], end), end[:, 2]
        through = on & _inside(u, z, window) & ~_bars(u, z, window)
        if window.covering == "blind":
            through &= z < window.sill_m + window.height_m * 0.62
        free |= through & (window.covering != "sheer")
    return meets * free


def _outside(scene: Scene, rays: Floats, cloudy: bool) -> Floats:
    """Sky, and a row of roofs and trees under it."""
    up = np.degrees(np.arcsin(np.clip(rays[:, 2], -1, 1)))
    turn = np.degrees(np.arctan2(rays[:, 0], rays[:, 1])) + scene.north_deg
    share = np.clip(up / 50, 0, 1)[:, None]
    top, low = (
        (np.array([0.7, 0.74, 0.8]), np.array([0.95, 0.95, 0.94]))
        if cloudy
        else (np.array([0.3, 0.48, 0.85]), np.array([0.85, 0.92, 1.0]))
    )
    colour = low + (top - low) * share
    roof = 3 + 7 * _hash(turn / 11, turn * 0) - 2.2 * np.abs((turn / 11) % 1 - 0.5)
    built = up < roof
    tone = 0.75 + 0.5 * _hash(turn / 11, turn * 0 + 3)
    colour[built] = (np.array([0.23, 0.19, 0.16]) * tone[:, None])[built]
    tree = up < 2.9 + 2.0 * np.sin(turn * 0.35) + 0.9 * np.sin(turn * 1.9)
    colour[tree] = np.array([0.1, 0.16, 0.07])
    colour[up < -6] = np.array([0.26, 0.26, 0.25])
    return colour
