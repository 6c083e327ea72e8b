"""Messages that every capability shares."""

MESSAGES = {
    "unmeasured": "{facts} is not measured",
    "unmeasured.many": "{facts} are not measured",
    "unknown.because": "because {why}",
}
