"""Awkward photos and the facts that must come out of them.

Where no other source stands beside a value, the value was chosen when the photo was drawn: it
    is what was written in.
"""

from __future__ import annotations

import hashlib
import json
import time
from pathlib import Path

import pytest

from scout.media.photos.photos import PhotoFacts, read_photo
from scout.values import Said
from tests.media.photos.drawn import (
    byte,
    degrees,
    exif,
    heic,
    jpeg,
    long,
    ratio,
    raw,
    saved,
    short,
    signed_ratio,
    stored,
    taken,
    text,
    tiff,
    xmp,
)

NORTH_EAST = [
    text(1, "N"),
    degrees(2, 52, 12, 3600),
    text(3, "E"),
    degrees(4, 0, 7, 1200),
]  # 52.21, 0.12


def facts(block: bytes, **more: object) -> PhotoFacts:
    return read_photo(jpeg(block=block, **more), name="drawn.jpg")


def said(of: PhotoFacts, *words: str) -> bool:
    return any(all(word in sentence for word in words) for sentence in map(str, of.warnings))


@pytest.mark.parametrize("orientation", range(1, 9))
def test_size_is_the_upright_one_and_the_time_keeps_its_unknown_offset(orientation: int) -> None:
    found = read_photo(
        jpeg(stored(orientation), exif([short(0x0112, orientation)], taken("2026:05:03 10:40:00")))
    )
    assert (found.width_px, found.height_px, found.orientation) == (640, 480, orientation)
    assert found.taken_at == "2026-05-03T10:40:00"
    assert found.taken_at_utc is None
    assert said(found, "no offset from UTC", "location")


def test_south_west_below_the_sea_edited_later() -> None:
    block = exif(
        [text(0x0132, "2026:06:30 09:00:00")],  # DateTime: the edit
        taken(
            "2026:05:03 10:40:00", text(0x9011, "-03:00"), text(0x9010, "+00:00")
        ),  # OffsetTimeOriginal, OffsetTime (of the edit)
        [
            text(1, "S"),
            degrees(2, 22, 30, 3600),
            text(3, "W"),
            degrees(4, 41, 45, 1800),
            byte(5, 1),
            ratio(6, (35, 10)),
            ratio(7, (13, 1), (40, 1), (0, 1)),
            text(16, "M"),
            ratio(17, (18250, 100)),
            text(29, "2026:05:03"),
        ],
    )
    # Declination there and then -23.37 degrees, WMM-2025 (NOAA and British Geological Survey,
    # 2024).
    found = read_photo(jpeg(block=block))
    # by hand: 22 + 30/60 + 36/3600 = 22.51 south; 41 + 45/60 + 18/3600 = 41.755 west
    assert (found.latitude_deg, found.longitude_deg) == (
        pytest.approx(-22.51, abs=1e-6),
        pytest.approx(-41.755, abs=1e-6),
    )
    assert found.altitude_m == -3.5
    assert (found.taken_at, found.taken_at_utc) == (
        "2026-05-03T10:40:00-03:00",
        "2026-05-03T13:40:00Z",
    )
    assert found.satellite_at_utc == "2026-05-03T13:40:00Z"
    assert not said(found, "clocks disagree")
    # by hand: 182.50 - 23.37 = 159.13
    assert (found.bearing_magnetic_deg, found.bearing_north) == (182.5, "magnetic")
    assert found.bearing_deg == pytest.approx(159.1, abs=0.05)
    assert said(found, "182.5", "magnetic", "159.1")


def test_magnetic_bearing_stays_magnetic_without_position_or_date() -> None:
    magnetic = [text(16, "M"), ratio(17, (90, 1))]
    for block, missing in (
        (exif([], taken("2026:05:03 10:40:00"), magnetic), "position"),
        (exif([], [], NORTH_EAST + magnetic), "date"),
    ):
        found = read_photo(jpeg(block=block))
        assert (found.bearing_deg, found.bearing_magnetic_deg, found.bearing_recorded_deg) == (
            None,
            90.0,
            90.0,
        )
        assert said(found, "magnetic north", missing, "not recorded")


