"""What people do, verb first; the time is said apart."""

MESSAGES = {
    "act.bring.lead": (
        "Bring a {lead:lead} cable for {lights}",
        "Bring {lead:lead} cables, one each for {lights}",
        "lights",
    ),
    "act.bring.cable": "Bring a {lead:lead} cable of {section} mm² for {light}",
    "act.bring.battery": "Run {lights} on batteries",
    "act.bring.splitter": "Bring a fused splitter for circuit {circuit}",
    "act.swap.light": "Swap {light} for one of {most} or less",
    "act.free.circuit": "Have {watts} switched off on circuit {circuit}",
    "act.measure.cables": "List the kit's cables with their lengths",
    "act.measure.circuits": "Switch the breakers of {circuits} and see what goes off",
    "act.bring.light": "Bring light: {short} more on the face",
    "act.measure": "Measure {facts}",
    "act.close.covering": "Shut the sun out of {windows}",
    "act.camera.nd": "Put {stops} of ND on the lens",
    "act.hang.white": "Hang white on {surface}, {area}",
    "act.move.subject": "Move the subject {away} off {surface}",
    "act.turn.subject": "Turn the subject by {turn}",
    "act.wait.noise": "Wait out {noise}, {spell}",
    "act.measure.noise": "Read a minute of the empty room[, {hours}]",
    "act.have.conditions": "Have {conditions}, as at {reading}",
    "act.hang.blankets": "Hang blankets over {surface}, {length} long; weight the stands, keep exits and heaters clear",
    "act.bring.lav": "Bring a lav, {distance} from the mouth",
    "act.move.mic": "Bring {mic} within {within} of the mouth",
}
