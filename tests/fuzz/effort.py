"""What reading has cost so far: processor time and memory, of this process and of those it started and ended."""

from __future__ import annotations

import resource

_ALL = (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)


def spend_s() -> float:
    """Processor time."""
    used = [resource.getrusage(who) for who in _ALL]
    return sum(u.ru_utime + u.ru_stime for u in used)


def peak_mib() -> float:
    """The most memory that any one process has held."""
    return max(resource.getrusage(who).ru_maxrss for who in _ALL) / 1024