def test_magnetic_bearing_outside_the_models_stays_magnetic() -> None:
    found = facts(
        exif([], taken("1985:05:03 10:40:00"), [*NORTH_EAST, text(16, "M"), ratio(17, (90, 1))])
    )
    assert (found.bearing_deg, found.bearing_magnetic_deg) == (None, 90.0)
    (why,) = (dict(note.values)["why"] for note in found.warnings if "bearing" in note.code)
    assert isinstance(why, Said)
    assert why.code == "sun.model_out"
    assert said(found, "not turned to true north", "2010 to 2030")


def test_true_bearing_is_taken_as_it_stands_and_one_without_reference_is_not_used() -> None:
    true = facts(exif([], None, [text(16, "T"), ratio(17, (36000, 100))]))
    assert (true.bearing_deg, true.bearing_north, true.bearing_magnetic_deg) == (
        0.0,
        "true",
        None,
    )  # 360 is north
    unsaid = facts(exif([], None, [ratio(17, (4500, 100))]))
    assert (unsaid.bearing_deg, unsaid.bearing_recorded_deg, unsaid.bearing_north) == (
        None,
        45.0,
        None,
    )
    assert said(unsaid, "45", "true", "magnetic")
    beyond = facts(exif([], None, [text(16, "T"), ratio(17, (400, 1))]))
    assert beyond.bearing_deg is None
    assert said(beyond, "400", "no bearing")


@pytest.mark.parametrize(
    ("gps", "reason"),
    [
        (
            [
                text(1, ""),
                ratio(2, *[(0, 0)] * 3),
                text(3, ""),
                ratio(4, *[(0, 0)] * 3),
                ratio(6, (0, 0)),
            ],
            "withheld",
        ),
        (
            [text(1, "N"), ratio(2, *[(0, 1)] * 3), text(3, "E"), ratio(4, *[(0, 1)] * 3)],
            "withheld",
        ),
        (
            [text(1, "N"), degrees(2, 95, 10, 0), text(3, "E"), degrees(4, 200, 0, 0)],
            "are not on the earth",
        ),
        ([text(1, "N"), degrees(2, 52, 75, 0), text(3, "E"), degrees(4, 0, 7, 0)], "75 minutes"),
        ([text(1, "N"), degrees(2, 52, 12, 0)], "no longitude"),
        (
            [text(1, "N"), text(2, "52.21"), text(3, "E"), text(4, "0.12")],
            "latitude is damaged or not stored as numbers",
        ),
        (
            [text(1, "N"), ratio(2, (52, 1), (12, 0), (0, 1)), text(3, "E"), degrees(4, 0, 7, 0)],
            "not a number",
        ),
        (
            [
                text(1, "N"),
                raw(2, 12, 1, b"\0\0\0\0\0\0\xf8\x7f"),
                text(3, "E"),
                degrees(4, 0, 7, 0),
            ],
            "not a number",
        ),  # NaN
        (
            [text(1, "N"), raw(2, 5, 1_000_000, b"\0" * 4), text(3, "E"), degrees(4, 0, 7, 0)],
            "damaged",
        ),  # its values lie outside the block
    ],
)
def test_position_that_is_none_is_not_recorded_with_the_reason(
    gps: list[tuple[int, int, int, bytes]], reason: str
) -> None:
    found = facts(exif([], taken("2026:05:03 10:41:00"), gps))
    assert (found.latitude_deg, found.longitude_deg, found.altitude_m, found.position_from) == (
        None,
        None,
        None,
        None,
    )
    assert said(found, reason), found.warnings
    assert found.taken_at == "2026-05-03T10:41:00"  # one bad value never costs the others
    assert "NaN" not in json.dumps(found.as_json(), allow_nan=False)


def test_missing_hemisphere_is_offered_never_guessed() -> None:
    found = facts(exif([], None, [degrees(2, 33, 51, 2500), degrees(4, 151, 12, 900)]))
    assert (found.latitude_deg, found.longitude_deg) == (None, None)
    # by hand: 33 + 51/60 + 25/3600 = 33.856944; 151 + 12/60 + 9/3600 = 151.2025
    assert {(abs(a), abs(b)) for a, b in found.possible_positions} == {(33.856944, 151.2025)}
    assert len(set(found.possible_positions)) == 4
    half = facts(exif([], None, [degrees(2, 33, 51, 2500), text(3, "E"), degrees(4, 151, 12, 900)]))
    assert set(half.possible_positions) == {(33.856944, 151.2025), (-33.856944, 151.2025)}
    # A signed value beside a letter may mean either: writers differ.
    signed = facts(
        exif(
            [],
            None,
            [
                text(1, "S"),
                signed_ratio(2, (-33, 1), (51, 1), (25, 1)),
                text(3, "E"),
                degrees(4, 151, 12, 900),
            ],
        )
    )
    assert signed.latitude_deg is None
    assert len(signed.possible_positions) == 2


