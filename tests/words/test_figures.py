"""The figures of pages and paper: one way to say each, None where nothing is known."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta, timezone

from scout.assess.answers import unmeasured
from scout.values import Name
from scout.words import Reader, figures, reading

NB = "\u00a0"
FEET = Reader("feet")
WINTER, SUMMER = timezone(timedelta(hours=1)), timezone(timedelta(hours=2))


def test_lengths_areas_and_sizes() -> None:
    assert figures.length(3.81) == f"3.81{NB}m"
    assert figures.length(12.5) == f"12.50{NB}m"
    assert figures.distance(139.6) == f"140{NB}m"
    assert figures.distance(1999) == f"1,999{NB}m"
    assert figures.distance(11130) == f"11.1{NB}km"
    assert figures.distance(19_959_679) == f"19,960{NB}km"
    assert figures.sizes((0.83, None, 2.0)) == f"0.83 × ? × 2.00{NB}m"
    assert figures.area(32.46) == f"32.5{NB}m²"
    with reading(FEET):
        # by hand: 3.81 m is 150 in; 12.5 m is 492.126 in, 41' 0" to the half inch
        assert figures.length(3.81) == "12' 6\""
        assert figures.length(12.5) == "41' 0\""  # a wall stays a tape's length, it is no walk
        assert figures.distance(139.6) == f"458{NB}ft"
        assert figures.distance(11130) == f"6.9{NB}mi"  # by hand: 11130 / 1609.344
        assert figures.sizes((0.8382, 2.0)) == "2' 9\" × 6' 6 1/2\""


def test_numbers() -> None:
    assert figures.number(34.5, 0, "dBA") == f"35{NB}dBA"
    assert figures.number(-0.04, 1) == "0.0"
    assert figures.number(-1.25, 1) == "−1.3"
    assert figures.percent(0.125, 1) == "12.5 %"
    assert figures.span([200.0, None, 48.2], 0, "lux") == f"48 to 200{NB}lux"
    assert figures.span([48.2], 0, "lux") == f"48{NB}lux"


def test_what_is_not_known_stays_none() -> None:
    for made in (
        figures.number(None),
        figures.length(None),
        figures.distance(None),
        figures.area(None),
        figures.sizes((None, None)),
        figures.span([None]),
        figures.percent(None),
        figures.minutes(None),
        figures.clock(None),
        figures.day(None),
        figures.when(None),
        figures.spells(()),
        figures.coordinates(1.0, None),
        figures.yes_no(None),
        figures.word("mic", None),
    ):
        assert made is None


def test_times() -> None:
    at = datetime(2026, 5, 3, 10, 40, tzinfo=WINTER)
    assert figures.when(at) == "3 May 2026, 10:40 UTC+01:00"
    assert figures.when("2026-05-03T10:40:00+01:00") == figures.when(at)
    assert figures.when(at, "Europe/Madrid") == "3 May 2026, 11:40"
    # what the program kept in UTC is said by the clock of whoever reads: tz database, summer time
    with reading(Reader(home=lambda: "Europe/London")):
        assert figures.when(datetime(2026, 7, 3, 10, 40, tzinfo=UTC)) == "3 Jul 2026, 11:40"
        assert figures.when(at) == "3 May 2026, 10:40 UTC+01:00"  # a place's own clock stays
    assert figures.when("by the caretaker") == "by the caretaker"
    assert figures.clock(at, "UTC") == "09:40"
    assert figures.day("2026-05-03", long=True) == "Sunday 3 May 2026"
    assert figures.day(date(2026, 5, 3)) == "3 May 2026"
    assert figures.minutes(328.4) == f"5{NB}h 28{NB}min"


def test_spells_say_the_offset_when_the_clocks_change() -> None:
    before = datetime(2026, 3, 29, 1, 30, tzinfo=WINTER)
    after = datetime(2026, 3, 29, 9, 0, tzinfo=SUMMER)
    assert figures.spells([(after, after + timedelta(hours=1))]) == "09:00 to 10:00"
    assert figures.spells([(before, before), (after, after)]) == (
        "01:30 (UTC+01:00) to 01:30 (UTC+01:00), 09:00 (UTC+02:00) to 09:00 (UTC+02:00)"
    )
    with reading(Reader(timezone="UTC")):  # one clock, nothing to tell apart
        assert (
            figures.spells([(before, before), (after, after)]) == "00:30 to 00:30, 07:00 to 07:00"
        )


def test_words_and_places() -> None:
    assert figures.surfaces(["C", "A", "ceiling"]) == "walls C and A and the ceiling"
    assert figures.coordinates(-33.86, 151.209) == "33.86000° S, 151.20900° E"
    # by hand: 22.4 degrees is nearer to north than to north-east, 22.6 is not
    assert [figures.compass(one) for one in (22.4, 22.6, 180.0, 359.0)] == ["N", "NE", "S", "N"]
    assert figures.yes_no(True) == "yes"
    assert figures.word("mic", "omni_clip") == "lav (clip-on)"
    assert figures.fact("windows.W1.sill_m") == "W1 sill"
    assert figures.fact("room.surfaces") == "surfaces"  # a whole group has a word too, not its key


def test_sentences() -> None:
    assert figures.sentence("the sill is missing") == "The sill is missing."
    assert figures.sentence("Why?") == "Why?"
    assert figures.sentence(None) == figures.unknown(None) == ""
    assert figures.unknown(unmeasured("windows.W1.sill_m")) == "Unknown: W1 sill is not measured."
    assert str(figures.room_name(None)) == "Unnamed room"
    assert figures.room_name("Loft") == Name("Loft")
