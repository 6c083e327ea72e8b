"""What is said of a room's assessment as a whole, and what its date may be."""

MESSAGES = {
    "caution.figures": "Figures are planning arithmetic, not approval: local code, the house's own rules and"
    " licensed people decide",
    "room.zone_taken": "the time zone is not recorded: {zone} is taken, from the coordinates[ ({note})]",
    "refusal.date_or_time": "give a date, or a time",
    "refusal.years": "is outside the years {first} to {last}",
    "refusal.other_date": "falls on {there} where the room stands, not on {on};"
    " leave out the date or make them agree",
    "refusal.begins": "is when the scene begins",
}
