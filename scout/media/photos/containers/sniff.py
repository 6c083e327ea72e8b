"""What a file is, by its content and never by its name; and the name compared with it."""

from __future__ import annotations

import re
from pathlib import PurePath

from scout.errors import Refused
from scout.media.photos.containers.heic import HEIC_BRANDS, brands, take_heic
from scout.media.photos.containers.ifd import byte_order
from scout.media.photos.containers.jpeg import take_jpeg
from scout.media.photos.containers.parts import Parts
from scout.media.photos.containers.png import SIGNATURE, take_png
from scout.media.photos.containers.tiff import take_tiff
from scout.media.photos.containers.webp import take_webp
from scout.media.photos.limits import ACCEPTED, PhotoLimits
from scout.values import Name, Said, Word, said

_SUFFIXES = {
    "JPEG": {".jpg", ".jpeg", ".jpe", ".jfif", ".mpo"},
    "HEIC": {".heic", ".heif", ".hif"},
    "PNG": {".png", ".apng"},
    "TIFF": {".tif", ".tiff"},
    "WebP": {".webp"},
}
MEDIA_TYPES = {
    "JPEG": "image/jpeg",
    "HEIC": "image/heic",
    "PNG": "image/png",
    "TIFF": "image/tiff",
    "WebP": "image/webp",
}

# Beginnings of what people send by mistake, with what to call it.
_OTHERS: tuple[tuple[bytes, str], ...] = (
    (b"GIF8", "gif_picture"),
    (b"BM", "bmp_picture"),
    (b"%PDF", "pdf_document"),
    (b"8BPS", "photoshop_document"),
    (b"\x00\x00\x00\x0cJXL ", "jpeg_xl_picture"),
    (b"\xff\x0a", "jpeg_xl_picture"),
    (b"\x00\x00\x00\x0cjP  ", "jpeg_2000_picture"),
    (b"\xff\x4f\xff\x51", "jpeg_2000_picture"),
    (b"FUJIFILMCCD-RAW", "camera_raw_file"),
    (b"IIU\0", "camera_raw_file"),
    (b"IIRO", "camera_raw_file"),
    (b"II+\0", "bigtiff_picture"),
    (b"MM\0+", "bigtiff_picture"),
    (b"PK\x03\x04", "zip_archive"),
    (b"\x1f\x8b", "packed_archive"),
    (b"ID3", "sound_recording"),
    (b"OggS", "sound_or_film_file"),
    (b"\x1a\x45\xdf\xa3", "film"),
    (b"\x00\x00\x01\x00", "icon"),
)
_FILM_BRANDS = {
    b"qt  ",
    b"isom",
    b"iso2",
    b"mp41",
    b"mp42",
    b"avc1",
    b"M4V ",
    b"M4A ",
    b"3gp4",
    b"3gp5",
    b"dash",
}


def take_apart(data: bytes, name: str, limits: PhotoLimits) -> Parts:
    """The parts of a photo, by its content. Raises Refused, naming what is accepted, for anything
    else.
    """
    if not data:
        raise Refused("photo", name, said("photo.empty", accepted=Name(ACCEPTED)))
    if data.startswith(b"\xff\xd8\xff"):
        return take_jpeg(data, name, limits)
    if data.startswith(SIGNATURE):
        return take_png(data, name, limits)
    if data.startswith(b"RIFF") and data[8:12] == b"WEBP":
        return take_webp(data, name, limits)
    if data[4:8] == b"ftyp":
        _, all_brands = brands(data)
        if all_brands & HEIC_BRANDS and not all_brands & {b"avif", b"avis"}:
            return take_heic(data, name, limits)
    if byte_order(data):
        return take_tiff(data, name, limits)
    raise Refused(
        "photo",
        name,
        said("photo.no_photo", kind=Word("file", _called(data)), accepted=Name(ACCEPTED)),
    )


def _called(data: bytes) -> str:
    for beginning, what in _OTHERS:
        if data.startswith(beginning):
            return what
    if data[4:8] == b"ftyp":
        main, all_brands = brands(data)
        if all_brands & {b"avif", b"avis"}:
            return "avif_picture"
        if main == b"crx ":
            return "camera_raw_file"
        return (
            "film_or_sound_file" if all_brands & _FILM_BRANDS else "media_file_of_an_unknown_kind"
        )
    if data.startswith(b"RIFF"):
        return {b"WAVE": "sound_recording", b"AVI ": "film"}.get(
            data[8:12], "media_file_of_an_unknown_kind"
        )
    head = data[:2048]
    lowered = head.removeprefix(b"\xef\xbb\xbf").lstrip().lower()
    if re.search(rb"<svg[\s>]", lowered):
        return "svg_drawing"
    if lowered.startswith((b"<!doctype html", b"<html")) or re.search(rb"<html[\s>]", lowered):
        return "web_page_html"
    if not head.strip(b"\0"):
        return "zero_bytes"
    if _is_text(head):
        return "text_file"
    return "picture_of_a_known_kind"


def _is_text(head: bytes) -> bool:
    try:
        text = head.decode("utf-8")
    except UnicodeDecodeError as at:
        if (
            at.start == 0 or at.start < len(head) - 4
        ):  # a letter cut at the end of the sample is no fault
            return False
        text = head[: at.start].decode("utf-8")
    return all(ch.isprintable() or ch in "\t\r\n\f" for ch in text)


def name_disagrees(name: str, found: str) -> Said | None:
    """A sentence when the file's name says another format than its content, else None."""
    suffix = PurePath(name).suffix.lower()
    if not suffix or suffix in _SUFFIXES[found]:
        return None
    return said("photo.name_disagrees", ending=Name(suffix[:12]), format=Name(found))
