"""Sound of a room: its verdicts and advice, recordings to listen to, when it is quiet."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, BinaryIO, cast

from flask import (
    Blueprint,
    Response,
    current_app,
    flash,
    jsonify,
    redirect,
    render_template,
    request,
    url_for,
)
from flask.typing import ResponseReturnValue
from werkzeug.datastructures import FileStorage

from scout.assess.sound.recording import levels_said
from scout.assess.sound.ring import flag_word
from scout.drawing import svg
from scout.errors import Refused, RefusedMany
from scout.pages.room import sound as sound_page
from scout.records.sounds import RecordingRecord
from scout.units import parse_number
from scout.usecases import noise_windows, recordings, rooms
from scout.usecases.recordings import RecordingLine
from scout.values import Name, Word, said
from scout.web.answer import answer_form, form_of
from scout.web.asked import number_sent, question, version_sent
from scout.web.bodies import unchanged
from scout.web.forms.sounds import PURPOSES, NoiseWindowForm, RecordingForm
from scout.web.listening import Listener
from scout.web.sending import send
from scout.web.work import asking, begin_again, settings, work

bp = Blueprint("sound", __name__)


@dataclass(frozen=True)
class Sent:
    """What became of one file."""

    name: str
    recording_id: int | None = None
    refused: str | None = None
    address: str | None = None  # its page, for the script


def listener() -> Listener:
    """The one listener of this process."""
    if "listener" not in current_app.extensions:
        current_app.extensions["listener"] = Listener(settings())
    return cast(Listener, current_app.extensions["listener"])


@bp.get("/rooms/<int:room_id>/sound")
def show(room_id: int) -> ResponseReturnValue:
    """All that is known of a room's sound."""

    def shown() -> dict[str, Any]:
        page = rooms.room(work(), room_id)
        asked = question(page)
        found = sound_page.sound_page(work(), room_id, asked.on, production_id=asked.production_id)
        return {"page": page, "asked": asked, "found": found}

    known = unchanged(shown)
    _carry_on(known["found"].recordings)
    return render_template(
        "sound/show.html",
        **known,
        purposes=PURPOSES,
        words_of=sound_page.words_of,
        bands_of=sound_page.bands_of,
        window_form=form_of(NoiseWindowForm),
    )


def _carry_on(lines: tuple[RecordingLine, ...]) -> None:
    for line in lines:
        if line.state == "waiting":  # also what was waiting when the server was stopped
            listener().start(line.id, asking())


@bp.post("/rooms/<int:room_id>/recordings")
def upload(room_id: int) -> ResponseReturnValue:
    """Keep the recordings sent; one that cannot be read does not lose the others."""
    rooms.room(work(), room_id)
    typed = {name: request.form.get(name, "").strip() for name in ("purpose", "conditions")}
    record = RecordingRecord.read(
        {
            "purpose": request.form.get("purpose", "room"),
            "conditions": request.form.get("conditions", "").strip() or None,
        }
    )
    results = [
        _keep(room_id, file, record)
        for file in request.files.getlist("recordings")
        if file.filename
    ]
    for kept in results:
        if kept.recording_id is not None and record.purpose != "memo":
            listener().start(kept.recording_id, asking())
    if request.accept_mimetypes.best == "application/json":
        return jsonify(files=results), 200 if any(
            result.recording_id is not None for result in results
        ) else 422
    if len(results) == 1 and results[0].recording_id is not None:
        return redirect(url_for("sound.recording", key=results[0].recording_id), code=303)
    status = 200 if any(result.recording_id is not None for result in results) else 422
    return render_template(
        "sound/sent.html",
        results=results,
        back=url_for("sound.show", room_id=room_id, **_again(results, typed)),
    ), status


def _again(results: list[Sent], typed: dict[str, str]) -> dict[str, Any]:
    """What was typed, for the form to hold again where a file was not kept."""
    refused = not results or any(result.refused for result in results)
    return (
        {**{name: words for name, words in typed.items() if words}, "_anchor": "recordings"}
        if refused
        else {}
    )


def _keep(room_id: int, file: FileStorage, record: RecordingRecord) -> Sent:
    name = file.filename or "recording"
    try:
        key = recordings.add_recording(work(), room_id, cast(BinaryIO, file.stream), name, record)
    except (Refused, RefusedMany) as refusal:
        begin_again()
        return Sent(name, refused=str(refusal))
    return Sent(name, key, address=url_for("sound.recording", key=key))


