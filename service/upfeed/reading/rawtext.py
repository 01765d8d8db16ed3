"""What any text must be before it is read at all: UTF-8, of a sensible size, without hidden characters."""

import re

from msgspec.structs import replace

from upfeed.reading.faults import Fault, Origin

LARGEST = 4 * 1024 * 1024  # bytes
HIDDEN = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u2028\u2029\ufeff\ufffe\uffff\ud800-\udfff]")
_HIDDEN_BYTES = bytes(byte for byte in (*range(0x20), 0x7F) if byte not in b"\t\n\r")


def _too_large(size: int, origin: Origin) -> Fault:
    megabytes = LARGEST // 1024**2
    return Fault(origin, "", f"{size:,} bytes", f"at most {megabytes} MiB", "Split it into several files.")


def _not_utf8(data: bytes, at: int, origin: Origin) -> Fault:
    where = replace(origin, line=data.count(b"\n", 0, at) + 1)
    return Fault(where, "", f"the byte 0x{data[at]:02x}", "text in UTF-8", "Save it as UTF-8.")


def _hidden(text: str, origin: Origin) -> Fault | None:
    match = HIDDEN.search(text)
    if match is None:
        return None
    where = replace(origin, line=text.count("\n", 0, match.start()) + 1)
    if match[0] == "\ufeff":
        return Fault(where, "", "a byte order mark", "UTF-8 without one", 'Save it as "UTF-8 without BOM".')
    return Fault(where, "", f"the hidden character U+{ord(match[0]):04X}", "visible text", "Take it out.")


def plain_text(raw: str | bytes, origin: Origin, faults: list[Fault]) -> str | None:
    """Return the text, or None with a fault: over 4 MiB, not UTF-8, a byte order mark, hidden characters."""
    data = raw.encode("utf-8", "surrogatepass") if isinstance(raw, str) else raw
    if len(data) > LARGEST:
        faults.append(_too_large(len(data), origin))
        return None
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError as error:
        faults.append(_not_utf8(data, error.start, origin))
        return None
    suspect = not data.isascii() or len(data.translate(None, _HIDDEN_BYTES)) != len(data)
    fault = _hidden(text, origin) if suspect else None
    if fault is not None:
        faults.append(fault)
        return None
    return text
