"""For which hosts the service answers: a page elsewhere must not reach it under a name of its own (RFC 9110, 7.4)."""

import re
from collections.abc import Iterable, Sequence

_NAME = r"[a-z0-9_-]+(?:\.[a-z0-9_-]+)*|\[[0-9a-f:.]+\]"
_HOST = re.compile(rf"({_NAME})\.?(?::[0-9]{{1,5}})?")

LOOPBACK = ("localhost", "127.0.0.1", "[::1]")
"""The names of this machine to itself."""


def checked_hosts(hosts: Iterable[str]) -> frozenset[str]:
    """Host names without ports. Raises ValueError for the first that is none."""
    found = frozenset(host.lower() for host in hosts)
    for host in sorted(found):
        if not re.fullmatch(_NAME, host):
            raise ValueError(
                f'found the host "{host}"; expected a name or an address without a port, as oil.example'
            )
    return found


def hosts_at(address: str, hosts: Sequence[str]) -> Sequence[str]:
    """The hosts that are answered for: those given, else only this machine's names where it alone can ask.

    An address that others can reach goes by names nobody has told; then every name is answered for.
    """
    is_own = address in ("localhost", "::1") or address.startswith("127.")
    return hosts or ((*LOOPBACK, *_named(address)) if is_own else ())


def _named(address: str) -> tuple[str, ...]:
    return () if ":" in address else (address,)


def host_of(fields: Sequence[str]) -> str | None:
    """The host that a request's Host fields name, without its port; None where they name none, or several."""
    found = _HOST.fullmatch(fields[0].lower()) if len(fields) == 1 else None
    return found[1] if found else None
