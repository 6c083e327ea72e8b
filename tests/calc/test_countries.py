"""The country of a place, for the plugs on its walls."""

from __future__ import annotations

import pytest

from scout.calc.countries import country_of
from scout.errors import OutOfRange


@pytest.mark.parametrize(
    ("at", "codes"),
    [
        # Source: any atlas.
        ((51.5, -0.1), ("GB",)),
        ((53.35, -6.26), ("IE",)),
        ((40.7, -74.0), ("US",)),
        ((48.85, 2.35), ("FR",)),
        ((47.37, 8.54), ("CH",)),
        ((59.33, 18.07), ("SE",)),
        ((55.68, 12.57), ("DK",)),
        ((-41.3, 174.8), ("NZ",)),
        ((35.7, 139.7), ("JP",)),
        ((1.35, 103.8), ("SG",)),
    ],
)
def test_from_coordinates(at: tuple[float, float], codes: tuple[str, ...]) -> None:
    # The clocks say something else: coordinates count.
    assert country_of(*at, "America/Lima").codes == codes


def test_from_clocks_alone_several_may_come() -> None:
    # Source: tzdb's zone1970.tab: Berlin's clocks serve Denmark, Norway and Sweden too, whose plugs
    # differ.
    found = country_of(None, None, "Europe/Berlin")
    assert found.codes[0] == "DE"
    assert {"DK", "NO", "SE"} <= set(found.codes)
    assert found.basis.code == "country.zone"
    assert country_of(None, None, "Europe/London").codes[0] == "GB"


def test_not_known() -> None:
    assert country_of(None, None, None).codes == ()
    assert country_of(None, None, "UTC").codes == ()
    assert country_of(10.0, None, None).codes == ()  # half a pair of coordinates is no place
    assert country_of(-45.0, -140.0, None).codes == ()  # the middle of the Pacific
    with pytest.raises(OutOfRange, match="latitude_deg"):
        country_of(99.0, 0.0, None)
