import pytest

from scout.calc.light.mains import mains_of


@pytest.mark.parametrize(
    ("country", "hertz"),
    [
        # Source: IEC World Plugs, as listed by country in several public tables.
        ("GB", 50.0),
        ("DE", 50.0),
        ("AU", 50.0),
        ("IN", 50.0),
        ("CN", 50.0),
        ("ZA", 50.0),
        ("AR", 50.0),
        ("JM", 50.0),
        ("US", 60.0),
        ("CA", 60.0),
        ("MX", 60.0),
        ("BR", 60.0),
        ("PE", 60.0),
        ("KR", 60.0),
        ("TW", 60.0),
        ("PH", 60.0),
        ("SA", 60.0),
    ],
)
def test_the_mains_of_a_country(country: str, hertz: float) -> None:
    assert mains_of((country,)) == (hertz,)


def test_japan_has_both_and_its_cities_one() -> None:
    # common knowledge: Tokyo (139.7 east) and Sapporo (141.4) on 50 Hz, Osaka (135.5) and Fukuoka
    # (130.4) on 60
    assert mains_of(("JP",)) == (50.0, 60.0)
    assert [mains_of(("JP",), east) for east in (139.7, 141.4)] == [(50.0,)] * 2
    assert [mains_of(("JP",), east) for east in (135.5, 130.4)] == [(60.0,)] * 2
    assert mains_of(("JP",), 138.4) == (50.0, 60.0)  # Shizuoka, by the Fuji river


def test_nobody_knows_the_country_or_two_share_a_zone() -> None:
    assert mains_of(()) == (50.0, 60.0)
    assert mains_of(("US", "GB")) == (50.0, 60.0)
