"""Daylight: enough or short, too bright, what was taken where nobody measured."""

MESSAGES = {
    # findings
    "light.enough": "Daylight is enough {spell}[, for {setting}]",
    "light.enough.care": "Daylight is only just enough {spell}[, for {setting}]",
    "light.enough.full": (
        "{plane:cap} daylight is enough {spell}, under an overcast sky too; at {at} it is"
        " {cloud:over}[, {sun:over} under a clear sky][, for {setting}]"
    ),
    "light.clear_only": "{short} short under cloud[ for {setting}]; clear sky is enough {spell}",
    "light.clear_only.full": (
        "{plane:cap} an overcast sky is {short} short at {at}[ for {setting}]; a clear sky is enough {spell}"
    ),
    "light.short": "Daylight is {short} short at {at}[, for {setting}]",
    "light.short.full": (
        "{plane:cap} daylight is {short} short at {at} under an overcast sky[, {sun} under a clear"
        " one]; the camera needs {needed}[ for {setting}]"
    ),
    "light.too_bright": "{over:cap} too bright at {brightest}[, for {setting}]",
    "light.too_bright.full": (
        "{plane:cap} daylight is {over} over what the camera needs ({needed}[ for {setting}]), most at"
        " {brightest}[; enough {spell}]"
    ),
    "light.dark": "No daylight at these hours[: {why}]",
    "light.unknown": "Whether daylight is enough is not known",
    "light.unknown.full": "Whether daylight is enough is not known: {why}",
    "light.read_odd": "Light reading {reading} is {off:than} the room as recorded",
    "light.read_odd.full": (
        "Light reading {reading}, {lux}, is {off:than} what the room as recorded gives then, {given};"
        " every figure of daylight follows the reading: read again, hour and sky beside it"
    ),
    "light.depends": ("between {least:over} and {most:over}, by what is not measured"),
    "light.setting": "{iso}, {stop}, {shutter}",
    # what is taken
    "light.range_from": (
        "the true light may be {times:1} times more or less, mostly by {fact}. With that"
        " measured, {left:1} times"
    ),
    "light.range_read": "the true light may be {times:1} times more or less, by the light that was read",
    "light.scaled": "light under {sky} is multiplied by {times:2}, by what was read ({readings})",
    "light.read_at_night": "there is no daylight at {at}: the reading is kept and changes nothing",
    "light.skies": (
        "overcast: CIE standard overcast sky. Clear: CIE standard clear sky (type 12) and direct"
        " sun. How bright each is follows the IES availability practice: means, an instant may be"
        " half or double"
    ),
    "light.planes": (
        "lux is given on a level plane at the mark, and on the side that the camera sees. That"
        " side is upright, or the way the face looks"
    ),
    "light.no_twilight": "between sunset and the end of civil twilight no figure is given",
    "light.noon_in_twilight": (
        "at noon the sun is not up and it is twilight, for which there is no figure"
    ),
    "light.sun_not_up": "the sun is not up at that time, and twilight is not worked out",
    "light.ground": (
        "the ground outside is taken to reflect {share}: deep in a room a third of the daylight"
        " comes from it"
    ),
    "light.matte": "surfaces are taken as matte, and people are left out",
    "light.empty": "furniture is not recorded: the room is taken as empty, and furnished it is darker",
    "light.furnished_usual": (
        "furnished about as usual: {pieces} pieces along the walls over {share} of the floor. The"
        " range reaches from there to the bare room"
    ),
    "light.pieces_left_out": (
        "place or size of {pieces} is not measured: the light is worked out without"
    ),
    "light.mark_in_piece": "a mark lies within {pieces}: the light is worked out without it",
    "light.pieces_taken": (
        "the reflectance of {pieces} is not measured: {share:best} is taken (common practice),"
        " {share} worked out"
    ),
    "light.no_windows": "the room has no windows",
    "light.frames_taken": (
        "the reflectance of {facts} is not measured: {share:best} is taken (common practice),"
        " {share} counted into the range"
    ),
    "light.frame_limits": ("reveals and overhangs are taken as matte and evenly lit"),
    "light.street": (
        "what stands before the sky is taken as a street {width} wide, its facades reflecting {facade},"
        " this building [{own} high][{like}]"
    ),
    "light.street_like": "as high as those opposite, or half or twice that",
    "light.facades": ("what stands before the sky is taken to reflect as the ground does in shade"),
    "light.bare_glass": "what hangs in {window} is not recorded: bare glass is taken",
    "light.all_shut": (
        "{windows} is blacked out",
        "{windows} are blacked out",
        "windows",
    ),
    "light.blacked_out": "{window} is blacked out: no light is taken to come through",
    "light.drawn": (
        "the {covering} in {window} is taken drawn, to pass {share} of the light and scatter it."
        " Half to twice that is usual"
    ),
    "light.slant": "glass loses more at a slant, as plane uncoated panes do (Fresnel, index 1.52)",
    "light.double": "double glazing is reckoned as two panes alike with air between",
    "light.single": (
        "where double glazing is not recorded, one pane is taken. Two would change the sky's"
        " light by 2 %, a slanting sun's by a tenth"
    ),
    "light.reflectance_taken": (
        "{surfaces} not measured: {share:best} is taken (common practice), {share} worked out"
    ),
    "light.glass_taken": (
        "the glass of {windows} is not measured: it is taken to pass {share:best} (common practice),"
        " {share} worked out"
    ),
    "light.doors": "doors are taken shut, reflecting {share}",
    "light.held": "no surface reflects more than {most}: the {given} of {surface} is held there",
    "light.no_colour": "the colour of {surface} cannot be used: {why}",
    "light.open_ground": "open ground: nothing but the skyline stands round the mark",
    "light.grid_sky": (
        "CIE overcast sky; the factor is light on a level plane for each lux under the open sky"
    ),
    "light.year": "each cell is the middle of its time",
    "light.steady": (
        "steady as far as the sun and an unchanging sky go: passing clouds are not foreseen"
    ),
    "light.skin": (
        "the face is taken as light skin. A window's luminance is the mean of what the camera"
        " sees through it, without the sun's own disc"
    ),
    "light.latitude": (
        "latitude is counted from the face up to the last bright detail (common practice: half of"
        " the camera's range or less)"
    ),
    # what is missing
    "light.covered": (
        "a covered place is open at its sides, and how much sky they show is not recorded"
    ),
    "light.no_mark": "the {mark} is not given",
    "light.no_need": (
        "the camera's {facts} is not given, so the light it needs is not known",
        "the camera's {facts} are not given, so the light it needs is not known",
        "facts",
    ),
    "light.no_clear": "{why}, so the light of a clear sky and of the sun is not known",
    "light.no_side": "{why}, so which way the side that the camera sees looks is not known",
    "light.camera_outside": "the camera stands outside the room, behind a door: not worked out there",
    "light.straight_up": "the camera stands straight above or below the mark",
    "light.not_itself": "the camera does not see itself",
    "light.skyline_unplaced": "{why}; without it the skyline of {window} cannot be placed",
    "light.refused": "it cannot be worked out: {why}",
    "light.open_sky": "outdoors all of it is under the open sky, but for the skyline",
    "light.no_window": "outdoors there is no window",
    "light.no_frame": (
        "the camera's sensor or its lenses are not recorded, so what is in frame is not known"
    ),
    "light.no_latitude": (
        "the camera's latitude is not recorded, so whether it holds both is not known"
    ),
    "light.not_seen": "{window} is not seen from the camera",
    "light.black_window": "{window} is blacked out",
    # a window in frame
    "light.window": (
        "{window} in frame is {over} above the face[; the camera holds {latitude}: {comes}]"
    ),
    "light.both_held": "both can be held",
    "light.may_burn": "it may burn out",
    "light.burns": ("it burns out unless the window is dimmed or the face lit by {times:1} times"),
    # refusals
    "refusal.light.in_room": "must lie in the room",
    "refusal.light.each_surface": "must be one number for each of {walls} walls, the floor and ceiling",
    "refusal.light.each_mark": "must be one way for each of {marks} marks, none without length",
    "refusal.light.cells": "would make more than {most} cells; give a larger one",
    "refusal.light.step_min": "must be 5, 6, 10, 12, 15, 20, 30 or 60",
    "refusal.light.one_date": "give one date at least",
    "refusal.light.dates": "are more than {most}; give a shorter range",
}