@bp.route("/recordings/<int:key>", methods=["GET", "POST"])
def recording(key: int) -> ResponseReturnValue:
    """One recording: to listen to, what was measured, what it is of."""
    line = recordings.recording(work(), key)
    page = rooms.room(work(), line.room_id)
    form = form_of(
        RecordingForm,
        recordings.recording_kept(work(), key),
        timezone=page.location.record.timezone,
    )
    _carry_on((line,))

    def save() -> str:
        recordings.save_recording(work(), key, form.opened_at, form.record())
        return url_for("sound.recording", key=key)

    return answer_form(
        form,
        save,
        "sound/recording.html",
        line=line,
        page=page,
        words=sound_page.words_of(line),
        levels=levels_said(line.answer, calibrated=line.record.calibration_db is not None)
        if line.answer
        else {},
        flag_word=flag_word,
        drawn=_drawn(line),
        verb="Save",
        back=_of(line),
        tones=_tones(line),
        title=line.original_name,
    )


def _of(line: RecordingLine) -> str:
    """The page on which it is listed."""
    if line.record.purpose == "memo":
        return url_for("rooms.recorded", room_id=line.room_id, _anchor="notes")
    return url_for("sound.show", room_id=line.room_id)


def _drawn(line: RecordingLine) -> dict[str, str]:
    return {
        name: svg.render(drawing, id_prefix=f"{name}{line.id}")
        for name, drawing in sound_page.charts(line).items()
    }


def _tones(line: RecordingLine) -> list[RecordingLine]:
    return [
        other
        for other in recordings.recordings(work(), line.room_id)
        if other.record.purpose == "tone" and other.state == "done" and other.id != line.id
    ]


@bp.get("/recordings/<int:key>/progress.json")
def progress(key: int) -> ResponseReturnValue:
    """How far the measuring is, for the page's script."""
    line, at = recordings.recording(work(), key), listener().progress(key)
    done, of = at or (0, 0)
    return jsonify(state=line.state, done=done, of=of, over=line.state != "waiting")


@bp.get("/recordings/<int:key>/play")
def play(key: int) -> ResponseReturnValue:
    """The sound for the page's player; parts of it are sent where the player asks for them."""
    held, mime = sound_page.playable(work(), key)
    return send(held, mime)


@bp.get("/recordings/<int:key>/original")
def original(key: int) -> ResponseReturnValue:
    """The file as it was sent, byte for byte."""
    held, name, mime = recordings.original(work(), key)
    return send(held, mime, name)


@bp.get("/recordings/<int:key>/spectrogram.png")
def spectrogram(key: int) -> ResponseReturnValue:
    """Time to the right, pitch upwards, the louder the darker."""
    return Response(sound_page.spectrogram(work(), key), mimetype="image/png")


@bp.post("/recordings/<int:key>/calibrate")
def calibrate(key: int) -> ResponseReturnValue:
    """Calibrate by a meter's reading, or by a recorded calibrator."""
    meter, tone = request.form.get("meter_laeq_db", "").strip(), number_sent("tone")
    if meter:
        recordings.calibrate_by_meter(
            work(), key, version_sent(), parse_number(meter, name="meter_laeq_db")
        )
    elif tone:
        recordings.calibrate_by_tone(
            work(),
            key,
            version_sent(),
            tone,
            parse_number(request.form.get("level_db", "94"), name="level_db"),
        )
    else:
        raise Refused("meter_laeq_db", None, said("refusal.meter_or_tone"))
    flash(str(said("done.calibrated")))
    return redirect(url_for("sound.recording", key=key), code=303)


@bp.post("/recordings/<int:key>/reading")
def to_reading(key: int) -> ResponseReturnValue:
    """Write a calibrated recording among the room's noise readings."""
    label = recordings.make_reading(work(), key)
    flash(str(said("done.counts", reading=Name(label))))
    return redirect(
        url_for("sound.show", room_id=recordings.recording(work(), key).room_id), code=303
    )


@bp.post("/recordings/<int:key>/bin")
def to_bin(key: int) -> ResponseReturnValue:
    """Move a recording to the bin; its original stays."""
    line = recordings.recording(work(), key)
    recordings.bin_recording(work(), key, version_sent())
    flash(str(said("done.deleted", thing=Word("thing", "recording"))))
    return redirect(_of(line), code=303)


@bp.route("/rooms/<int:room_id>/noises/new", methods=["GET", "POST"])
def add_noise(room_id: int) -> ResponseReturnValue:
    """Record a noise that comes back at the room's location."""
    page, form = rooms.room(work(), room_id), form_of(NoiseWindowForm)

    def save() -> str:
        noise_windows.add_noise_window(work(), page.location.id, form.record())
        return url_for("sound.show", room_id=room_id, _anchor="hours")

    return answer_form(
        form,
        save,
        title="A noise that comes back",
        verb="Record the noise",
        back=url_for("sound.show", room_id=room_id),
    )


@bp.post("/rooms/<int:room_id>/noises/<int:key>/bin")
def bin_noise(room_id: int, key: int) -> ResponseReturnValue:
    """Move a recurring noise to the bin."""
    noise_windows.bin_noise_window(work(), key, version_sent())
    flash(str(said("done.deleted", thing=Word("thing", "noise_window"))))
    return redirect(url_for("sound.show", room_id=room_id, _anchor="hours"), code=303)
