"""What people do, verb first; the time is said apart."""

MESSAGES = {
    "act.bring.lead": "Bring a {lead:lead} cable for {lights}",
    "act.bring.light": "Bring light: {short} more on the face",
    "act.measure": "Measure {facts}",
    "act.close.covering": "Close the covering of {windows}",
    "act.camera.nd": "Put {stops} of ND on the lens",
    "act.hang.white": "Hang white on {surface}, {area}[: {lights}]",
    "act.lay.white": "Lay white on {surface}, {area}[: {lights}]",
    "act.gel.light": "Put {gels} on {lights}",
    "act.gel.practical": "Gel {practical} to the key, or change its bulb",
    "act.gel.windows": "Gel the windows to {light}",
    "act.key.daylight": "Set or gel {light} to the daylight",
    "act.practical.off": "Switch {practical} off",
    "act.flag.black": "Stand a black flag {away} off the shadow side[: {lights}]",
    "act.camera.balance": "White-balance to the bounce off {surface}, if it is the only light",
    "act.move.subject": "Move the subject {away} off {surface}",
    "act.turn.subject": "Turn the subject by {turn}",
    "act.wait.noise": "Wait out {noise}, {spell}",
}
