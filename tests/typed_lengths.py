"""Lengths and bearings as people type them, for the two that read them: the server's forms and a phone's page.

Inch and foot: international yard and pound agreement of 1959 (25.4 mm exactly).
"""

from __future__ import annotations

LENGTHS = [
    ("3.8", 3.8),
    ("3,8 m", 3.8),
    ("3.8m", 3.8),
    ("3,8 metres", 3.8),
    ("380 cm", 3.8),
    ("3800mm", 3.8),
    ("0,5 km", 500.0),
    (" 2 m ", 2.0),
    ("3m80", 3.8),
    ("5m40", 5.4),
    ("5 m 40 cm", 5.4),
    ("5m4cm", 5.04),
    ("-0.5", -0.5),
    ("−0,5 m", -0.5),
    (".5", 0.5),
    ("٣", 3.0),
    ("１２ m", 12.0),
    ("540 m", 540.0),
    # by hand: 12 ft 6 in = 150 in = 3.81 m
    ("12' 6\"", 3.81),
    ("12'6", 3.81),
    ("12ft 6in", 3.81),
    ("12 ft. 6 in.", 3.81),
    ("12 feet 6 inches", 3.81),
    ("12 feet and 6 inches", 3.81),
    ("12’ 6”", 3.81),
    ("12′ 6″", 3.81),
    ("12.5 ft", 3.81),
    ("12,5'", 3.81),
    # by hand: 150.5 in x 0.0254 = 3.8227 m
    ("12ft 6 1/2in", 3.8227),
    ("12' 6-1/2\"", 3.8227),
    ("12' 6½\"", 3.8227),
    ("150.5 in", 3.8227),
    ("12' 1/2\"", 3.6703),
    ("12'", 3.6576),
    ('78"', 1.9812),
    ('3/4"', 0.01905),
    # by hand: 17 x 12 + 8.5 = 212.5 in
    ("17' 8 1/2", 5.3975),
    ("17' 8 1/2\"", 5.3975),
    ("17'8½", 5.3975),
]
# what cannot be read without guessing
NO_LENGTHS = [
    "abc", "wide", "nan", "inf", "-inf", "1_000", "1.234,5", "1,234.5", "12' 14\"", "12' 3/0\"",
    "12' 5/4\"", "12.5' 6\"", "3 m 5 ft", "5m4", "5m400", "0x10", "1 2", "--3", '1/0"', "1.",
]  # fmt: skip
# A number without a unit and what it may be, likeliest first. As decided: a room is up to 30 m long
# unless somebody says the metres.
METRIC, FEET = "metric", "feet"
ASKED = [
    ("540", METRIC, 1000.0, ("5.4 m", "0.54 m", "540 m")),
    ("5400", METRIC, 1000.0, ("5.4 m",)),
    ("2500", METRIC, 1000.0, ("2.5 m", "25 m")),
    ("240", METRIC, 200.0, ("2.4 m", "0.24 m")),
    ("31", METRIC, 200.0, ("0.31 m", "31 m")),
    ("80,5", METRIC, 1000.0, ("0.805 m", "0.0805 m", "80.5 m")),
    ("-540", METRIC, 1000.0, ("-5.4 m", "-0.54 m", "-540 m")),
    ("12", METRIC, 5.0, ("0.12 m",)),  # a reveal: no wall is 12 m thick
    ("30", METRIC, 1000.0, ()),
    ("37.73", METRIC, 1000.0, ()),  # nobody reads hundredths of a centimetre off a tape
    ("37,734", METRIC, 1000.0, ()),
    ("37.73", METRIC, 5.0, ("0.3773 m",)),
    ("0", METRIC, 1000.0, ()),
    ("540", METRIC, 100_000.0, ()),  # a way over ground
    ("540 cm", METRIC, 1000.0, ()),
    ("5000000", METRIC, 1000.0, ()),
    ("12", FEET, 1000.0, ("12'", "1' 0\"")),
    ("102", FEET, 1000.0, ("8' 6\"", "102'")),
    ("102.5", FEET, 1000.0, ("8' 6.5\"", "102.5'")),
    ("-3", FEET, 1000.0, ("-3'", "-0' 3\"")),
    ("0", FEET, 1000.0, ()),
    ("3.8 m", FEET, 1000.0, ()),
]
# Bearings, with the doubt of a word of the compass. The words are the box of the compass (common
# practice): from one to the next of sixteen are 22.5 degrees, and eight of them alone stand for
# twice that.
BEARINGS: list[tuple[str, float, float | None]] = [
    ("182", 182.0, None),
    ("182,5°", 182.5, None),
    ("90 degrees", 90.0, None),
    ("N", 0.0, 22.5),
    ("south", 180.0, 22.5),
    ("due West", 270.0, 22.5),
    ("north-east", 45.0, 22.5),
    ("South East", 135.0, 22.5),
    ("northwest", 315.0, 22.5),
    ("NNE", 22.5, 11.25),
    ("west-south-west", 247.5, 11.25),
]
NO_BEARINGS = ["up", "southish", "N20E", "NS", "NEN", "S W N", "due", "180 m", "°"]
