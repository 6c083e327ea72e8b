"""How a number stands with its unit: `n` is the number as it is written."""

NB = "\N{NO-BREAK SPACE}"
MESSAGES = {
    f"unit.{sign}": f"{{n}}{NB}{sign}"
    for sign in (
        *("m", "mm", "km", "ft", "mi", "m/s", "s", "min", "h", "Hz", "dB", "dBA", "lux", "lm", "K"),
        *("mired", "W", "VA", "A", "V", "MB"),
    )
} | {
    "unit.m2": f"{{n}}{NB}m²",
    "unit.mm2": f"{{n}}{NB}mm²",
    "unit.m3": f"{{n}}{NB}m³",
    "unit.ft2": f"{{n}}{NB}sq ft",
    "unit.ft3": f"{{n}}{NB}cu ft",
    "unit.feet": "{n}' {inches}\"",
    "unit.inches": '{n}"',
    "unit.%": "{n} %",
    "unit.deg": "{n}°",
    "unit.stops": ("{n} stop", "{n} stops", "n"),
    "unit.under_half": "under ½ stop",
    "unit.neither": "just enough",
    "unit.short": "{n} short",
    "unit.over": "{n} over",
    "unit.darker": "{n} darker than",
    "unit.alike": "as bright as",
    "unit.brighter": "{n} brighter than",
    "unit.ratio": "{n}:1",
    "unit.f": "f/{n}",
    "unit.iso": "ISO {n}",
    "unit.NC": "NC-{n}",
    "unit.shutter_s": "1/{n} s",
    "unit.hours": f"{{n}}{NB}h {{minutes}}{NB}min",
    "unit.range": "{n} to {high}",
}
