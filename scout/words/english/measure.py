"""Measuring on a photo: what is wrong with what was tapped, and what came of it."""

MESSAGES = {
    "measure.line": "{m:size} {what}, ± {doubt:size}",
    "measure.how": "photo {photo}[ and photo {other}], {first}[ and {second}]",
    "measure.no_focal": "The photo does not say its focal length: what was tapped stands in for it",
    "measure.surer": "A second sheet on the far side, or a window's four corners, makes it surer",
    "measure.stands": "{field:cap}: {stands:typed} is recorded, the photo says {found:size}",
    "done.measured": "Kept: {of} measured on the photo.",
    "refusal.measure.thing": "needs its four corners, or one point for a socket",
    "refusal.measure.second": "is needed: say what it is and tap it, or leave both empty",
    "refusal.measure.count": ("needs {n} point", "needs {n} points", "n"),
    "refusal.measure.typed": "is needed: type it as the tape says",
    "refusal.measure.from_where": "is needed for a single point: tap the wall's left end or the floor",
    "refusal.measure.kind": "is no place for it: a window or a door needs four corners",
    "refusal.measure.nothing": "records none of these lengths: tap the wall's left end or the floor too",
    "refusal.measure.into": "is needed: choose what it is",
    "refusal.measure.no_target": (
        "needs something of known size with four corners tapped, or a tape and a rectangle"
    ),
    "refusal.measure.no_focal": (
        "are too few: the photo does not say its focal length. Tap a second sheet, a door or a"
        " tape too"
    ),
    "refusal.measure.points": "needs four corners, two ends or one point",
    "refusal.measure.outside": "lies outside the picture; tap what is in it",
    "refusal.measure.small": "is too small in the picture; take the photo from nearer, or tap a larger thing",
    "refusal.measure.order": (
        "was tapped in another order: upper left, upper right, lower right, lower left"
    ),
    "refusal.measure.edge_on": (
        "is seen edge-on: take the photo from within {most} of straight at the wall"
    ),
    "refusal.measure.not_both": (
        "is needed: tap four corners of something that was tapped on the first photo too"
    ),
    "refusal.measure.other_photo": "is no second photo of this room",
    "refusal.measure.misfit": (
        "does not fit the rest: check its size, which way up it hangs, and that all is on one wall"
    ),
}
