"""Who changed what, and what taking it back would do."""

MESSAGES = {
    "history.thing": "{kind}[ {name}]",
    "history.entries": ("{n} entry", "{n} entries", "n"),
    "history.point": "({parts})",
    "history.untold": "{where} changed; a private note is read by its author alone",
    "history.done": "Taken back. This line is the new change: it can be taken back too.",
    "history.no_values": "was made before values were kept, or holds none; put it right by hand",
    "history.gone": "is of something that is gone",
    "history.owner_gone": "is of something within {owner}, which is deleted; put that back first",
    "history.deleted_since": "is of {thing}, which is deleted; put it back first, from the page Deleted",
    "history.back_since": "is taken back already: {thing} was put back since",
    "history.changed_since": "is older than another: {what} was changed again since[, by {by}]; change it by hand",
    "history.other_first": "would make a second first choice beside {thing}; choose on the scene's page",
}