def test_decimal_degrees_and_sixty_seconds_are_read() -> None:
    decimal = facts(
        exif(
            [], None, [text(1, "s"), ratio(2, (4130, 100)), text(3, "East"), ratio(4, (17477, 100))]
        )
    )
    assert (decimal.latitude_deg, decimal.longitude_deg) == (-41.3, 174.77)
    rounded = facts(
        exif([], None, [text(1, "N"), degrees(2, 52, 11, 6000), text(3, "E"), degrees(4, 0, 7, 0)])
    )
    assert rounded.latitude_deg == pytest.approx(52.2)


def test_receiver_not_measuring_and_other_datum_are_said() -> None:
    found = facts(exif([], None, [*NORTH_EAST, text(9, "V"), text(18, "TOKYO")]))
    assert found.latitude_deg == pytest.approx(52.21)
    assert said(found, "not measuring")
    assert said(found, "TOKYO")
    assert not facts(exif([], None, [*NORTH_EAST, text(9, "A"), text(18, "WGS-84")])).warnings[1:]


def test_looping_chain_orientation_9_maker_note_of_4_gb_and_a_date_of_zeros() -> None:
    block = exif(
        [short(0x0112, 9)],
        [*taken("0000:00:00 00:00:00"), raw(0x927C, 7, 0xFFFFFFF0, b"JUNK" + bytes(range(256)))],
        following=8,
    )
    began = time.process_time()
    found = facts(block)
    assert time.process_time() - began < 1
    assert (found.width_px, found.height_px, found.orientation, found.taken_at) == (
        640,
        480,
        1,
        None,
    )
    assert said(found, "orientation 9", "as stored")
    assert said(found, "capture time is not recorded", "empty date")


@pytest.mark.parametrize("value", [0, 9, 300])
def test_orientation_that_does_not_exist(value: int) -> None:
    found = facts(exif([short(0x0112, value)]))
    assert found.orientation == 1
    assert said(found, str(value), "as stored")


@pytest.mark.parametrize(
    "field", [text(0x0112, "six"), ratio(0x0112, (0, 0)), raw(0x0112, 99, 1, b"\6\0\0\0")]
)
def test_orientation_of_a_wrong_type(field: tuple[int, int, int, bytes]) -> None:
    found = facts(exif([field]))
    assert found.orientation == 1
    assert said(found, "orientation was not read")


def test_two_pictures_in_one_file_give_the_first() -> None:
    from PIL import Image

    data = saved(
        "MPO",
        stored(8),
        save_all=True,
        append_images=[Image.new("RGB", (160, 120))],
        exif=b"Exif\0\0" + exif([short(0x0112, 8)], taken("2026:05:03 10:45:00")),
    )
    found = read_photo(data, name="stereo.jpg")
    assert (found.format, found.width_px, found.height_px, found.taken_at) == (
        "JPEG",
        640,
        480,
        "2026-05-03T10:45:00",
    )
    assert found.complete


def test_xmp_alone_gives_date_and_place() -> None:
    packet = xmp(
        'exif:DateTimeOriginal="2026-05-03T10:47:00+01:00" exif:GPSLatitude="52,12.6N" exif:GPSLongitude="0,7.2E"'
    )
    found = read_photo(jpeg(xmp=packet))
    assert (found.taken_at, found.taken_from) == ("2026-05-03T10:47:00+01:00", "XMP")
    assert (found.latitude_deg, found.longitude_deg, found.position_from) == (
        pytest.approx(52.21, abs=1e-6),
        pytest.approx(0.12, abs=1e-6),
        "XMP",
    )
    assert found.warnings == ()


