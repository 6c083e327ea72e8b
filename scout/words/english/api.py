"""What the JSON API says of itself and refuses of its own accord."""

MESSAGES = {
    "api.about": (
        "Places, rooms, photos, notes, productions and scenes, by the same rules as the pages."
        " Lengths are metres; a key left out is not measured."
    ),
    "api.if_match": "the version this was read at, as its ETag gives it",
    "api.idempotency": "a UUID of your own making: the same sent again adds nothing",
    "api.problem": "refused, with each field and what would be accepted",
    "api.elsewhere": "is not saved here; send it to {path}",
    "api.no_version": "is no version; give the ETag it was read with",
    "api.no_uuid": "is no UUID",
    "api.no_photo": "send the file as the part named photo of a multipart form",
    "api.login": "send Authorization: Bearer with a token from the page Tokens or scout token add",
    "api.version_missing": "send If-Match with the version you read, as its ETag gives it",
    "api.json_wanted": "send application/json",
    "api.session_writes": (
        "a browser's session writes here only with X-CSRFToken; programs send a token instead"
    ),
}
