"""What a day plan keeps, and what it can be best at, in words."""

MESSAGES = {
    "day_need.crew": "the crew's working hours",
    "day_need.open": "the opening hours",
    "day_need.hours": "the hours it asks for",
    "day_need.quiet": "the quiet hours",
    "day_need.light": "the hours with enough daylight",
    "day_need.face": "the hours without sun on the subject",
    "day_need.lens": "the hours without sun in the lens",
    "day_need.dry": "the dry hours",
    "day_need.crew_hours": "the longest working day",
    "day_need.rest": "the rest between days",
    "day_need.meal": "the longest time without a meal",
    "day_need.lock": "the time it is locked to",
    "aim.balanced": "balanced",
    "aim.earliest": "earliest wrap",
    "aim.fewest_moves": "fewest moves",
    "aim.best_light": "best light",
}
