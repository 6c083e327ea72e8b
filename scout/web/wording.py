"""How the words of the records are said on a page; the closed vocabularies stay what they are in
the sheet.
"""

from __future__ import annotations

SAID = {
    "hard_surface": "hard surface, plaster or paint",
    "brick_rendered": "rendered brick",
    "brick_painted": "painted brick",
    "concrete_rough": "rough concrete",
    "concrete_floor": "concrete floor",
    "tile_or_marble": "tile or marble",
    "plasterboard_wall": "plasterboard wall",
    "plasterboard_ceiling": "plasterboard ceiling",
    "wood_door": "wooden door",
    "wood_floor": "wooden floor",
    "carpet_thin": "thin carpet",
    "carpet_closed_foam": "carpet on closed foam",
    "carpet_open_foam": "carpet on open foam",
    "drapes_cotton": "cotton drapes",
    "curtain_light": "light curtain",
    "curtain_velvet": "velvet curtain",
    "ceiling_tile": "acoustic ceiling tile",
    "rockwool": "rock wool",
    "seats_upholstered": "upholstered seats",
    "seats_wooden": "wooden seats",
    "audience": "audience, seated",
    "person": "person",
    "estimate": "estimate by ear",
    "phone_app": "phone app",
    "phone_recording": "phone recording",
    "meter_class_2": "sound level meter, class 2",
    "meter_class_1": "sound level meter, class 1",
    "omni_clip": "clip-on, omnidirectional",
    "camera": "on the camera",
    "omni": "omnidirectional",
    "led": "LED",
    "true": "true north",
    "magnetic": "magnetic compass",
    "two_people": "two people",
    "full_figure": "full figure",
    "head_and_shoulders": "head and shoulders",
    "wanted": "wanted",
    "shut_out": "shut out",
    "first_choice": "first choice",
    "ruled_out": "ruled out",
    "must": "a must",
    "wish": "a wish",
    "fail": "does not pass",
    "problem": "problem",
    "unknown": "unknown",
    "care": "care",
    "good": "good",
    "pass": "passes",
    "key": "key light",
    "fill": "fill light",
    "back": "back light",
    "bounce": "bounced light",
}
TOPICS = {
    "when": "Dates and hours",
    "floor": "Clear floor",
    "height": "Ceiling height",
    "framing": "Framing",
    "noise": "Noise",
    "daylight": "Daylight",
    "colour": "Colour cast",
    "watts": "Electric power",
    "access": "Getting in",
    "budget": "Fee",
}
FACTS = {
    "width_m": "width",
    "length_m": "length",
    "plan_m": "plan",
    "height_m": "height",
    "facing": "facing",
    "skyline": "skyline",
    "storey": "storey",
    "sill_m": "sill",
    "offset_m": "offset",
    "laeq_db": "LAeq",
    "lceq_db": "LCeq",
    "bands_db": "octave bands",
    "reveal_m": "reveal",
    "overhang_m": "overhang",
    "overhang_gap_m": "gap under the overhang",
    "transmittance": "glass",
    "covering": "covering",
    "breaker_a": "breaker",
    "volts": "voltage",
    "other_load_w": "other load",
    "sockets": "sockets",
    "circuit": "circuit",
    "colour": "colour",
    "light_reflectance": "light reflectance",
    "finish": "finish",
    "material": "material",
    "at_m": "place",
    "lumens": "lumens",
    "cct_k": "colour temperature",
    "duv": "tint",
    "area_m2": "area",
    "count": "number",
    "can_switch_off": "switch",
    "verified": "circuit tried",
    "depth_m": "depth",
    "turn_deg": "turn",
    "movable": "whether it can be moved",
    "wall": "wall",
    "id": "label",
    "duration_s": "duration",
    "conditions": "conditions",
    "method": "method",
    "taken_at": "time",
    "setting": "setting",
    "name": "name",
    "subject": "subject's mark",
    "camera": "camera's mark",
    "path": "path",
    "subject_normal": "face",
    "way_in": "way in",
    "steps": "steps",
    "lift": "lift",
    "door_width_m": "narrowest door",
    "carry_m": "carry",
    "parking_distance_m": "carry",
    "keep_free": "exit to keep free",
}
KINDS = {
    "windows": ("window", "windows"),
    "doors": ("door", "doors"),
    "circuits": ("circuit", "circuits"),
    "outlets": ("outlet", "outlets"),
    "contents": ("furnishing", "furnishings"),
    "practicals": ("practical", "practicals"),
    "furniture": ("piece of furniture", "pieces of furniture"),
    "noise": ("noise reading", "noise readings"),
}
MARKS = {
    "good": "good",
    "pass": "good",
    "care": "care",
    "problem": "problem",
    "fail": "problem",
    "unknown": "unknown",
}


def worded(word: str) -> str:
    """A word of a vocabulary as it is said on a page."""
    return SAID.get(word, word.replace("_", " "))


def topic_words(topic: str) -> str:
    """A topic of needs or verdicts as a heading."""
    return TOPICS.get(topic, topic.replace("_", " ").capitalize())


def fact_words(path: str) -> str:
    """The path of a fact as it is said: `windows.W1.sill_m` becomes `W1 sill`,
    `room.windows[0].sill_m` `window 1 sill`.
    """
    said = []
    for part in path.split("."):
        name, _, index = part.partition("[")
        number = index.rstrip("]")
        if name in {"room", "marks", "surfaces"} or (name in KINDS and not number):
            continue
        if len(name) == 1 and name.isupper() and path.startswith("surfaces"):
            said.append(f"wall {name}")
            continue
        words = KINDS[name][0] if name in KINDS else FACTS.get(name, name.replace("_", " "))
        said.append(f"{words} {int(number) + 1}" if number.isdecimal() else words)
    return " ".join(said) or path
