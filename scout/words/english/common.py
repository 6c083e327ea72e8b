"""Messages that every capability shares."""

MESSAGES = {
    "unmeasured": "{facts} is not measured",
    "unmeasured.many": "{facts} are not measured",
    "unlisted": "{facts} is not listed in the kit",
    "unlisted.many": "{facts} are not listed in the kit",
    "unknown.because": "because {why}",
}