def test_exif_and_xmp_that_disagree_are_both_shown() -> None:
    packet = xmp(
        'exif:DateTimeOriginal="2026-05-03T12:00:00+01:00" exif:GPSLatitude="10,0N" exif:GPSLongitude="20,0E" tiff:Orientation="3"'
    )
    found = facts(
        exif([short(0x0112, 6)], taken("2026:05:03 10:47:00", text(0x9011, "+01:00")), NORTH_EAST),
        xmp=packet,
    )
    assert (found.taken_at, found.taken_from, found.orientation) == (
        "2026-05-03T10:47:00+01:00",
        "EXIF",
        6,
    )
    assert found.latitude_deg == pytest.approx(52.21)
    assert said(found, "2026-05-03T10:47:00+01:00", "2026-05-03T12:00:00+01:00", "EXIF was used")
    assert said(found, "52.210000, 0.120000", "10.000000, 20.000000", "EXIF was used")
    assert said(found, "orientation 6", "3")
    agreeing = xmp(
        'exif:DateTimeOriginal="2026-05-03T09:47:00Z" exif:GPSLatitude="52,12.6N" exif:GPSLongitude="0,7.2E"'
    )
    found = facts(
        exif([], taken("2026:05:03 10:47:00", text(0x9011, "+01:00")), NORTH_EAST), xmp=agreeing
    )
    assert found.warnings == ()


def test_withheld_position_is_not_brought_back_from_xmp() -> None:
    withheld = [text(1, ""), ratio(2, *[(0, 0)] * 3), text(3, ""), ratio(4, *[(0, 0)] * 3)]
    found = facts(
        exif([], None, withheld), xmp=xmp('exif:GPSLatitude="52,12.6N" exif:GPSLongitude="0,7.2E"')
    )
    assert found.latitude_deg is None
    assert said(found, "withheld")
    assert said(found, "XMP", "not used")


def test_satellite_clock_that_disagrees_is_shown_beside_the_cameras() -> None:
    clock = [*NORTH_EAST, ratio(7, (13, 1), (40, 1), (0, 1)), text(29, "2026:05:03")]
    found = facts(exif([], taken("2026:05:03 15:05:00", text(0x9011, "+01:00")), clock))
    assert (found.taken_at, found.satellite_at_utc) == (
        "2026-05-03T15:05:00+01:00",
        "2026-05-03T13:40:00Z",
    )
    assert said(found, "15:05:00+01:00", "13:40:00Z", "25\u00a0min", "camera's was used")
    # Without an offset 10:40 may be 13:40 UTC in some zone (-03:00); 10:48 in none; a year ago in
    # none.
    assert not said(facts(exif([], taken("2026:05:03 10:40:30"), clock)), "clocks")
    assert said(facts(exif([], taken("2026:05:03 10:48:00"), clock)), "No time zone joins")
    assert said(facts(exif([], taken("2025:05:03 10:40:00"), clock)), "No time zone joins")


def test_heic_turns_itself_and_stale_exif_does_not_turn_it_again() -> None:
    block = exif(
        [short(0x0112, 6)],
        taken(
            "2022:02:16 12:55:41",
            text(0x9291, "762"),
            text(0x9011, "+01:00"),
            long(0xA002, 480),
            long(0xA003, 640),
        ),
        [text(1, "N"), degrees(2, 51, 28, 4000), text(3, "W"), degrees(4, 0, 0, 500)],
    )
    found = read_photo(heic(stored(6), block), name="IMG_0001.HEIC")
    assert (found.format, found.width_px, found.height_px, found.orientation) == (
        "HEIC",
        640,
        480,
        1,
    )
    assert (found.taken_at, found.taken_at_utc) == (
        "2022-02-16T12:55:41.762+01:00",
        "2022-02-16T11:55:41Z",
    )
    # by hand: 51 + 28/60 + 40/3600 = 51.477778; 5/3600 = 0.001389 west
    assert (found.latitude_deg, found.longitude_deg) == (
        pytest.approx(51.477778, abs=1e-6),
        pytest.approx(-0.001389, abs=1e-6),
    )


