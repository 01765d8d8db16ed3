"""The known words that come nearest to a misspelt one."""

from collections.abc import Iterable
from difflib import SequenceMatcher

LEAST_LIKENESS = 0.6  # difflib's own recommendation for "close"


def _likeness(matcher: SequenceMatcher[str]) -> float:
    # Each bound is tighter and dearer than the one before.
    for bound in (
        matcher.real_quick_ratio,
        matcher.quick_ratio,
        matcher.ratio,
    ):
        likeness = bound()
        if likeness < LEAST_LIKENESS:
            return 0.0
    return likeness


def nearest(word: str, known: Iterable[str], n: int = 3) -> tuple[str, ...]:
    """Return at most n known words like `word`, the likest first, whatever their order and capitals."""
    matcher = SequenceMatcher(autojunk=False)
    matcher.set_seq2(word.lower())
    ranked = []
    for candidate in set(known):
        matcher.set_seq1(candidate.lower())
        likeness = _likeness(matcher)
        if likeness:
            ranked.append((-likeness, candidate))
    return tuple(candidate for _, candidate in sorted(ranked)[:n])


def either(words: Iterable[str]) -> str:
    """Join words as a sentence does: "a", "a or b", "a, b or c"."""
    *others, final = words
    return f"{', '.join(others)} or {final}" if others else final


def did_you_mean(word: str, known: Iterable[str]) -> str:
    """Ask "Did you mean X or Y?" with the nearest known words; empty when none is near."""
    near = nearest(word, known)
    return f"Did you mean {either(near)}?" if near else ""
