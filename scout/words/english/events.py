"""What an event of a recording is by the run of its level: on the chart, and in a sentence."""

MESSAGES = {
    "sound_event.short": "short",
    "sound_event.passing": "passing",
    "sound_event.begins": "begins and stays",
    "sound_event.comes_and_goes": "comes and goes",
    "sound_event.other": "louder",
    "sound_event_is.short": "short, as a knock is",
    "sound_event_is.passing": "passing, as a vehicle or a plane does",
    "sound_event_is.begins": "beginning and staying, as a compressor does",
    "sound_event_is.comes_and_goes": "coming and going, as voices and birds do",
    "sound_event_is.other": "what it was cannot be told from its level",
}