def test_repeated_hour_keeps_the_offset_that_tells_which_one() -> None:
    # Europe/London, 25 October 2026: 01:30+01:00 comes an hour before 01:30+00:00 (IANA time zone
    # database).
    second = facts(exif([], taken("2026:10:25 01:30:00", text(0x9011, "+00:00"))))
    assert (second.taken_at, second.taken_at_utc) == (
        "2026-10-25T01:30:00+00:00",
        "2026-10-25T01:30:00Z",
    )


def test_camera_file_with_an_edit_date_and_a_gps_directory_that_holds_a_version_only() -> None:
    block = exif(
        [short(0x0112, 6), text(0x0132, "2015:02:26 04:20:03")],
        taken("2015:02:09 22:47:44"),
        [byte(0, 2, 3, 0, 0)],
    )
    found = read_photo(jpeg(stored(6), block))
    assert found.taken_at == "2015-02-09T22:47:44"
    assert (found.width_px, found.height_px, found.latitude_deg) == (640, 480, None)
    assert len(found.warnings) == 1  # the offset; a version alone withholds nothing


def test_date_only_in_a_private_note_is_not_recorded() -> None:
    found = facts(
        exif(
            [text(0x0132, "2020:03:17 08:00:00")], [raw(0x927C, 7, 24, b"2020:03:16 10:00:00     ")]
        )
    )
    assert found.taken_at is None
    assert said(found, "capture time is not recorded")


def test_time_of_digitising_is_said_but_not_taken() -> None:
    found = facts(exif([], [text(0x9004, "2026:05:03 10:40:00")]))
    assert found.taken_at is None
    assert said(found, "digitising", "2026:05:03 10:40:00")


@pytest.mark.parametrize(
    "written",
    [
        "2026:13:45 10:00:00",
        "2026:02:30 10:00:00",
        "2026:05:03 24:10:00",
        "yesterday",
        "\u0662\u0660\u0662\u0666:05:03 10:00:00",
        "x" * 5000,
        "2026:05:03",
    ],
)
def test_date_that_is_none(written: str) -> None:
    found = facts(exif([], [text(0x9003, written)]))
    assert found.taken_at is None
    assert said(found, "not a date and time")
    assert max(len(str(one)) for one in found.warnings) < 200


@pytest.mark.parametrize("written", ["+25:00", "later", "-13:00", "+05:75"])
def test_offset_that_is_none_leaves_the_time_without_one(written: str) -> None:
    found = facts(exif([], taken("2026:05:03 10:40:00", text(0x9011, written))))
    assert found.taken_at == "2026-05-03T10:40:00"
    assert said(found, "offset", written)


@pytest.mark.parametrize(
    ("fields", "altitude_m"),
    [
        ([ratio(6, (35, 10))], 3.5),  # Exif 2.32, GPSAltitudeRef: 0 where absent
        ([byte(5, 0), ratio(6, (35, 10))], 3.5),
        ([byte(5, 1), ratio(6, (0, 1))], 0.0),
        ([byte(5, 9), ratio(6, (35, 10))], None),
        ([ratio(6, (4_000_000_000, 1))], None),
        ([text(6, "high")], None),
    ],
)
def test_altitude(fields: list[tuple[int, int, int, bytes]], altitude_m: float | None) -> None:
    found = facts(exif([], None, [*NORTH_EAST, *fields]))
    assert found.altitude_m == altitude_m
    assert str(found.altitude_m) != "-0.0"
    assert said(found, "altitude was not read") == (altitude_m is None)


def test_clock_never_set_is_said() -> None:
    assert said(facts(exif([], taken("1980:01:01 00:00:12"))), "never set")


def test_exif_in_png_tiff_and_webp() -> None:
    block = exif([short(0x0112, 6)], taken("2026:05:03 10:40:00"), NORTH_EAST)
    for kind, suffix in (("PNG", "png"), ("WEBP", "webp")):
        found = read_photo(saved(kind, stored(6), exif=b"Exif\0\0" + block), name=f"drawn.{suffix}")
        assert (found.width_px, found.height_px, found.taken_at, found.latitude_deg) == (
            640,
            480,
            "2026-05-03T10:40:00",
            pytest.approx(52.21),
        )
    found = read_photo(
        tiff(stored(6), [short(0x0112, 6)], taken("2026:05:03 10:40:00"), NORTH_EAST),
        name="drawn.tif",
    )
    assert (found.width_px, found.height_px, found.taken_at, found.latitude_deg) == (
        640,
        480,
        "2026-05-03T10:40:00",
        pytest.approx(52.21),
    )


