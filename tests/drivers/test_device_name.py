"""PROFILE@PORT."""

import pytest

from drivers.device_name import parse_device
from drivers.errors import DeviceNameError


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("delimited-text@/dev/ttyACM0", ("delimited-text", "/dev/ttyACM0")),
        ("my/probe.toml@COM5", ("my/probe.toml", "COM5")),
        ("p@socket://user@host:99", ("p", "socket://user@host:99")),
    ],
)
def test_the_first_at_sign_divides_profile_and_port(text, parts):
    assert parse_device(text) == parts


@pytest.mark.parametrize("text", ["", "/dev/ttyACM0", "@COM5", "delimited-text@", " @ "])
def test_half_a_name_is_refused_with_the_way_out(text):
    with pytest.raises(DeviceNameError, match="expected PROFILE@PORT, for example delimited-text@/dev/ttyACM0"):
        parse_device(text)
