"""Noise, reverb, microphones and recordings."""

MESSAGES = {
    # noise and hours
    "noise.none": "no noise was read here",
    "noise.no_levels": "{readings}",
    "noise.no_level": "{reading}[ ({conditions})] gives no figure in dBA[, nor {missing} to sum one from][, and is at least {least}]",
    "noise.no_nc": "NC needs all octave bands of {reading}[; {missing} are missing]",
    "noise.nc": "{nc}",
    "noise.nc_under": "under {nc}",
    "noise.nc_over": "over {nc}",
    "noise.counted": (
        "The loudest reading counts, {reading}[; estimates do not ({estimates})]. The others:"
        " {others}"
    ),
    "noise.other": "{reading} {laeq}[ ({conditions})]",
    "noise.summed": "{reading}, {laeq:1}, is summed from its octave bands",
    "noise.disagree": "{reading} says {laeq:1}, its octave bands sum to {summed:1}; the level read is used",
    "noise.doubt": "{reading}, {method}: good to about {doubt:1} (common practice)",
    "noise.short": "{reading} lasted {lasted:0}; under {least:0} one passing car weighs too much or too little",
    "noise.under": "{by:1} under the limit[, {method}], give or take {doubt:1}[, {conditions}]",
    "noise.over": "{by:1} over the limit[, {method}], give or take {doubt:1}[, {conditions}]",
    "noise.other_hours": "nothing was read at these hours",
    "noise.comes": "{noises}[ on {struck}][ of {dates} dates][; quiet for {quiet}][ of {of}][, longest {longest}]",
    "noise.window": "{noise}, {spell}[ ({way})]",
    "noise.keep_out": "Keep speech out of {noise}",
    "noise.at": "{laeq} at {at}[ ({conditions})]",
    "noise.profile": "Quietest read: {quiet}; loudest: {loud}",
    "noise.one_hour": "read again at the hours of the shoot[: so far only about {at}]",
    # reverb
    "reverb.outdoors": "out of doors there is no reverb",
    "reverb.covered": "the place is covered but open at its sides, where the formulas of rooms do not hold",
    "reverb.no_surface": "{where} cannot be made of {material}",
    "reverb.openings_too_large": "the windows and doors of {wall} are larger than the wall",
    "reverb.all_absorbing": "what stands in the room absorbs all that its surfaces could; check areas and numbers",
    "reverb.only_bounds": "the reverb is known only between bounds",
    "reverb.bounds": "{facts} may be anything from bare to soft",
    "reverb.usual_doubt": "the usual doubt of the formulas against traced rooms, and of handbook absorption",
    "reverb.bare_pair": (
        "one pair of surfaces is softer than the rest. Between the others sound may last {time},"
        " if no more than {scatter} of it scatters. Furniture or a blanket there brings it down"
    ),
    "reverb.contents_unknown": "What stands in the room is not recorded: bare it is taken, and furniture and people make it drier",
    "reverb.hides": "{things} taken to cover as much of {surface}[, {free} standing free]",
    "reverb.thing": "{area} of {material}",
    "reverb.pieces": "{pieces} together absorb as {area} of open window would, by their volumes (EN 12354-6)",
    "reverb.pieces_once": "Seats among the contents and pieces up to {high} high may be the same: what absorbs more counts",
    "reverb.pieces_left_out": "Left out, for their sizes are not recorded: {pieces}",
    "reverb.taken": "Not recorded: {facts}; taken as a closed interior with nothing cut out of its walls",
    "reverb.usual_openings": "Windows count as glass and doors as wood, all of them shut",
    "reverb.handbook": "Absorption is the handbook's for each material; what is behind a surface can change it below 250 Hz",
    "reverb.formula": "Reverb[ by Sabine at {sabine}, where the mean absorption is below 0.2][; by Eyring at {eyring}]",
    "reverb.at": "{time} at {band}",
    "reverb.air_counted": (
        "The air's absorption is counted, as in rooms of {volume} or more (20 °C, 50 %"
        " humidity)[; without it {without}]"
    ),
    "reverb.air_left_out": "The absorption of the air is left out[; with it (20 °C, 50 % humidity) {with_air}]",
    "burst.none_good": "no recorded burst is good enough: {faults}",
    "burst.fault": "{burst} at {band}: {fault}",
    "burst.measured": (
        "The reverb is measured, from {bursts}: {mid} at 500 Hz and 1 kHz, give or take {doubt}."
        " The room was as it stood, with whoever was in it"
    ),
    "burst.left_out": (
        "{count} more burst is not used: its fall could not be read well",
        "{count} more bursts are not used: their fall could not be read well",
        "count",
    ),
    "burst.disagree": "The bursts disagree, {mid}: burst again where the subject will be",
    "burst.unused": "The recorded bursts are not used[: {because}]",
    "burst.judged_by": "Critical distances and results go by the measured reverb[; by its surfaces it would be {computed}]",
    # microphones
    "sound.missing": "{reasons}",
    "mic.none": "the kit has no microphones",
    "mic.missing": "{reasons}[; by noise alone it would be {alone}]",
    "mic.assumed": "The talker faces the microphone; speech falls 6 dB with each doubling of the distance; limits are common practice",
    "mic.effort_taken": "The vocal effort is not given: a normal voice is taken, 60 dBA at 1 m (ISO 9921)",
    "mic.noise_round": "Noise is taken to come from all round, and each microphone to add {own} of its own",
    "mic.on_camera": "An on-camera mic is taken as a cardioid",
    "mic.shotgun_indoors": (
        "A shotgun is taken at its mid-band gain (7 dB). Indoors, below 1 kHz, it hears no less"
        " of the room than a hypercardioid"
    ),
    "mic.worn": "Under the chin treble is a few dB down and clothing rubs; neither is in the figures",
    "mic.open_air": "Out of doors there is no reverb: noise alone decides, and wind is not in it",
    "mic.one_kind": "Keep one kind of microphone through a sequence: a lav cut against a boom sounds like another room",
    "mic.three_to_one": "Two open microphones: keep each three times further from the other talker than from its own (3:1, common practice)",
    "mic.comb": "Lay a rug, or go nearer: the floor reflects {under} under the voice and hollows it from {notch}",
    "room.modes": (
        "Standing waves between walls begin at {lowest}[. {near} lie together: a low voice may"
        " sound boomy, so keep off corners and the middle]"
    ),
    # findings
    "sound.quiet": "Quiet: {laeq:best}[, {conditions}]",
    "sound.quiet.full": "Quiet enough for {use}: {laeq:1}[ ({nc})][, {conditions}]",
    "sound.noisy": "Close microphones only: {laeq:best}[, {conditions}]",
    "sound.noisy.full": "Close microphones only: {laeq:1}[ ({nc})][, {conditions}]",
    "sound.loud": "Too loud for clean speech: {laeq:best}[, {conditions}]",
    "sound.loud.full": "Too loud for clean speech, look for the source or another room: {laeq:1}[ ({nc})][, {conditions}]",
    "sound.noise_unknown": "Noise is unknown: {why}",
    "sound.not_read_then": "Read the noise at the scene's hours, {hours}",
    "sound.not_read_then.full": "No noise reading is of the scene's hours, {hours}: those of other hours are taken",
    "sound.rumble": "Use the high-pass: low rumble, C {over} over A",
    "sound.rumble.full": "Low rumble: C is {over} over A, which flatters it; a high-pass at 80 to 100 Hz helps a voice",
    "sound.switched_off": "Judged without this: {noise}",
    "light.lamp_off": "Judged with {lamp} switched off",
    "sound.noises_come": "Noise that comes back: {noises}[; longest quiet {longest}]",
    "sound.noises_come.full": (
        "{noises} comes back[; quiet for {quiet} in all][, longest {longest}]",
        "{noises} come back[; quiet for {quiet} in all][, longest {longest}]",
        "noises",
    ),
    "sound.reverb_dry": "Dry enough for a voice: reverb {time}",
    "sound.reverb_dry.care": "May be live, {time} of reverb: clap and listen",
    "sound.reverb_dry.full": "Dry enough for a voice: reverb {time:2}, {by}[; {why}]",
    "sound.reverb_live": "Live room: reverb {time}",
    "sound.reverb_live.full": "Live room, keep microphones close or bring blankets: reverb {time:2}, {by}",
    "sound.reverb_unknown": "Reverb is unknown[, {time}]: {why}",
    "sound.flutter": "Flutter between {surfaces}: clap between them",
    "sound.flutter.full": "{surfaces:cap} face each other bare, {apart} apart: a flutter of {decay:1} against {room:1} for the room, unless something on them breaks it; clap between them",
    "sound.mic_clean": "Use {mic}: clean[ at {distance}]",
    "sound.mic_clean.full": "{mic}, {kind}[, at {distance}]: clean[, speech {snr} over the noise][, C50 {clarity:signed}]",
    "sound.mic_usable": "Use {mic}: usable[ at {distance}]",
    "sound.mic_usable.full": "{mic}, {kind}[, at {distance}]: usable[, speech {snr} over the noise][, C50 {clarity:signed}]",
    "sound.mic_guide_only": "Guide track only: {mics}",
    "sound.mic_unusable": "Unusable for speech: {mics}",
    "sound.mic_unknown": "No result yet for {mics}[: by noise alone {alone}]",
    "sound.mic_unknown.full": "No result yet for {mics}: {why}",
    # refusals
    "refusal.no_effort": "is no vocal effort; give {efforts}",
    "refusal.no_material": "is not in the absorption table; give {materials}",
    "refusal.no_octave": "is not an octave band here",
    "refusal.octave_missing": "has no level at {band}; every octave from 63 to 8000 Hz is needed",
    "refusal.counted": "is counted, not measured by area",
    "refusal.by_area": "is measured by area, not counted",
    "refusal.all_absorbing": "leaves nothing to reflect[: not less than all the surfaces, {surfaces}]",
    "refusal.shapes": "does not fit the other values in number",
    "refusal.no_level": "has no level in it; give at least one",
    "refusal.no_weighting": "is no weighting; give A, C or Z",
    "refusal.bits": "are needed of integer samples",
    "refusal.burst_short": "are shorter than a quarter of a second; record from before the burst until the room is silent",
    "refusal.no_signal": "has no signal in it; record it again",
    "refusal.full_scale": "reaches full scale; turn the recording level down and record the calibrator again",
    "refusal.other_tone": "has its strongest tone at {tone:1}; a calibrator gives 1000 Hz (or 250 Hz)",
    "refusal.not_alone": "holds more than the calibrator's tone; press the calibrator tight on the microphone and keep the room quiet",
    "refusal.wavers": "wavers by {by:1}; cut the handling noise off, or record again",
}
