"""What drawings say: letters on the sheet, notes beside it, and the same in words."""

MESSAGES = {
    "drawing.place": "{across:size} across and {up:size} up the plan",
    "drawing.reduced": "Reduced to {share} to fit the page: go by the scale bar, not by the stated scale.",
    "drawing.off_wall": "{length:size} off {wall:plain}",
}
