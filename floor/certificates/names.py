"""By what names and addresses tablets reach this machine: what the server's certificate must name."""

from __future__ import annotations

import ipaddress
import re
import socket
from collections.abc import Iterable
from dataclasses import dataclass
from urllib.parse import urlsplit

import ifaddr

Address = ipaddress.IPv4Address | ipaddress.IPv6Address

HOST = re.compile(r"(?!-)[a-z0-9_-]{1,63}(\.[a-z0-9_-]{1,63})*\Z")
LOOPBACK = ("127.0.0.1", "::1")
ITSELF = "localhost"
ON_THIS_NETWORK = ".local"  # multicast DNS, RFC 6762: a machine's own name without any name server


@dataclass(frozen=True)
class Names:
    """`hosts` in lower case, as they travel; `first` is what to tell people: the shop's own setting if there is
    one, else the address on the shop's network, else the name."""

    hosts: frozenset[str]
    addresses: frozenset[Address]
    first: str

    def covers(self, host: str) -> bool:
        """Whether a certificate with these names is good for the address bar's `host`."""
        address = _address(host)
        return host_name(host) in self.hosts if address is None else address in self.addresses

    def without(self, other: Names) -> list[str]:
        """What these have and `other` has not."""
        return sorted(map(str, {*self.hosts, *self.addresses} - {*other.hosts, *other.addresses}))


def machine_names(shop_address: str) -> Names:
    """The names of the machine that this runs on, now. `shop_address`: the setting, or nothing."""
    return names_of(socket.gethostname(), _own_addresses(), shop_address)


def names_of(host: str, addresses: Iterable[str], shop_address: str = "") -> Names:
    """The names of the machine `host` with these addresses. What no certificate can hold is left out."""
    own = host_name(host)
    hosts = {ITSELF}
    if own and own != ITSELF:
        short = own.split(".")[0]
        hosts |= {own, short, short + ON_THIS_NETWORK}
    found = {address for text in (*addresses, *LOOPBACK) if (address := _address(text)) is not None}
    found = {address for address in found if not _needs_a_scope(address)}
    first = _best(found) or (own and own.split(".")[0] + ON_THIS_NETWORK) or ITSELF
    chosen = urlsplit(shop_address).hostname or ""
    if (address := _address(chosen)) is not None:
        found.add(address)
        first = chosen
    elif name := host_name(chosen):
        hosts.add(name)
        first = name
    return Names(frozenset(hosts), frozenset(found), first)


def host_name(text: str) -> str:
    """A host's name as certificates and address bars hold it, or "" where it cannot be one."""
    try:
        name = text.strip().rstrip(".").lower().encode("idna").decode("ascii")
    except UnicodeError:
        return ""
    return name if HOST.match(name) else ""


def is_loopback(host: str) -> bool:
    """Whether `host` means the machine that says it."""
    address = _address(host)
    return host_name(host) == ITSELF if address is None else address.is_loopback


def in_an_address(host: str) -> str:
    """`host` as it stands in an address: IPv6 in brackets."""
    return f"[{host}]" if ":" in host else host


def _own_addresses() -> list[str]:
    found = (ip.ip for adapter in ifaddr.get_adapters() for ip in adapter.ips)
    return [ip if isinstance(ip, str) else ip[0] for ip in found]


def _address(text: str) -> Address | None:
    try:
        return ipaddress.ip_address(text.strip("[]"))
    except ValueError:
        return None


def _needs_a_scope(address: Address) -> bool:
    """fe80:: addresses mean something only with an interface's name, which no certificate can hold."""
    return address.version == 6 and address.is_link_local


def _best(addresses: Iterable[Address]) -> str:
    """The address to tell people, of those on the shop's network; "" if the machine is on none."""
    useful = [a for a in addresses if a.version == 4 and not a.is_loopback and not a.is_link_local]
    return str(min(useful, key=lambda a: (not a.is_private, a))) if useful else ""
