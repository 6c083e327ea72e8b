"""Messages that every capability shares."""

MESSAGES = {
    "unmeasured": ("{facts} is not measured", "{facts} are not measured", "facts"),
}
