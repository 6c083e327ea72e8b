"""What is said of photos: what they do not record, what was not read, why one cannot be shown."""

MESSAGES = {
    "photo.places": "{count} places",
    "photo.too_many_places": "are more than are needed; give {most} at most",
    "photo.profile_unread": "carries a colour profile that cannot be read: its colours mean nothing here;"
    " send it as plain sRGB",
    "card.off_middle": "the card came out at {level} of 255: between {least} and {most} is surer",
    "card.tones_mapped": "HDR was on, or nobody said that it was off: tones may be mapped locally",
    "card.one_shot": "one shot only: a second that agrees makes it surer",
    "card.shots_apart": "the two shots are {apart:1} apart: a third says which is right",
    "card.good_to": "{lux:lead} on the card, good to {doubt}",
    "refusal.card.uneven": "of 255 is how much the place varies: tap the middle of the card, not its edge",
    "refusal.card.shots_apart": "stops apart: the two shots are of other light, or of another card",
    "refusal.card.no_exposure": (
        "carries no exposure data; send the photo as the camera made it, not by a messenger"
    ),
    "refusal.card.edited": "was worked on with {by}; send the photo as the camera made it",
    "refusal.card.changed": "was changed after it was taken; send the photo as the camera made it",
    "refusal.card.rescaled": "was cut or made smaller; send the photo as the camera made it",
    "refusal.card.one_place": "is where the card is; give one place, such as 0.25, 0.6",
    "refusal.card.night": "is when the sun is down: a reading at night says nothing of daylight",
    "refusal.card.no_time": "the file has no time; record the reading by hand with its hour",
    "photo.outside_picture": "lies outside the picture; give shares of its width and height, 0 to 1",
    "photo.not_there": "is not there",
    "photo.no_file": "is not a file; give a {accepted} photo",
    "photo.too_large": "is {size:1} MB; the limit for a photo is {limit} MB",
    "photo.empty": "is empty (0 bytes); send a {accepted} photo",
    "photo.no_photo": "is {kind}; photos are accepted as {accepted}",
    "photo.raw": "is a camera raw file; export it as {accepted}",
    "photo.no_picture": "begins as a {format} but its picture is not in it; nothing of it can be shown",
    "photo.no_size": "holds no picture: its size is given as {width} x {height} pixels",
    "photo.too_many_pixels": "is {width} x {height} pixels, {pixels} million; the limit[ for a {format}] is {limit} million pixels",
    "photo.too_many_passes": "is drawn in {passes} passes over {pixels} million pixels, which would take too long"
    " (limit {limit} million); save it again",
    "photo.passes": "is drawn in more than {limit} passes, which is the limit; save it again as an ordinary JPEG",
    "photo.pieces": "is a {format} in more than {limit} pieces, which is the limit; save it again",
    "photo.odd_jpeg": "is a JPEG of a kind not read here (lossless, layered or {bits} bits a sample);"
    " save it as an ordinary JPEG",
    "photo.odd_png": "is a PNG with an unknown way of storing colour ({way}); save it again",
    "photo.damaged": "is a damaged {format}; its picture cannot be shown. Send the file again",
    "photo.incomplete": "is incomplete, so it cannot be shown; send the file again",
    "photo.interlaced": "is incomplete and interlaced, so it cannot be shown; send the file again",
    "photo.heic_unread": "begins as a HEIC but is damaged, or of a kind not read here; send the file again,"
    " or as a JPEG",
    "photo.heic_incomplete": "begins as a HEIC but is incomplete; send the file again, or as a JPEG",
    "photo.bits_32": "stores 32 bits a sample, whose white cannot be known; save it with 8 or 16",
    "photo.floats": "stores floating-point samples beyond 0 to 1, whose white cannot be known; save it with 8 or 16 bits",
    "photo.incomplete_grey": "The file is incomplete: it stops before its picture does. What is missing is shown grey.",
    "photo.incomplete_hidden": "The file is incomplete: it stops before its picture does."
    " It cannot be shown; send the file again.",
    "photo.rows_missing": "The file is incomplete: {rows} of {of} rows of its picture are there."
    " What is missing is shown grey.",
    "photo.interlaced_hidden": "The file is incomplete, and it is interlaced, so it cannot be shown.",
    "photo.name_disagrees": "The name ends in {ending}, but the file is a {format}; it was read as a {format}.",
    "photo.part_large": "The {part} was not read: it is {size:1} MB, above the limit of {limit} MB.",
    "photo.profile_piece": "The colour profile was not read: a piece of it is missing."
    " Colours are shown as if they were sRGB.",
    "photo.profile_damaged": "The colour profile was not read: it is damaged or too large."
    " Colours are shown as if they were sRGB.",
    "photo.profile_useless": "The colour profile was not used: it is damaged or of a kind not read here."
    " Colours are shown as if they were sRGB.",
    "photo.profile_other": "The colour profile was not used: it describes another kind of picture."
    " Colours are shown as if they were sRGB.",
    "photo.high_range": (
        "The photo is in high dynamic range (PQ or HLG). Its colours and brightness are shown as"
        " if they were sRGB."
    ),
    "photo.colour_space": "The photo's colour space (number {number}) was not converted; colours are shown"
    " as if they were sRGB.",
    "photo.four_inks": "The photo is in four printing inks without a colour profile; its colours are approximate.",
    "photo.adobe_rgb": "The photo names Adobe RGB without holding its profile; its colours were put into sRGB from there.",
    "photo.blank": "This picture cannot be drawn; the original is kept.",
    "photo.picks_agree": "picks within CIEDE2000 {spread:1} of their mean",
    "photo.no_exif": "The EXIF block was not read: it does not begin as one.",
    "photo.exif_cut": "The EXIF block is cut short; only what lies before the cut was read.",
    "photo.no_directory": "The {part} directory of the EXIF block was not read: it does not lie where the block says.",
    "photo.old_exif": "An old-fashioned EXIF text in the PNG was not read: it is damaged or too large.",
    "photo.xmp_large": "The XMP packet was not read: it is damaged or too large.",
    "photo.xmp_damaged": "The XMP packet was not read: it is damaged.",
    "photo.xmp_entities": "The XMP packet was not read: it declares entities, which photos have no use for.",
    "photo.orientation_damaged": "The orientation was not read: its EXIF tag is damaged or of the wrong type."
    " The picture is shown as stored.",
    "photo.orientation_none": "The orientation {given} does not exist (1 to 8 do). The picture is shown as stored.",
    "photo.orientations": "EXIF gives orientation {exif} and XMP {xmp}; that of EXIF was used.",
    "photo.no_time": "The capture time is not recorded.",
    "photo.time_empty": "The capture time is not recorded: the camera wrote an empty date.",
    "photo.time_unread": "The capture time was not read: '{text}' is not a date and time.",
    "photo.time_unread_xmp": "The capture time in the XMP packet was not read: '{text}' is not a date and time.",
    "photo.time_damaged": "The capture time was not read: its EXIF tag is damaged or of the wrong type.",
    "photo.fraction_damaged": "The fraction of the second was not read: its EXIF tag is damaged or of the wrong type.",
    "photo.fraction_unread": "The fraction of the second was not read: '{text}' is not a number.",
    "photo.offset_damaged": "The offset from UTC was not read: its EXIF tag is damaged or of the wrong type.",
    "photo.offset_unread": "The offset from UTC was not read: '{text}' is not an offset such as +01:00.",
    "photo.clock_unset": "The capture time {at} is where a camera clock begins that was never set; check it.",
    "photo.digitised": (
        "The capture time is not recorded. The time of digitising, {at}, was not taken for it: on"
        " a scan it is the scanner's."
    ),
    "photo.times": "EXIF says the photo was taken at {exif}, XMP at {xmp}; the time of EXIF was used.",
    "photo.no_offset": "The capture time has no offset from UTC: it is read in the location's time zone.",
    "photo.clocks_apart": "Two clocks disagree: the camera's says {camera} and the satellites' says {satellites},"
    " {apart} apart. The camera's was used.",
    "photo.clocks_no_zone": (
        "Two clocks disagree: the camera's says {camera}, without an offset from UTC, the"
        " satellites' {satellites}. No time zone joins the two. The camera's was used."
    ),
    "photo.zone_unknown": "The camera's clock showed {at}; the location's time zone is not known, so the instant is not.",
    "photo.time_skipped": "The camera's clock showed {at}, a time that the clocks skipped in {zone}: check the camera's clock.",
    "photo.zone_taken": "The capture time is taken to be in {zone}, the location's zone.",
    "photo.zone_taken_twice": (
        "The capture time is taken to be in {zone}, the location's zone. The clocks showed it"
        " twice that day: the first is taken."
    ),
    "photo.not_drawn": "The original is kept, but its picture cannot be drawn: {why}.",
    "photo.not_measuring": "The receiver was not measuring when the photo was taken; its position may be an older one.",
    "photo.datum": "The position is on the map datum '{datum}', which may lie far from WGS 84; check it.",
    "photo.position_damaged": "The position was not read: its {part} is damaged or not stored as numbers.",
    "photo.position_no_number": "The position was not read: part of its {part} is not a number.",
    "photo.position_past_60": "The position was not read: its {part} has {minutes} minutes and {seconds} seconds,"
    " and neither can pass 60.",
    "photo.half_position": "The position is not recorded: there is no {part} beside the other value.",
    "photo.withheld": "The position is not recorded: the phone withheld it (it wrote 0, 0).",
    "photo.not_on_earth": (
        "The position is not recorded: latitude {latitude:6}, longitude {longitude:6} are not on"
        " the earth (at most 90 and 180 degrees)."
    ),
    "photo.no_hemisphere": "The position is not recorded: the photo gives {at:6} and {along:6} but does not say"
    " clearly whether {sides}. Choose it.",
    "photo.positions": "EXIF gives the position {exif:6} and XMP {xmp:6}; that of EXIF was used.",
    "photo.position_xmp": (
        "XMP gives the position {xmp:6}. It was not used, because EXIF has a position of its own"
        " that is no good."
    ),
    "photo.altitude_damaged": "The altitude was not read: it is damaged or not stored as a number.",
    "photo.altitude_side": "The altitude was not read: {altitude:typed} stands there without saying whether above"
    " or below the sea.",
    "photo.altitude_none": "The altitude was not read: {altitude:typed} is no height on earth.",
    "photo.bearing_damaged": "The bearing was not read: it is damaged or not stored as a number.",
    "photo.bearing_none": "The bearing was not read: {bearing:1} is no bearing (0 to 360).",
    "photo.bearing_north": "The bearing was not used: the photo records {bearing:1} but not whether from true or from"
    " magnetic north.",
    "photo.bearing_magnetic": "The bearing {bearing:1} is from magnetic north; it was not turned to true north: {why}.",
    "photo.no_position": "the position is not recorded",
    "photo.no_date": "the date is not recorded",
    "photo.bearing_turned": "The bearing {bearing:1} is from magnetic north; with a declination of"
    " {declination:signed,1} ({model}) it is {true:1} from true north.",
    "photo.declination": "Of the declination: {note}.",
}
