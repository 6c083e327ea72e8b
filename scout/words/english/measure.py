"""Measuring on a photo: what is wrong with what was tapped, and what came of it."""

MESSAGES = {
    "refusal.measure.no_target": (
        "needs something of known size with four corners tapped, or a tape and a rectangle"
    ),
    "refusal.measure.no_focal": (
        "are too few: the photo does not say its focal length; tap a second sheet, a door or a tape too"
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
    "refusal.measure.misfit": (
        "does not fit the rest: check its size, which way up it hangs, and that all lies on one flat wall"
    ),
}
