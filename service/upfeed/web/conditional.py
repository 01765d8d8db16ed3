"""Conditional requests (RFC 9110, 13.1.2): what the asker has already is not sent again."""

import re

_TAG = re.compile(r'(?:W/)?("[\x21\x23-\x7e\x80-\xff]*")')


def has_already(if_none_match: str, tag: str) -> bool:
    """Tell whether a list of entity tags (or `*`) holds this one, by weak comparison."""
    return if_none_match.strip() == "*" or tag in _TAG.findall(if_none_match)
