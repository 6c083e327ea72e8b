"""What a day plan keeps, and what it can be best at, in words."""

MESSAGES = {
    "day_need.crew": "the crew's hours",
    "day_need.open": "the house's opening hours",
    "day_need.hours": "its own hours",
    "day_need.quiet": "the quiet",
    "day_need.light": "the hours with enough daylight",
    "day_need.face": "shade on the subject",
    "day_need.lens": "a lens without sun",
    "day_need.dry": "the dry",
    "day_need.crew_hours": "the length of a crew's day",
    "day_need.rest": "the rest between days",
    "day_need.meal": "a meal in time",
    "day_need.lock": "its locked time",
    "aim.balanced": "balanced",
    "aim.earliest": "earliest wrap",
    "aim.fewest_moves": "fewest moves",
    "aim.best_light": "best light",
}
