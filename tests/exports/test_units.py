"""The other unit of a tension is right to the last digit that a sheet shows."""

from decimal import ROUND_HALF_EVEN, Decimal

import pytest

from exports.units import KG_PER_LB, Tension

# NIST SP 811 (2008), App. B.8: a pound is 0.453 592 37 kg exactly.
POUND = Decimal("0.45359237")


def shown(value: Decimal) -> str:
    return str(value.quantize(Decimal("0.1"), ROUND_HALF_EVEN))


def test_a_pound_is_that_of_nist_sp_811():
    assert Decimal(str(KG_PER_LB)) == POUND


@pytest.mark.outside
def test_every_quarter_from_the_lowest_to_the_highest_tension_is_right_to_the_digit_shown():
    for quarters in range(4 * 16, 4 * 88 + 1):
        pounds = Decimal(quarters) / 4
        assert f"{Tension(value=float(pounds), unit='lb').kg:.1f}" == shown(pounds * POUND)
    for tenths in range(75, 401):
        kilos = Decimal(tenths) / 10
        assert f"{Tension(value=float(kilos), unit='kg').lb:.1f}" == shown(kilos / POUND)
