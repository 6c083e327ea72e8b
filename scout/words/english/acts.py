"""What people do, verb first; the time is said apart."""

MESSAGES = {
    "act.bring.lead": "Bring a {lead:lead} cable for {lights}",
    "act.bring.light": "Bring light: {short} more on the face",
    "act.measure": "Measure {facts}",
    "act.close.covering": "Shut the sun out of {windows}",
    "act.camera.nd": "Put {stops} of ND on the lens",
    "act.hang.white": "Hang white on {surface}, {area}",
    "act.move.subject": "Move the subject {away} off {surface}",
    "act.turn.subject": "Turn the subject by {turn}",
    "act.wait.noise": "Wait out {noise}, {spell}",
}
