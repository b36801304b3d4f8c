"""One file outside the ledger (a packet, a memo, a chart) that is there whole, or as it was before."""

from __future__ import annotations

import os
import shutil
from contextlib import suppress
from pathlib import Path

from ledger.gitedge.going_out import FRESH


def put_whole(place: Path, data: bytes) -> None:
    """Writes a file beside its place and then gives it its name; a link is followed, a device is written to.

    A killed command leaves the file that was there before, or none, and at most what it was writing under the name
    with `FRESH` behind, which the next one takes away. Raises OSError, with the file as before.
    """
    aim = os.path.realpath(place)
    if os.path.lexists(aim) and not os.path.isfile(aim):
        place.write_bytes(data)
        return
    fresh = aim + FRESH
    try:
        with suppress(FileNotFoundError):
            os.unlink(fresh)
        with open(fresh, "xb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        if os.path.exists(aim):
            shutil.copymode(aim, fresh)
        os.replace(fresh, aim)
    except OSError as fault:
        raise OSError(fault.errno, fault.strerror, os.fspath(place)) from None
    finally:
        with suppress(OSError):
            os.unlink(fresh)
