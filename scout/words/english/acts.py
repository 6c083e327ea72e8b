"""What people do, verb first; the time is said apart."""

MESSAGES = {
    "act.bring.lead": "Bring a {lead:lead} cable for {lights}",
    "act.bring.light": "Bring light: {short} more on the face",
    "act.bring.stronger": "Bring a stronger {part}: {short} more",
    "act.measure": "Measure {facts}",
    "act.close.covering": "Close the covering of {windows}",
    "act.camera.nd": "Put {stops} of ND on the lens",
    "act.hang.white": "Hang white on {surface}, {area}",
    "act.move.back": "Move the subject {back} further from the camera",
    "act.operate.beside": "Operate from the camera's {side}",
    "act.clamp.light": "Clamp {light} at {height} instead of a stand",
    "act.camera.shutter": "Set the shutter to {shutter} on {mains} mains",
    "act.move.subject": "Move the subject {away} off {surface}",
    "act.turn.subject": "Turn the subject by {turn}",
    "act.wait.noise": "Wait out {noise}, {spell}",
}
