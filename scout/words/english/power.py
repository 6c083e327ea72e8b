"""Circuits, sockets and cables."""

MESSAGES = {
    # findings
    "power.all_plug_in": "Everything plugs in; circuit {circuit} is the fullest, at {share}",
    "power.all_plug_in.full": "{lights} lights[ and {chargers} chargers] plug in, and every cable reaches; "
    "the fullest circuit is {circuit} with {load:1} of {limit:1}.",
    "power.off_mains": "No light needs the mains: {about} on batteries",
    "power.nearly_full": "Put nothing more on circuit {about}: {share} of its limit",
    "power.nearly_full.full": "Circuit {about} carries {load:1} of {limit:1} ({share}), so one kettle more may trip it.",
    "power.overload": "Circuit {about} is over its limit before any light is on",
    "power.overload.full": "What hangs on circuit {about} already draws {load:1}; {limit:1} is its limit for hours.",
    "power.sockets_short": "No socket left for {about}",
    "power.sockets_uncounted": "Whether {about} find a socket is not known: {facts}",
    "power.left_out": "Circuit {circuit} is overloaded by {short:1}: {about}",
    "power.left_out.full": "Not all that needs the mains finds current: {about} would put {circuit}, which comes nearest, {short:2} over its limit.",
    "power.plug_small": "A plug there carries {carries}, and {about} draws {draws:1}",
    "power.plug_small.full": "{about} draws {draws:1}, and one plug there carries {carries} at most ({plug}), whatever the breaker.",
    "power.plug_kind": "Read the socket for {about}: everyday plugs carry {carries}",
    "power.plug_kind.full": "{about} draws {draws:1}; everyday plugs there carry {carries}[. {larger} will do]: read the socket.",
    "power.plug_hot": "Feel the plug of {about}, and give it rests",
    "power.plug_hot.full": "{about} draws {draws:1} through a plug of {carries:best}, more than is planned for hours: feel the plug, and give it rests.",
    "power.lead_short": "No cable reaches a socket from {about}: its way is {need}",
    "power.lead_short.full": "{about} cannot reach a socket: its way is {need:1}, the longest cable is {longest:1}. Do not chain cables.",
    "power.lead_taken": "No cable is left for {about}: its way is {need}",
    "power.length_unknown": "Cable to {about} not known: {because}",
    "power.lead_crosses_exit": "Exits stay free: the cable of {about} crosses {exits}",
    "power.lead_crosses_exit.full": "Exits stay free, and local code decides: whichever way it goes, the cable of {about} crosses {exits}.",
    "power.trip": "Tape or ramp the cable of {about}: across {crosses}",
    "power.voltage_drop": "The cable to {about} loses {drop:1} of the volts",
    "power.voltage_drop.full": "The cable to {about} ({lead}) loses {drop:1} of the volts; 3 % is the usual guidance.",
    "power.untraced": "Trace {about}: what hangs there is a guess",
    "power.untraced.full": "Which sockets hang on {about} is a guess.[ If they are one circuit it carries {together:1} of {limit:1}.]",
    "power.circuit_unproven": "A better plan for the circuits may exist",
    "power.circuit_unproven.full": "The search for the best plan was cut short by the number of lights[: the fullest circuit is at {share:2}, "
    "and none can bring that below {least:2}].",
    "power.no_mains": "No socket here: {about} need batteries",
    "power.unknown": "Circuits cannot be judged without {facts}",
    # why a light has no socket
    "power.because.plug": "it draws {draws:1} and one {plug} plug carries {most}",
    "power.because.sockets": (
        "the only socket is taken",
        "all {sockets} sockets are taken",
        "sockets",
    ),
    "power.because.no_free_socket": "the circuits with current to spare have no free socket",
    "power.because.current": "it needs {needs:1}, {short:2} more than circuit {circuit} can still carry",
    "power.no_outlets": "the room has no outlets",
    # cables
    "power.run_take": "{run:size} with rise and slack, {lead:cable} cable[, {how}]",
    "power.run_bring": "{run:size} with rise and slack, bring {run:lead}[, {how}]",
    "power.leads_for": (
        "a {lead:lead} cable for {lights}",
        "{lead:lead} cables for each of {lights}",
        "lights",
    ),
    "power.taped": "taped over the floor",
    "power.lead": "{length:1} of {conductor}",
    "power.gaps": "{gaps}",
    "power.no_place_yet": "no place yet",
    "power.light_outside": "outside the room's plan",
    "power.charger_anywhere": "it may stand anywhere",
    "power.no_cables_listed": "the cables of the kit are not listed",
    "power.no_conductor": "the conductor of the {length} cable is not recorded",
    "power.odd_conductor": "a conductor of {section} mm² {because}",
    "power.crosses.door": "door {door}",
    "power.crosses.walk": "the subject's walk",
    "power.crosses.shot": "the line from camera to subject",
    "conductor.metric": "{section} mm²",
    "conductor.gauge": "{awg} AWG",
    "conductor.gauge_of": "{section} ({awg} AWG)",
    "conductor.iec": "IEC 60228 at {warm} °C",
    "conductor.nec": "NEC chapter 9, table 8, at 75 °C",
    # what is assumed
    "power.share": "A circuit is loaded to {share} of its breaker at most, as for hours (NEC 210.20(A); elsewhere common practice).",
    "power.on_battery": (
        "{lights} draws nothing from the mains; bring batteries charged, and spares.",
        "{lights} draw nothing from the mains; bring batteries charged, and spares.",
        "lights",
    ),
    "power.on_mains": "Lights not marked as running on a battery are taken to run on the mains.",
    "power.one_circuit": "Outlets without a circuit ({outlets}) are taken to share one.",
    "power.one_socket": "Sockets not counted ({outlets}): one each is taken.",
    "power.factor_filament": "Power factor not given ({lights}): 1, as for a filament.",
    "power.factor_electronic": (
        "Power factor not given ({lights}): {factor}, as for an electronic supply without"
        " correction (common practice). With correction the current is a third less."
    ),
    "power.other_load": "Other loads on a circuit are taken at power factor 1 and running all the time.",
    "power.two_voltages": "Every light is taken to run on whichever voltage its circuit has; check each fixture's plate.",
    "power.low_mains": (
        "On low mains (10 % down) electronic supplies draw a tenth more. The wiring before the"
        " outlet drops volts of its own."
    ),
    "power.country_plug": "Everyday plugs in {country} ({basis}) carry up to {amperes} at {volts} ({plug}); a smaller one carries less: read it.",
    "power.no_plug": "No everyday plug of {country} at the volts of {circuits} is in the table: read the outlet.",
    "power.usual_there": "Usual in {country}: {usual}. That is not taken for {circuits}: read a plate, or the breaker.",
    "power.at_usual_volts": "At the usual {volts}, [{circuit}: ]what is plugged in there draws {drawn}.",
    "power.leads_run": (
        "Cables take the shortest way round doors, furniture, the walk and the camera's line,"
        " where they can. Away from the walls they are taped; heights and 10 % slack are in"
        " (common practice)."
    ),
    "power.drop_is": "Volt drop is for the whole cable, wound off, of warm copper ({tables}).",
    "power.doors_unplaced": "Whether a cable passes there is not known: {because}.",
    # cautions
    "power.caution.electrician": "Tie-ins, distribution boxes and generators are work for a licensed electrician. Do not open panels and do not tie in. "
    "Local code and the site's own rules decide; ask whoever answers for the building.",
    "power.caution.earth": "Never defeat the protective earth, and never put a larger fuse or breaker in the place of a smaller one.",
    "power.caution.reels": "Wind reels off completely: a wound reel under load overheats. Do not plug one extension cable into another.",
    "power.caution.water": "Near water and outdoors use only outlets with residual-current protection (RCD, GFCI). Leakage of many supplies adds up "
    "and may trip it.",
    "power.caution.surge": (
        "Switch fixtures on one at a time. The surge of a large lamp or supply can be ten times"
        " its running current."
    ),
    "power.caution.exits": "Lay cables flat, along the walls where that can be; tape or ramp them at doors and where people walk. Exits and escape ways stay free: "
    "local code decides.",
    # refusals
    "refusal.one_of": "is not known here; give one of {choices}",
    "refusal.outside_plan": "lies outside the plan",
    "refusal.no_outlet": "must be one or more",
    "refusal.rows": "needs a row for each of {rows} lights and a column for each outlet",
}
