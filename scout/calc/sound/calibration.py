"""From dB re full scale to sound pressure level: what to add, from a calibrator's tone or from a
meter held beside the device.
"""

from __future__ import annotations

import numpy as np

from scout.calc.geometry import require
from scout.calc.sound.recording import Measured
from scout.calc.sound.spectra import line_at
from scout.errors import OutOfRange
from scout.values import Figure, said

# Sound calibrators give 94 or 114 dB at 1000 Hz, pistonphones 124 dB at 250 Hz (IEC 60942).
CALIBRATOR_HZ = (1000.0, 250.0)
OFF_SHARE = 0.03
# tone over all the rest: the rest then adds less than 0.15 dB (by hand: 10 log10(1 + 10^-1.5))
OVER_REST_DB = 15.0
STEADY_DB = 1.0  # La10 - La90 of a tone held tight on the microphone (common practice)


def tone_offset_db(tone: Measured, level_db: float) -> float:
    """What to add to dBFS to get sound pressure level, from a recording of a calibrator.
    tone:     the recording, nothing but the calibrator on the microphone
    level_db: what the calibrator gives, 94 or 114 [dB], 60 to 140
    Returns:  offset [dB]
    Raises:   OutOfRange naming what is wrong with the recording: no tone, not alone, not
        steady, at full scale
    Source:   by definition; IEC 60942 for what a calibrator gives
    """
    require("level_db", level_db, least=60, most=140)
    if tone.lzeq_dbfs is None or tone.la10_dbfs is None or tone.la90_dbfs is None:
        raise OutOfRange("recording", None, said("refusal.no_signal"))
    if tone.faults.clipped:
        raise OutOfRange(
            "recording",
            None,
            said("refusal.full_scale"),
        )
    hz, power = tone.line_hz, tone.line_square
    at = int(np.argmax(power))
    line = line_at(hz, power, at, max(3, int(2.5 / max(tone.duration_s, 0.05) / float(hz[1]))))
    if all(abs(line.frequency_hz / expected - 1.0) > OFF_SHARE for expected in CALIBRATOR_HZ):
        raise OutOfRange(
            "recording",
            None,
            said("refusal.other_tone", tone=Figure(line.frequency_hz, "Hz")),
        )
    rest = float(power.sum()) - line.square
    if rest > 0 and 10.0 * np.log10(line.square / rest) < OVER_REST_DB:
        raise OutOfRange(
            "recording",
            None,
            said("refusal.not_alone"),
        )
    if tone.la10_dbfs - tone.la90_dbfs > STEADY_DB:
        raise OutOfRange(
            "recording",
            None,
            said("refusal.wavers", by=Figure(tone.la10_dbfs - tone.la90_dbfs, "dB")),
        )
    return level_db - 10.0 * float(np.log10(line.square))
