"""Framings, where lights stand, what else must fit, and the key's strength."""

MESSAGES = {
    # findings: framings
    "space.framing_fits": "{framing:cap} with {lens}, the camera {distance} from the face[; its mark is at {mark}]",
    "space.framing_fits.full": "{framing:cap} with {lens}, the camera {distance} from the face[; its mark is at {mark}][; fits {fits}][; nothing gives {missing:or}].",
    "space.framing_tight": "{framing:cap} with {lens} only with the operator beside the camera",
    "space.framing_tight.full": "{framing:cap} with {lens} from {distance}[ (its mark is at {mark})] leaves no floor behind the tripod: the operator stands on its {side}.",
    "space.framing_held": "{framing:cap} with {lens} only with the camera {how}",
    "space.framing_held.full": "{framing:cap} with {lens} from {distance}[ (its mark is at {mark})] leaves no floor for a tripod: the camera is {how}, and {loss}.",
    "space.framing_through": "{framing:cap} with {lens} from behind {door}, {distance} from the face",
    "space.framing_through.full": "{framing:cap} with {lens} stands {beyond} behind {door}, {distance} from the face[ (its mark is at {mark})][; {why}]. Look at the floor there and who owns it; keep another way out free.",
    "space.framing_near": "{framing:cap} only from {distance}, where the face is distorted",
    "space.framing_near.full": "{framing:cap} with {lens} stands {distance} from the face[; its mark is at {mark}]; nearer than {least} it is distorted.",
    "space.framing_none": "{framing:cap} does not fit[: {short} of floor short]",
    "space.framing_none.full": "{framing:cap} with {lens} does not fit[: {because}].",
    "space.framing_unknown": "What the lenses can frame is not known",
    "space.framing_unknown.full": "What the lenses can frame is not known: {because}.",
    # findings: where lights stand
    "space.key_place": "The key stands {round} round from the lens, {above} above the eye line",
    "space.key_place.full": "{lights} stand out of frame, the key {round} round from the lens, {above} above the eye line, {distance} from the face[; {why}].",
    "space.light_no_place": "Nowhere to stand: {about}",
    "space.light_no_place.full": "{about} has nowhere to stand: {because}.",
    "space.in_frame": "In frame: {about}[; a lens from {clear} on does not see it]",
    "space.mirrored": "Mirrored in {about}: {shows}[, from {dark} on]",
    "space.mirrored.full": "Mirrored in {about}, in frame: {shows}[; outside it is dark from {dark} on]. Hang cloth, flag, or turn away until the lens sees none of it.",
    "space.light_off": "Out of its place as {part}: {about}",
    "space.light_off.full": "{about} stands {round} round from the lens, {above} above the eye line[: {because}].",
    "space.on_piece": "Have {piece} under {about} checked: weight, tipping",
    "space.on_piece.full": "{about} stands on {piece}: somebody who may judge it checks that it bears the weight and cannot tip, and ties the light with a safety wire.",
    "space.light_missing": "The kit has no {parts:or}",
    "space.plan_asks": "Look again: {question}",
    "space.places_unknown": "Where the lights can stand is not known",
    "space.places_unknown.full": "Where the lights can stand is not known: {because}.",
    # findings: shadows, background, boom, walk
    "space.head_shadow": "Hard shadow of the head on {surface} from {about}, in frame",
    "space.head_shadow.full": "{about} throws a hard shadow of the head on {surface}[, {beyond} behind it], in frame with {lenses}; a hard edge is lost from {free} on.",
    "space.back_depth": "{depth} from the face to what is behind it",
    "space.boom_shadow": "The boom pole's shadow of {lights} is {where}",
    "space.boom_shadow.full": "The shadow of {about} on its pole from picture {side}, thrown by {lights}, is {where}.",
    "space.boom_in_frame": "In frame: {about} on its pole",
    "space.boom_in_frame.full": "{about} on its pole from picture {side}, {distance} from the mouth, hangs in frame with {lenses}.",
    "space.boom_clear": "Out of frame: {about} on its pole, {distance} from the mouth",
    "space.boom_clear.full": "{about} on its pole from picture {side} hangs clear, {distance} from the mouth, {height} over the floor.",
    "space.boom_no_floor": "No floor for whoever holds {about}",
    "space.boom_no_floor.full": "Nobody has floor out of frame to hold {about} {distance} from the mouth, {height} over the floor.",
    "space.second_out": "{framing:cap} with {lens} leaves {person} out of the picture, by {off}",
    "space.second_out.full": "Aimed at person 1, the {lens} lens leaves {person} out of the picture, by {off}.",
    "space.others_unjudged": "Only person 1 is judged, not {people}, {away} off[; out of the picture at {lens}: {outside}]",
    "space.others_unjudged.full": "Light, lens and sound are worked out for the subject alone. Others are drawn, and lights stand clear of them[. Out of the picture at {lens}: {outside}].",
    "space.low_overhead": "Low: {about}, {height}; mind heads and what is raised",
    "space.low_overhead.full": "Overhead at {about} is {height}: tall people stoop, and poles, lamps and cases hit it.",
    "space.backdrop": "{about:cap} behind reads {stops:than} a grey card at the face",
    "space.backdrop.full": "{about:cap} behind reads {stops:than} a grey card at the face: {lux} of the lamps[, {day} of an overcast noon].",
    "space.flicker": "{shutter} may flicker under {about}",
    "space.flicker.full": "{shutter} may flicker under {about} on {mains}[, by up to {swing}]; {safe} do not.",
    "space.walk": "The light changes by {change} along the walk",
    "space.walk.full": "The light changes by {change} along the walk, from {most} at {brightest} to {least} at {darkest}[; {add} more would bring the dark end within a stop][; the camera holds {latitude}].",
    # findings: the key's strength
    "light.key_strong": "The key gives {lux}[, {over} more than {setting} needs]",
    "light.key_strong.full": "The key gives {lux} at the face and the camera needs {needed}[ for {setting}][; daylight there is up to {day}].",
    "light.key_weak": "The key is {short} short[, for {setting}]",
    "light.key_weak.full": "The key gives {lux} at the face and the camera needs {needed}[ for {setting}][; daylight there is up to {day}].",
    "light.key_lost_in_daylight": "The key is {under} under the daylight on the face[ at {at}]",
    "light.key_lost_in_daylight.full": "The key gives {lux} at the face, {under} under the {day} of daylight there[ at {at}].",
    "light.dim_low": "Dimmed to {least}, lower than most dimmers hold: {lights}",
    "light.key_turned_away": "The key is pointed away from the subject",
    "light.key_unknown": "Whether the key is strong enough is not known",
    "light.key_unknown.full": "Whether the key is strong enough is not known: {because}.",
    "light.fill_weak": "Too weak for {ratio} by {short}: {about}",
    "light.strength_unknown": "No lux at 1 m is recorded for {about}",
    "light.exposure": "Start at {iso}, {f_number}, {shutter}[, {white_balance:best}][, {nd} of ND]",
    "light.exposure.full": "Start at {iso}, {f_number}, {shutter}[, {white_balance}][, {nd} of ND]: {lux} on the lit side of the face[, {day} of it daylight][; key over fill {fill:signed}][; key over daylight {over_day:signed}].",
    # acts' own words
    "fit.lux_of": "the lux of {light} at 1 m",
    "fit.on_face": "on the face",
    "fit.camera_and_crew": "the camera with its crew",
    "fit.on_wall": "on a wall in frame",
    "fit.framing_with": "{framing} with {lenses}",
    "fit.lens_range": "{short:bare} to {long}",
    # the floor
    "fit.setting_taken": "the setting is not recorded: taken as an interior",
    "fit.door_by_eye": "where door {door} is along its wall is not measured: keep its way out free by eye",
    "fit.door_width_taken": "the width of door {door} is not measured: taken as {width} for the way out",
    "fit.no_furniture": "furniture is not recorded: the floor is taken as empty",
    "fit.furniture_by_eye": "place or size of {piece} is not measured: keep stands off it by eye",
    "fit.furniture_height": "the height of {piece} is not measured: no stand is put on it, and what it hides is not judged",
    "fit.cables_open": "cables run round walls, and there are none here",
    "fit.no_outlets": "no outlets are listed",
    "fit.outlets_unplaced": "where the outlets are on the walls is not measured",
    "fit.no_cables": "the kit lists no mains cables",
    "fit.no_camera": "no camera is listed in the kit",
    "fit.no_lens": "no focal length is listed for the camera",
    "fit.no_sensor": "the camera's sensor is not recorded",
    "fit.no_exposure": "f-number, shutter and ISO are not all recorded",
    "fit.no_kit": "no kit is recorded",
    "fit.no_lights": "the kit has no lights",
    "fit.subject_over_ceiling": "the subject's mark is not below the ceiling",
    # lights of the kit
    "fit.parts_taken": "the names in the kit do not say what every light is for: {parts} by place, strength and softness",
    "fit.light_as": "{light} is taken as {part}",
    "fit.stand_taken": "the stand of {light} is not recorded: taken to reach from {low} to {high}",
    "fit.head_taken": "the head of {light} is not recorded: taken as {head} high",
    "fit.beam_unknown": "{light} is not aimed at the subject and its beam is not recorded: its lux at the face is unknown",
    "fit.off_axis": "{light} points {angle} off the subject: its lux is good to half a stop",
    # what was taken
    "fit.camera_aims": "the camera points at the subject's mark",
    "fit.face_looks": "the subject's face looks level towards the camera",
    "fit.sizes_of_stands": (
        "stands take circles of {foot}, the tripod {circle}; the subject keeps {free} free."
        " Stands stay 5 % outside the frame; where none fits so, legs, pole and head just outside"
        " it. {under} stays free under the ceiling (common practice)"
    ),
    "fit.ratio_taken": "no ratio is given: taken as {ratio}, key to fill, each light alone",
    "fit.ratio_given": "the ratio of {ratio} is key to fill, each light alone",
    "fit.cheek": (
        "lights are dimmed to what the camera needs, or to the ratio over the daylight where that"
        " is more. The lit side is the skin nearest to the key, up to {turn} off the way the face"
        " looks"
    ),
    "fit.exposed_without_day": "daylight is not known and left out of the exposure",
    "fit.exposed_by_day": "no light has a place and a known lux: the exposure is for daylight alone",
    "fit.no_light_on_face": "no light falls on the face",
    "fit.day_colour": "daylight is taken as {overcast} under cloud, {clear} under a clear sky",
    "fit.mains_unknown": "the mains of the country are not known or of both kinds: the shutter is for {mains}",
    "fit.shutter_taken": "no shutter is recorded: taken as {shutter}",
    "fit.shutter_steadied": "the kit's {shutter} may beat with lamps on the mains: the nearest steady one is taken",
    "fit.iso_lowered": (
        "the ISO is {stops} under the kit's {iso}, before any ND. Keep {iso} and so much more ND"
        " where the camera's log wants its base ISO"
    ),
    "fit.iso_raised": "the ISO is {stops} over the kit's, for want of light",
    "fit.exposure": "exposure by ISO 2720 with C = {constant}",
    "fit.sizes_of_frames": (
        "frame sizes: full {full}, medium {medium}, close {close} high, two-shot {two} wide. Wide"
        " takes the room from side to side at its back wall (common practice)"
    ),
    "fit.floor_of_camera": "behind the lens, tripod and operator take {behind}, {across} across (common practice)",
    "fit.most_floor": "the camera's mark is not set: framings are tried in the direction with the most floor",
    "fit.no_depth_of_field": "the f-number is not recorded: depth of field is not worked out",
    # framings
    "fit.short": "needs {need} and there are {available}",
    "fit.short_behind": (
        "needs {need}, which leaves {left} behind the lens. Tripod and operator take {behind}[;"
        " would do with the operator on the camera's {side}]"
    ),
    "fit.wall_between": "a wall stands between camera and subject",
    "fit.narrow": "the floor there is too narrow for tripod and operator ({across})",
    "fit.on_furniture": "{piece} would stand on the floor of tripod or operator",
    "fit.hides_subject": "{piece} hides the subject from the lens",
    "fit.tripod_exit": "the tripod would block the way out at {doors}",
    "fit.door_behind": "from behind {door}: what the floor there is like is not recorded",
    "fit.door_jamb": "the wall beside {door} hides the subject",
    "fit.door_narrow": "in the opening of {door} the camera is hand-held",
    "fit.door_kept": "{door} is a way out that is kept free: no camera stands behind it",
    "fit.door_head": "the lens is too high or too far to see the subject under the top of {door}",
    "fit.door_in_shot": "the frame of {door} is in shot",
    "fit.door_leaf": "the leaf of {door} may be in the way: open it flat, or have it taken off",
    "fit.doorway_taken": (
        "seen through a door: walls of {wall}, the leaf square to its wall, the floor outside"
        " level (common practice). No window counts: what opens to the floor is recorded as a"
        " door"
    ),
    "fit.distorted": "fits, but from {distance} the face is distorted (under {least}): take a longer lens if one fits",
    "fit.furniture": "furniture",
    "fit.by_hand": "hand-held",
    "fit.by_clamp": "clamped to the wall",
    "fit.by_side": "operator on its {side}",
    "fit.loss_held": "the frame moves with the operator and tires in a long take",
    "fit.loss_clamp": "nobody operates it: the frame is locked, and a safety line holds the camera",
    # against a place for a light
    "fit.ceiling": "the ceiling at {ceiling} lets the middle of the head up to {head}",
    "fit.stand": "the stand reaches from {low} to {high}",
    "fit.seen": "its stand is in frame[ with the {lens} lens]",
    "fit.tight": "it fits with its legs turned between walls, people and frame, by centimetres: look through the lens",
    "fit.near_subject": "it is within {near} of the subject",
    "fit.furniture_there": "{piece} stands there",
    "fit.furniture_hides": "{piece} hides the face from it",
    "fit.head_between": "the head of another light stands in its way to the face: raise one of them",
    "fit.no_cable": "no mains cable of the kit reaches it",
    "fit.wall": "a wall leaves it no floor there",
    "fit.off_ground": "it is off the usable ground",
    "fit.wall_to_subject": "a wall stands between it and the subject",
    "fit.on_camera": "it stands on the floor of camera and operator",
    "fit.exit": "it blocks the way out at {doors}",
    "fit.path": "it stands on the subject's path",
    "fit.stand_there": "another stand is there",
    "fit.both": "{first}; {second}",
    "fit.no_height": "the ceiling at {ceiling} leaves {head} for the middle of the head, and the stand's least is {least}",
    "fit.always_seen": "wherever its stand has floor it is in frame, even with the {lens} lens",
    "fit.no_side": "no free floor is left on the side where such a light works",
    "fit.no_floor": "no free floor in sight of the subject is left",
    "fit.off_ideal": "the best place does not work ({against})",
    "fit.flat": "light so low is flat and spills on the wall behind",
    "fit.too_far_off": "that is too far off to count as such a light",
    "fit.clear_from": "in frame with wider lenses: clear from {lens} on",
    "fit.frame_unknown": "sensor and lenses are not recorded, so what is in frame is not known",
    "fit.pinned": "pinned there: {against}",
    "fit.pinned_off": "that is far from where such a light works",
    "fit.pinned_outside": "it is pinned outside the plan, of which nothing is recorded",
    "fit.pinned_beyond": "pinned there, beyond key, fill and back",
    "fit.for_background": "beyond key, fill and back: taken for the background",
    "fit.cable_short": "no cable of the kit reaches: its way is {need}, the longest is {longest}",
    "fit.cables_unknown": "lights are placed without regard to cables: {because}",
    "fit.cables_everywhere": "the kit's cables ({cables:1}) reach all of the floor from an outlet",
    "fit.cables_bind": (
        "lights stand where a cable of the kit ({cables:1}) reaches from an outlet. All are taken"
        " as on the mains"
    ),
    "fit.dim_key": "the fill is {short} too weak for {ratio}: dim the key by that, it still exposes",
    "fit.weak_fill": "the fill is {short} too weak for {ratio}",
    "fit.none_left": "the kit has no light left for it",
    "fit.board": (
        "the kit has no second light. Fill with a white board of {size} on the side away from the"
        " key[, or what {surface} reflects]"
    ),
    "fit.board_by_hand": "no free floor out of frame is left for a board on a stand: hold it by hand",
    "fit.meter_board": "the key's lux is not known, or the board is held by hand: meter it",
    "fit.board_opposite": "key and face lie on opposite sides of the board",
    "fit.board_lux": "it gives about {lux}[ with the key undimmed, {ratio} however it is dimmed]",
    "fit.board_taken": (
        "the board reflects {reflectance}, is turned half way between key and face, and the key's"
        " beam reaches it in full. Good to a stop either way; so near, a board of {size} gives a"
        " fifth less"
    ),
    "fit.no_bounce": "the stand cannot go low enough under the ceiling, and no wall has {throw} to spare",
    "fit.bounce_open": "outdoors there is neither ceiling nor wall to bounce from: bring a board or a silk",
    "fit.bounce_far": "the only free floor is far from where such a bounce works",
    "fit.same_fixture": "without the lux of both lights, the fill stands where a second key would give the ratio",
    # shadows and boom
    "fit.shadows_taken": (
        "shadows are those of a grown person's head and shoulders, softened by the width of the"
        " source. Furniture catches none (common practice)"
    ),
    "fit.width_unknown": "the width of {light} is not recorded, so how soft its shadow is stays unknown",
    "fit.shadow_nowhere": "the key's shadow of the head falls on nothing near",
    "fit.shadow": "the key's shadow of the head falls on {surface}[, up to {top}][, its edge soft over {edge}][, in frame with {lenses}]",
    "fit.key_moved": (
        "shadows, boom and other lights put the key {round} round from the lens, {above} above"
        " the eye line. Alone it would have {alone_round} and {alone_above}"
    ),
    "fit.boom_taken": (
        "the microphone hangs 60° up towards the camera. Its pole comes in level from one side, 1"
        " to 2 m, held out of frame (common practice)"
    ),
    # background
    "fit.backdrop_taken": (
        "the background is lit by key, fill and back dimmed as planned, at 9 by 5 points of the"
        " frame. The subject's shadow and what the room reflects are left out"
    ),
    "fit.open_behind": "nothing stands behind the subject in this frame",
    "fit.no_light_placed": "no light of the kit has a place",
    "fit.light_lux": "the lux at 1 m of {light} is not recorded",
    "fit.daylight_unknown": "the daylight at the marks is not known",
    # flicker
    "fit.pulses": "lamps on the mains pulse at twice its frequency, here fully: the worst common case (common practice)",
    "fit.mains_there": "mains of {mains} in {country} ({basis})",
    "fit.mains_both": "shutters are judged on mains of 50 and of 60 Hz, because {because}",
    "fit.dimmed_led": "a dimmed LED may pulse at a rate of its own: test on camera",
    "fit.no_shutter": "the camera's shutter is not recorded",
    # the walk
    "fit.walk_face": "light on a face that turns to each lamp; nobody and nothing stands between",
    "fit.walk_still": "every mark of the walk is at one place",
    "fit.walk_lux": "the lux of the {part} is not known",
    "fit.walk_stand": "the walk leads through the stand of {light}",
    "fit.walk_behind": "part of the walk is behind the lamps: nothing of them falls there",
    "fit.walk_no_day": "the daylight along the walk is not known",
    "fit.walk_day": (
        "daylight along the walk is an overcast noon's at each point, {where}. A clear sky or sun"
        " on the floor changes more"
    ),
    "fit.camera_side": "on the side that the camera sees",
    "fit.level_plane": "on a level plane",
    "fit.beam_even": "the beam of {light} is not recorded: taken as even wherever the walk goes",
    "fit.at": "({x}, {y})",
    "fit.walk_start": (
        "the most even line is from {from_place} to {to_place}, {length} within {stops}: start"
        " there[. It runs at {angle} to the lens, {way}]"
    ),
    "fit.along_lens": "nearly along it, so that the size of the face changes",
    "fit.slantwise": "slantwise",
    "fit.across_lens": "across it, so that its size holds",
    # the day first, and the other ways
    "fit.day_unknown": "available light first: how much there is is not known",
    "fit.day": (
        "available light first: at noon daylight brings the subject [{overcast} under an overcast"
        " sky][ and {clear} under a clear one] {where}[. The camera needs {needed}][. It is"
        " enough {spell} under an overcast sky]"
    ),
    "fit.way_none": "no light at all: an overcast noon gives {lux}, {needed} are needed",
    "fit.way_none_unknown": "no light at all: whether the day is enough is not known",
    "fit.way_bounce": "the key turned onto {surface}[, {cost} below the direct light]",
    "fit.way_bounce_risk": "risk of colour on skin: {risk}",
    "fit.way_bounce_none": "a bounce has no place",
    "fit.way_bounce_colour": "the colour of the surface is not measured",
    "fit.way_outside": (
        "a light through {opening} from outside, {round} round from the lens, {above} above the"
        " eye line[. It is {cost} below the key on its stand]"
    ),
    "fit.way_outside_none": "a light from outside: no window or door measured is on the camera's side of the face",
    "fit.way_outside_open": "a light from outside: the scene is in the open already",
    "fit.opening_low": "the opening is too low for it",
    "fit.upstairs": (
        "not from a stand: the room is not at ground level. A lift or tower is work for licensed"
        " people"
    ),
    "fit.glass_passes": "{share} of the light passes the glass",
    "fit.door_open": "the door stands open",
    "fit.outside_unseen": "what stands outside is not recorded: look at the ground, at who owns it, and at the weather",
    "fit.way_clamp": (
        "a small light clamped {on} at {height}, {round} round from the lens, {above} above the"
        " eye line[. It is {cost} below the key on its stand]. It wants a safety wire"
    ),
    "fit.on_pole": "to a pole or a shelf",
    "fit.on_piece": "to the edge of {piece}, once somebody has checked that it bears the weight and cannot tip",
    "fit.on_door": "over {door}, once somebody has checked its hinges",
    "fit.way_clamp_open": "a clamped light: there is nothing to clamp it to in the open",
    "fit.way_clamp_low": "a clamped light: the ceiling is no higher than the face",
    "fit.way_clamp_none": (
        "a clamped light: no height, furniture or door top is out of frame, in sight of the face"
        " and near 45°"
    ),
    "fit.clamp_lux": "its lux is the key's: a smaller head is weaker",
    "fit.way_motivated": (
        "a light that seems to come from {source}: {round} round from the lens, on picture"
        " {side}. Put the key on that side"
    ),
    "fit.way_motivated_none": "a light that seems to come from the room: no window or lamp of it is measured",
    "fit.way_motivated_behind": (
        "a light that seems to come from the room: its windows and lamps are behind the subject."
        " Good for an edge of light, not for the face"
    ),
    "fit.window": "window {label}",
    "fit.door": "door {label}",
    "fit.lamp": "lamp {label}",
    # a plan drawn by hand
    "fit.marks_wrong": "subject and camera must stand in the room, apart",
    "fit.mark_outside": "it stands outside the plan",
    "fit.mark_ceiling": "it is not below the ceiling",
    "fit.on_subject": "it stands on the subject, or nearly",
    "fit.tripod_wall": "a wall leaves the tripod less than its {across}",
    "fit.ratio_unknown": "the ratio is not known: key and fill need a place and a lux at 1 m each",
    "fit.ratio_met": "{ratio} as wanted",
    "fit.ratio_dim_fill": "dim the fill by {stops} for {ratio}",
    "fit.ratio_dim_key": "dim the key by {stops} for {ratio}, or bring the fill nearer",
    # cautions
    "caution.stands": (
        "Sandbag every stand and put its load over one leg. A tall stand or a boom arm needs two"
        " bags and a guard."
    ),
    "caution.on_furniture": (
        "Before a lamp stands on furniture or hangs on a door, have it checked by whoever may"
        " judge it. It must bear the weight and not tip. Tie the lamp with a safety wire."
    ),
    "caution.exits": "Keep every door, stair and way out free for at least {free}, also while lights are being moved.",
    "caution.heat": (
        "Hot lights burn hands, curtains and ceilings: leave air round them. Let them cool before"
        " striking, and never leave them alone."
    ),
    "caution.sprinklers": "Keep lights clear of sprinklers and smoke detectors, and never cover or switch these off: ask who runs the building.",
    "caution.mirrors": (
        "Keep mirrors and reflectors out of eyes and away from roads. A still mirror's patch"
        " walks about {drift} a minute at {away}."
    ),
    "caution.ladders": "On a ladder: one person, three points of contact, someone holding it; nothing is handed up past shoulder height.",
    "caution.flashes": "Warn before switching on a bright light or a strobe, and ask whether anybody present is sensitive to flashing light.",
    # refusals of the calculations
    "refusal.number.finite": "must be a finite number",
    "refusal.number.above": "must be above {limit}",
    "refusal.number.least": "must be {limit} or more",
    "refusal.number.below": "must be below {limit}",
    "refusal.number.most": "must be {limit} or less",
    "refusal.space.corners": "must be three or more corners of x and y",
    "refusal.space.corner_count": "corners: a plan has 3 to {most}",
    "refusal.space.corner_twice": "is the same corner twice",
    "refusal.space.path": "must be two or more points of x, y and z",
    "refusal.space.no_length": "must have a length",
    "refusal.space.same_place": "must not be at the same place as the other",
    "refusal.space.outside_plan": "lies outside the plan",
    "refusal.space.over_ceiling": "is not below the ceiling ({ceiling})",
    "refusal.space.along_wall": "stands on a wall it looks along",
    "refusal.space.all_shutters": "is so slow that every shutter on the camera is safe",
    "refusal.space.away_from_sun": "lies straight away from the sun",
}
