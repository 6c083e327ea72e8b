"""The sun: its day, direct sun through windows, on the subject and in the lens, which way a room
faces.
"""

MESSAGES = {
    # findings
    "sun.on_face": "Sun on the face {spells}",
    "sun.on_face.full": "Sun through {windows} falls on the face {spells}, {lasts} in all",
    "sun.on_subject": "Sun on the subject from the side or behind {spells}",
    "sun.on_subject.full": (
        "Sun through {windows} falls on the subject, not into the face, {spells}, {lasts} in all"
    ),
    "sun.in_room": "Sun patches move through the room {spells}",
    "sun.in_room.full": "Sun through {windows} {spells}, {lasts} in all",
    "sun.none": "No direct sun comes in",
    "sun.outdoors": "Sun {spells}, moving round the face",
    "sun.outdoors.full": "The sun stands on the subject {spells}, {lasts} in all, and moves round",
    "sun.in_frame": "The sun stands in frame {spells}",
    "sun.in_lens": "Sun by the frame may flare the lens {spells}",
    "sun.low": "Low sun {spells}: colour and light change fast",
    "sun.unknown": "Direct sun[ {where}] is not known",
    "sun.unknown.full": "Direct sun[ {where}] is not known: {why}",
    "sun.on_the_subject": "on the subject",
    # where and when
    "sun.zone_by_longitude": (
        "the time zone is not recorded: times are on UTC{hours:signed}, from the longitude alone"
    ),
    "sun.at_pole": "at a pole bearings are counted from the meridian of the longitude given",
    "sun.sea_level": (
        "the height above the sea is not recorded: sea level is taken, which moves the sun by less"
        " than 0.001°"
    ),
    "sun.null_island": (
        "the coordinates are 0, 0, which is also what a phone writes when it withholds its"
        " position: confirm them"
    ),
    "sun.convention": (
        "the horizon is taken as level, at sea; hills, height and weather move the times. Sunrise"
        " and sunset are at −0.833°, civil twilight at −6°. Blue hours run from −6° to −4°, low"
        " sun from −4° to +6° (common practice)"
    ),
    "sun.grazes": (
        "the sun grazes the horizon: the air's refraction decides, and times near it may be out by"
        " many minutes"
    ),
    "sun.clocks_change": "the clocks change: this date has {hours} hours",
    "sun.repeated": "this date holds {n} {events}",
    "sun.sets_first": (
        "the sun sets before it rises on this date: the first sunset belongs to the day before"
    ),
    "sun.never_sets": "the sun does not set on this date",
    "sun.never_rises": "the sun does not rise on this date; it reaches {highest:1}",
    "sun.moon": "the moon's times are for a level sea horizon, good to two minutes",
    "sun.local_mean_time": (
        "standard time had not yet come to {zone}: times are on local mean time"
    ),
    "sun.clock_rules": "the clocks are taken to change then as they do by today's rules",
    "sun.no_such_date": "{on} does not exist in {zone}: the clocks there skipped it",
    "sun.air": "refraction for 1013 hPa and 12 °C",
    "sun.no_noon": "the date holds no solar noon",
    "sun.below": "the sun is below the horizon",
    "sun.behind_skyline": "the skyline hides the sun",
    # which way a room faces
    "sun.facing_doubt": ("the bearing is taken as good to {doubt:1}, as a phone compass there is"),
    "sun.check_worth": (
        "the first sun through {window} begins between {earliest} and {latest}. With the bearing"
        " checked by a shadow or a map: between {then_earliest} and {then_latest}"
    ),
    "sun.check_worth_last": (
        "the last sun through {window} ends between {earliest} and {latest}. With the bearing"
        " checked by a shadow or a map: between {then_earliest} and {then_latest}"
    ),
    "sun.no_true_north": "{why}, so the magnetic bearing cannot be turned to true north",
    "sun.declined": "{read:1} magnetic is turned by {turn:2,signed} to true north ({model})",
    "sun.compass": (
        "a compass beside steel, wiring or a car can be degrees out: check it against the sun or"
        " a map"
    ),
    "sun.read_on_unknown": (
        "the day the compass was read is not recorded: the declination of {on} is used"
    ),
    "sun.north_unknown": (
        "which north the bearing was read from is not recorded: true north is taken, good to"
        " {doubt:1}[. From magnetic north it would be {other:1}]"
    ),
    "sun.by_map": "two map points {apart} apart, {way} {wall}",
    "sun.points_taken": "either point is taken as good to {doubt}",
    "sun.by_shadow": (
        "shadow {length} long at {at:when}, sun at bearing {bearing:1}, {height:1} high"
    ),
    "sun.by_photo": (
        "shadow {length} long on a photo at {at:when}, by a rectangle {along:bare} by {deep} along"
        " {wall}, sun at bearing {bearing:1}, {height:1} high"
    ),
    "sun.level_floor": "the floor is level and the edge upright",
    "sun.laid": "the rectangle lies along {wall} to {doubt}, its corners square",
    "sun.clicked": "every point was clicked to {share:1} of the picture's width",
    "sun.straight_lens": "the lens draws straight lines straight",
    "sun.clock_taken": "the clock is taken as good to {doubt:0}",
    "sun.very_low": "the sun stood very low, where an uneven floor moves a shadow most",
    "sun.behind_windows": (
        "with this facing the sun stood behind every window: the shadow's near and far end may be"
        " swapped"
    ),
    "sun.whole_picture": (
        "the picture is whole, not cropped, and the phone was held upright without leaning to a"
        " side"
    ),
    "sun.level_lens": "the lens is taken as level: half-way up the picture is the horizon",
    "sun.wide_lens": (
        "near the edges of so wide a picture the lens may bend what is straight by a degree or two"
    ),
    # windows
    "sun.no_walls": "outdoors there is no wall for a window to be in",
    "sun.at_wall_end": "{window} lies at the very edge of {wall}",
    "sun.none_taken": (
        "{fact} is not measured: none is taken, so the sun may come later and go sooner"
    ),
    "sun.open_skyline": "the skyline[ of {window}] is not measured: a level horizon is taken",
    "sun.one_point": "the skyline[ of {window}] has one point: {height:1} is taken all round",
    "sun.wings_left_out": (
        "the room's own walls stand before {window}; not all is measured, so their shade is left"
        " out"
    ),
    "sun.wings": (
        "the room's own walls stand before {window}; they are taken to end at its height, {height}"
    ),
    "sun.bearing_range": "the range is for the bearing {doubt:1} either way",
    "sun.may_fail": "if the bearing is out by its doubt, the sun of {at} may not come at all",
    "sun.may_come": "if the bearing is out by its doubt, direct sun may also come {spell}",
    "sun.softened": "a sheer hangs in {window}: the sun comes through softened, without patches",
    "sun.shut_out": "{window} has its {covering} shut: no direct sun comes through",
    # on the subject and in the lens
    "sun.open_sides": (
        "a covered place is open at its sides, and what they let in is not recorded"
    ),
    "sun.no_direct": "windows with something drawn before them let no direct sun through",
    "sun.no_backdrop": "outdoors what stands behind the subject is not recorded",
    "sun.caution": (
        "Never look at the sun, least of all through a viewfinder or a long lens. It burns eyes"
        " and sensors in moments."
    ),
    "sun.lens_caution": (
        "Sun in the lens burns sensors, shutters and eyes in moments: shade it or turn away."
        " Never look into the sun through a viewfinder."
    ),
    "sun.reflector_caution": (
        "A mirror or hard reflector throws the sun itself: never into eyes, never towards traffic"
        " or aircraft. Cover it when nobody holds it. Weight its stand against wind."
    ),
    "sun.not_seen": "its opening is not seen from the {mark}",
    "sun.walls_hide": "the room's own walls hide it from the {mark}",
    # outdoors
    "sun.outdoors_only": "this is for a place outdoors; indoors the windows decide",
    "sun.kinds": (
        "key: the sun 30° to 60° to one side of where the face looks and 30° to 60° high. Back"
        " light: more than 120° round and up to 60° high, beyond which eyes fall dark. Flat: less"
        " than 30° aside (common practice)"
    ),
    "sun.sky_behind": (
        "a bright sky behind the subject may burn out. A clear sky is darkest opposite the sun,"
        " an overcast one bright all round"
    ),
    "sun.behind_subject": (
        "behind the subject lies the sky towards {bearing}, brightest while the sun is back light"
    ),
    "sun.no_side": (
        "the face looks straight up or down, so there is no side for the sun to stand on"
    ),
    "sun.not_up": "the sun is not up",
    "sun.no_mirror": "the reflector {why}",
    "sun.reflector_stands": (
        "the reflector stands {away} off, 45° from where the face looks, on the side away from the"
        " sun"
    ),
    "sun.reflector_chest": "the beam is aimed {under} under the eyes: at the chest, never into eyes",
    "sun.reflector_stays": "left alone, the patch stays within that drift until the sun has set",
    # zone and magnetic models
    "sun.zone_pole": (
        "the place lies at a pole, where every zone meets; use the clocks of the station or crew"
    ),
    "sun.zones": "several zones are in use here ({zones}); choose the one the crew's clocks show",
    "sun.off_coast": (
        "the place lies off the coast, whose waters begin within {away}. {zone} is the zone of"
        " the nearest land: confirm it[; {null}]"
    ),
    "sun.no_land": ("no land within {away}; set the zone the crew's clocks will show[; {null}]"),
    "sun.phone_zero": "0, 0 is also what a phone writes when it withholds its position",
    "sun.model_out": (
        "the magnetic models reach from {first} to {last}, and {on} is {years:0}"
        " years outside; give the bearing from true north"
    ),
    "sun.compass_useless": (
        "a compass is of no use so near a magnetic pole: the horizontal field is {field} nT. Give"
        " the bearing from true north"
    ),
    "sun.model_old": (
        "the magnetic model {model} is made for five years, to {last}. {on} is {years:1} years"
        " outside, so the correction may be {lost:1} more off"
    ),
    "sun.weak_field": (
        "the horizontal magnetic field is weak here ({field} nT): a compass is good to {doubt:1}"
        " at best"
    ),
    "country.coordinates": "from the coordinates",
    "country.nearest": "from the nearest land",
    "country.zone": "from the time zone alone",
    "country.unknown": "neither coordinates nor time zone name a country",
    # refusals
    "refusal.sun.no_offset": "has no offset from UTC; write one, as in 2026-06-21T14:00:00+01:00",
    "refusal.sun.points_apart": "must be {least} to {most} from the first point",
    "refusal.sun.shadow_apart": "must not be the point where the shadow starts",
    "refusal.sun.skyline_pairs": "must be pairs of bearing and elevation, one at least",
    "refusal.sun.panes": "must be 1 or 2",
    "refusal.sun.bearing_for_sun": "is needed to place the sun",
    "refusal.sun.bearing_for_skyline": "is needed to place a skyline",
    "refusal.sun.four_corners": "must be four corners, and two points of the shadow",
    "refusal.sun.two_points": "must be two points apart",
    "refusal.sun.one_rectangle": (
        "must be the four corners of one rectangle, clicked round it in order"
    ),
    "refusal.sun.wrong_way_round": (
        "go round the wrong way: begin with the corner by the wall on your left as you face it"
    ),
    "refusal.sun.on_floor": (
        "must lie on the floor; a point lies above where the floor ends in the distance"
    ),
    "refusal.sun.no_plan": "cannot be placed: the plan of the room is not measured",
    "refusal.sun.says_nothing": "says nothing yet: {why}",
    "refusal.sun.long_line": (
        "must lie {least} or more from the other point; a long line gives a good bearing"
    ),
    "refusal.sun.in_picture": (
        "(point {number}) lies outside the picture; give shares of its width and height, 0 to 1"
    ),
    "refusal.sun.sun_down": (
        "is a time when the sun is down there; give when the shadow lay there, with the right"
        " offset"
    ),
    "refusal.sun.one_of_two": "give either the field of view or the focal length, one of the two",
    "refusal.sun.no_wall": "is no wall of this room; give {walls}",
}
