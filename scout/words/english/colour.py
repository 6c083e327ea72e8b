"""What surfaces do to the colour of light: findings, what they rest on, why a figure is missing,
and what cannot be accepted of a colour or of a room to be cut into patches.
"""

MESSAGES = {
    "colour.bounce_best": (
        "Bounce {lights} off {surface}: {loss} lost, colour cast {cast:best,felt}[, {tint}]"
    ),
    "colour.bounce_best.full": (
        "{lights} off {surface}: {loss} less than direct; colour cast {cast} (1 = just visible)"
        "[, {tint}].[ All with the lamp flagged off the face; without a flag {spill} comes straight "
        "from it.][ Not off {avoid}: skin would turn.]"
    ),
    "colour.bounce_poor": (
        "Do not bounce {lights}: {loss} lost[, colour cast {cast:best,felt}][, {tint}]"
    ),
    "colour.bounce_poor.full": (
        "{lights} off {surfaces}, the best here: {loss} less than direct"
        "[; colour cast {cast} (1 = just visible)][, {tint}]."
    ),
    "colour.spill_lit": (
        "Spill[ from {surfaces}] colours the lit side[ {tint}]: colour cast {cast:best,felt} ({lights})"
    ),
    "colour.spill_lit.full": (
        "Spill from the walls[, most of it from {surfaces},] colours the lit side of {lights}"
        "[ {tint}]: colour cast {cast} (1 = just visible)."
    ),
    "colour.spill_shadow": (
        "Spill[ from {surfaces}] turns shadows[ {tint}]: colour cast {cast:best,felt} ({lights})"
    ),
    "colour.spill_shadow.full": (
        "Spill from the walls[, most of it from {surfaces},] is what fills the shadow side of "
        "{lights}[, {contrast} under the lit side]:[ it turns {tint},] colour cast {cast} "
        "(1 = just visible)."
    ),
    "colour.spill_clean": "Spill from the walls leaves {lights} clean: colour cast {cast:felt}",
    "colour.window_cast": (
        "Daylight[ off {surface}] turns the {side}[ {tint}] at {at}: colour cast {cast:felt}"
    ),
    "colour.window_cast.full": (
        "Daylight under the {sky} at {at}[, by way of {surface},] turns the {side}[ {tint}]: "
        "colour cast {cast} (1 = just visible)."
    ),
    "colour.window_clean": "Daylight through the windows keeps its colour: colour cast {cast:felt}",
    "colour.mixed": "The two sides of the face differ in colour: colour cast {cast:felt}",
    "colour.mixed.full": (
        "With all lights on[, under the {sky},] the two sides of the face lie[ {apart} and] a colour "
        "cast of {cast} apart (1 = just visible)."
    ),
    "colour.unknown": ("Colour of {lights} here is unknown[: colour cast {cast:felt}]"),
    "colour.unknown.full": (
        "What the room does to the colour of {lights} is unknown[, colour cast {cast} "
        "(1 = just visible)]: {because}."
    ),
    # how much a cast is, by eye
    "cast.felt": "{cast}, {felt}",
    "cast.unseen": "not seen",
    "cast.just": "just seen",
    "cast.slight": "slight",
    "cast.plain": "plain",
    "cast.strong": "strong",
    "bounce.of_daylight": "daylight",
    "bounce.colours_loose": ("the colour of {surfaces} is not known closely enough"),
    # the doubt of a class, and gels by their grade
    "bounce.doubt": "{risk}[, might be {might}]",
    "bounce.off": "bounce off {surface}",
    "bounce.gels": "{gels}[ (about {mired}, makers differ)]",
    "bounce.facts_of": "{facts} of {lights}",
    # why a figure is missing
    "bounce.outdoors": "outdoors there is nothing to bounce light off",
    "bounce.reasons": "{reasons}",
    "bounce.left_out": "not all of the light is known: {reasons}",
    "bounce.without_daylight": "daylight is left out[, {why}]",
    "bounce.unusable": "{fact} cannot be used[: {because}]",
    "bounce.light_unmeasured": (
        "{facts} of {light} is not measured",
        "{facts} of {light} are not measured",
        "facts",
    ),
    "bounce.no_lights": "no light of the kit is recorded",
    "bounce.no_place": "there is no place in this room for {light}",
    "bounce.outside": "{light} stands outside the room",
    "bounce.on_the_mark": "{light} stands on the subject's mark",
    "bounce.aimed_at_itself": "{light} is aimed at its own place",
    "bounce.subject_on_a_surface": "the subject's mark lies on a wall, the floor or the ceiling",
    "bounce.open_side": "{surface} is an open side: nothing to bounce off",
    "bounce.too_near": "{light} stands {away} from {surface}, too near to bounce off it",
    "bounce.not_seen": "{surface} cannot be seen from {light}",
    "bounce.nothing_arrives": "nothing of it reaches the subject from {surface}",
    "bounce.no_light_here": "no light of {light} reaches this side",
    "bounce.no_panes": "no window of the room lets light in",
    "bounce.sun_down": "the sun is down",
    "bounce.place_unknown": "the place is not recorded",
    "bounce.no_daylight": "the subject gets no daylight in these hours",
    "bounce.no_daylight_here": "no daylight to speak of reaches this side",
    "bounce.dark_cheek": "no light reaches one side of the face",
    # what is taken for granted
    "bounce.of": "{thing}: {what}",
    "bounce.matte": "surfaces scatter light evenly (matte); people are left out",
    "bounce.grey_pieces": "the colour of {pieces} is not measured: a grey of {share} is taken",
    "bounce.taken_as_interior": "the setting is not recorded: taken as an interior",
    "bounce.closed_all_round": (
        "a covered place with a surface on record on every side: taken as closed all round"
    ),
    "bounce.open_sides": (
        "a covered place: {sides} without a surface on record reflects nothing",
        "a covered place: {sides} without a surface on record reflect nothing",
        "sides",
    ),
    "bounce.ranges": (
        "surfaces not measured are taken as greys that reflect {dark} to {pale}. Coloured ones"
        " may do more"
    ),
    "bounce.opening_unmeasured": "{opening} is not fully measured: taken as part of {wall}",
    "bounce.opening_misnamed": "{opening} bears the name of a surface: taken as part of {wall}",
    "bounce.covering": "the {covering} of {window} is taken as a grey that reflects {share}",
    "bounce.glass": "the glass of {windows} is taken to reflect {share}; what passes it is lost",
    "bounce.doors": "{doors}: taken as shut and a grey that reflects {share}",
    "bounce.shiny": (
        "{finish}: mirror-like reflections are left out. Look for hot spots from the camera"
    ),
    "bounce.photo_under_lamps": "colour picked on a photo under lamps: good to about {doubt}",
    "bounce.photo_without_card": "colour from a photo without a card: good to about {doubt}",
    "bounce.everyday_name": "colour by its everyday name: a guess, good to about {doubt}",
    "bounce.doubt_of_colours": (
        "how well a surface is known: 1 % by a spectrum, 2 % by a reader, 5 % by a code or photo"
        " with a card. Under lamps 8 %, without a card 15 %, by a name 20 %; hue by lightness"
        " alone 10 %. One standard deviation (common practice); ranges hold nine of ten draws"
    ),
    "bounce.too_pure": "purer than any paint: each channel is held between 0.2 and 95 %",
    "bounce.held": "no surface reflects more than {most}: what was recorded above is held there",
    "bounce.spectrum_ends": (
        "the spectrum runs from {first} to {last} nm; beyond its ends the end value holds"
    ),
    "bounce.spectrum_level": (
        "its spectrum reflects {own}, not {recorded} as recorded; the spectrum is used"
    ),
    "bounce.colour_level": (
        "its colour reflects {own}, {recorded} is recorded: more than 30 % apart. Hue is taken"
        " from the colour, level as recorded"
    ),
    "bounce.taken_as_grey": "only its light reflectance is known: taken as a neutral grey",
    "bounce.planned_place": "{light} stands where the light plan puts it; pin it to be sure",
    "bounce.assumed_place": "{light} stands where it is assumed to; pin it to be sure",
    "bounce.taken_as_led": "the kind of {light} is not recorded: taken as a white LED of {cct}",
    "bounce.duv_of_kind": (
        "the tint of {light} is not measured: Duv {duv:signed,4} is taken, as its kind has"
    ),
    "bounce.natural_duv": (
        "its kind has a Duv of {natural:signed,4}; the stated {given:signed,4} is taken as that"
    ),
    "bounce.steered": "brought to {cct:exact}, Duv {duv:signed,4}, by a smooth filter",
    "bounce.nearest_led": (
        "no white LED of {asked} is tabled: the nearest, {nearest} at {at}, stands for it"
    ),
    "bounce.fluorescent": "a fluorescent of {asked} is taken as CIE {nearest}",
    "bounce.aimed_at_middle": "square to {surface} misses it from {light}: aimed at its middle",
    "bounce.flagged": "bounced lamps are flagged off the face. What they spill without a flag is listed apart",
    "bounce.lamps_alone": "lamps alone: no daylight is in these figures",
    "bounce.level_face": "the subject faces the camera, level",
    "bounce.sides": (
        "the lit side is square to the light, the shadow side turned straight away from it"
    ),
    "bounce.wall_between": (
        "a wall stands between {light} and the subject: nothing direct reaches the face"
    ),
    "bounce.points_away": (
        "{light} points away from the subject: next to nothing reaches the face directly"
    ),
    "bounce.cheeks": "the cheeks are planes turned {turn} to either side of where the face looks",
    "bounce.bare_bulb": "{light} is taken as a bare white bulb that shines evenly all round",
    "bounce.overcast_sky": "overcast",
    "bounce.clear_sky": "clear: the sun {high} high, its beam {beam}",
    "bounce.daylight_at": "daylight at {at}, {sky}",
    "bounce.sun_on_face": "the sun's beam falls on the face",
    "bounce.daylight_colours": (
        "daylight: overcast sky {overcast}, clear sky {blue} without the sun, its beam 2000 K low"
        " to 5500 K high. Ground and walls outdoors are grey (common practice; haze and trees"
        " shift it)"
    ),
    "bounce.daylight_sides": (
        "of daylight the lit side is upright and turned to the windows, the shadow side turned"
        " away. The camera is balanced to a card at the lit side"
    ),
    # a colour picked on a photo
    "card.wall_dark": (
        "the wall is too dark in the photo (under 32 of 255) for a fine reading: expose longer"
    ),
    "card.one_place": "picked in one place only: a second tells whether the light is even",
    "card.curve_out": (
        "the camera's tone curve (contrast {contrast:2}) is taken out by the two cards"
    ),
    "card.curve_in": (
        "one card only: the camera's own tone curve stays in. A white and a grey card together"
        " take it out"
    ),
    "card.none": "no card in the photo: an estimate only, the colour as the camera guessed it",
    "card.uneven": (
        "{what} is not flat: it varies by {varies:0} of 255; keep off edges, pattern and shadow"
    ),
    "card.nearly_clipped": "the card is nearly clipped: a darker exposure is surer",
    "card.mixed_light": (
        "the card has another colour in another place: mixed light; switch the lamps off and take "
        "daylight"
    ),
    # refusals
    "refusal.colour.one_of": "is not one of {options}",
    "refusal.colour.colour_code": ("is not a colour; give six hexadecimal digits such as #c9b79c"),
    "refusal.colour.colour_lab": "needs L above 0 to 100, then a and b",
    "refusal.colour.illuminant": "must be D50 or D65",
    "refusal.colour.no_surface_colour": "is no colour a real surface can have; measure it again",
    "refusal.colour.three_numbers": "must be three numbers",
    "refusal.colour.two_values": "value; two or more are needed",
    "refusal.colour.spectrum_reach": "does not reach from 400 to 700 nm",
    "refusal.colour.no_light": "gives no visible light",
    "refusal.colour.daylight_series": (
        "is below {least}, where the daylight series ends; say tungsten or LED"
    ),
    "refusal.colour.no_white_light": (
        "and Duv together describe no white light this kind could give"
    ),
    "refusal.colour.pixels": "must be rows of pixels with three channels",
    "refusal.colour.no_pick": "has no pick: mark one place or more on the wall",
    "refusal.colour.grey_needs_white": "goes beside a white card: pick the white card too",
    "refusal.colour.cards_disagree": (
        "is its light beside the white's; {due:2} is due: the cards are lit differently or swapped"
    ),
    "refusal.colour.card_clipped": "of 255: the card is clipped; expose so that it stays under 250",
    "refusal.colour.card_dark": "of 255: no light on the card in one channel",
    "refusal.colour.over_white": (
        "reflects more than all the light: gloss, a lamp in the picture, or a card in the shade"
    ),
    "refusal.colour.picks_apart": (
        "is how far the picks lie apart ({most} at most): they are lit differently or not one colour"
    ),
    "refusal.patches.plan_corners": "must be corners of two numbers each",
    "refusal.patches.plan_crosses": "walls touch or cross",
    "refusal.patches.plan_clockwise": (
        "must go round clockwise seen from above and enclose an area"
    ),
    "refusal.patches.same_name": "has the same name twice",
    "refusal.patches.most": "would cut the room into more than {most} patches; give a larger one",
    "refusal.patches.no_wall": "is not a wall of this plan, 0 to {last}",
    "refusal.patches.past_wall": "runs past the end of its wall ({length})",
    "refusal.patches.above_ceiling": "rises above the ceiling ({ceiling})",
    "refusal.patches.overlap": "overlaps another opening of its wall",
    "refusal.patches.no_length": "has no length",
    "refusal.patches.blind_patch": "have one that sees nothing of the room; check the plan",
    "refusal.patches.aimed_at_itself": ("is where the light itself stands; give a point to aim at"),
    "refusal.patches.row_a_patch": "must have one row for each of {count} patches",
    "refusal.patches.bands": "must have the bands of the reflectance, {count}",
    "refusal.patches.never_dies": "is too high for the light to die out",
}
