import pytest

from meets.field.addresses import Address, addresses, host_names, in_order, is_local


@pytest.mark.parametrize(
    ("text", "local"),
    [
        ("192.168.1.5", True),
        ("10.1.2.3", True),
        ("172.16.0.1", True),
        ("172.32.0.1", False),
        ("169.254.3.4", True),
        ("127.0.0.1", True),
        ("203.0.113.9", False),
        ("192.0.2.2", False),
        ("fd00::2", False),
        ("laptop.local", False),
        ("", False),
    ],
)
def test_which_addresses_are_local(text, local):
    assert is_local(text) is local


def test_the_likeliest_comes_first_and_what_no_phone_reaches_is_last_or_left_out():
    found = [
        Address("127.0.0.1", "lo"),
        Address("172.17.0.1", "docker0"),
        Address("169.254.9.9", "eth1"),
        Address("203.0.113.9", "wwan0", outward=True),
        Address("10.0.0.2", "eth0"),
        Address("192.168.43.1", "wlan0", outward=True),
    ]
    assert [one.text for one in in_order(found)] == ["192.168.43.1", "10.0.0.2", "169.254.9.9", "172.17.0.1"]


def test_this_computer_can_be_asked():
    assert all(is_local(one.text) and not one.text.startswith("127.") for one in addresses())
    assert len(host_names()) in (0, 2)