def test_big_endian_block_reads_the_same() -> None:
    from PIL import Image

    out = Image.Exif()
    out.endian = ">"
    out[0x0112] = 3
    out.get_ifd(0x8769)[0x9003] = "2026:05:03 10:40:00"
    out.get_ifd(0x8825).update({1: "S", 2: (22.0, 30.0, 36.0), 3: "W", 4: (41.0, 45.0, 18.0)})
    found = read_photo(saved("JPEG", exif=out.tobytes()))
    assert (found.orientation, found.taken_at, found.latitude_deg, found.longitude_deg) == (
        3,
        "2026-05-03T10:40:00",
        -22.51,
        -41.755,
    )


def test_a_name_that_says_another_format_is_said() -> None:
    found = read_photo(saved("PNG"), name="room.JPG")
    assert found.format == "PNG"
    assert said(found, ".jpg", "PNG")
    assert not said(read_photo(jpeg(), name="room"), "name ends")


def test_hash_size_and_json(tmp_path: Path) -> None:
    data = jpeg(block=exif([text(0x010F, "Acme"), text(0x0110, "Acme Box 2")]))
    path = tmp_path / "room.jpg"
    path.write_bytes(data)
    found = read_photo(path)
    assert (found.sha256, found.size_bytes) == (hashlib.sha256(data).hexdigest(), len(data))
    assert found.camera == "Acme Box 2"
    keys = {
        "width_px",
        "height_px",
        "taken_at",
        "latitude_deg",
        "longitude_deg",
        "bearing_deg",
        "warnings",
    }
    assert keys <= set(json.loads(json.dumps(found.as_json(), allow_nan=False)))


def test_xmp_elements_and_ratios() -> None:
    inner = (
        "<exif:GPSAltitude>35/10</exif:GPSAltitude><exif:GPSAltitudeRef>1</exif:GPSAltitudeRef><exif:GPSLatitude>41,18,0S</exif:GPSLatitude>"
        "<exif:GPSLongitude>174,46,12E</exif:GPSLongitude><exif:GPSImgDirection>4550/100</exif:GPSImgDirection>"
        "<exif:GPSImgDirectionRef>T</exif:GPSImgDirectionRef><photoshop:DateCreated>2026-05-03T10:47:00.25</photoshop:DateCreated>"
    )
    found = read_photo(jpeg(xmp=xmp("", inner)))
    # by hand: 41 + 18/60 south; 174 + 46/60 + 12/3600 east
    assert (found.latitude_deg, found.longitude_deg, found.altitude_m, found.bearing_deg) == (
        -41.3,
        174.77,
        -3.5,
        45.5,
    )
    assert found.taken_at == "2026-05-03T10:47:00.25"


@pytest.mark.parametrize(
    ("packet", "why"),
    [
        (b"<!DOCTYPE x [<!ENTITY a 'ha'><!ENTITY b '&a;&a;&a;&a;'>]><x>&b;</x>", "entities"),
        (b"<!DOCTYPE x SYSTEM 'file:///etc/passwd'><x/>", "entities"),
        (b"<x", "damaged"),
        (b"\xff\xfe\0\0 not xml", "damaged"),
        (b"<a>" * 15_000, "damaged"),
        (b"<?xml version='1.0' encoding='klingon'?><x/>", "damaged"),
    ],
)
def test_xmp_that_is_damaged_or_hostile(packet: bytes, why: str) -> None:
    began = time.process_time()
    found = read_photo(jpeg(xmp=packet))
    assert said(found, "XMP packet was not read", why)
    assert time.process_time() - began < 1


def test_xmp_with_wrong_values() -> None:
    found = read_photo(
        jpeg(
            xmp=xmp(
                'exif:GPSLatitude="north" exif:GPSLongitude="0,7.2E" exif:DateTimeOriginal="2026-05-03" tiff:Orientation="up"'
            )
        )
    )
    assert (found.latitude_deg, found.taken_at, found.orientation) == (None, None, 1)
    assert said(found, "latitude", "not")
    assert said(found, "XMP", "2026-05-03", "not a date and time")
