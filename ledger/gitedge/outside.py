"""A first look whether a folder can belong to a repository at all, which costs no process."""

from __future__ import annotations

import os

#: Variables by which somebody tells git where to work.
_NAMED = ("GIT_DIR", "GIT_WORK_TREE", "GIT_COMMON_DIR", "GIT_OBJECT_DIRECTORY")


def surely_outside(here: str | os.PathLike[str]) -> bool:
    """Whether git would find no working tree for this folder: nothing names one, and no folder above holds a `.git`.

    False where that is not certain.
    """
    if any(name in os.environ for name in _NAMED):
        return False
    place = os.path.realpath(here)
    while not os.path.lexists(os.path.join(place, ".git")):
        above = os.path.dirname(place)
        if above == place:
            return True
        place = above
    return False
