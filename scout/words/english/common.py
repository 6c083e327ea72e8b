"""Messages that every capability shares."""

MESSAGES = {"unmeasured": "not measured: {facts}"}
