"""Where results go: whole files or none, under safe names, never outside the folder that was named."""

from __future__ import annotations

import contextlib
import hashlib
import os
import re
from collections.abc import Iterable
from pathlib import Path

from spadework.cli.exits import CannotWrite

__all__ = ["OutFolder", "file_names"]

_UNSAFE = re.compile(r"[^A-Za-z0-9._-]+")
_RESERVED = re.compile(r"(?i)(con|prn|aux|nul|com\d|lpt\d)(\.|$)")
"""Names that Windows keeps for devices."""


def file_names(field_ids: Iterable[str]) -> dict[str, str]:
    """Return a file name (without ending) for each field id: safe on every system, no two alike.

    An id of plain letters, digits, points, hyphens and underscores is its own name. Any other, and
    ids that differ only by capitals, get eight characters of their hash behind, so that a field's
    file is called the same in every run of the same book.
    """
    ids = list(field_ids)
    alike: dict[str, int] = {}
    for field_id in ids:
        alike[field_id.lower()] = alike.get(field_id.lower(), 0) + 1
    return {field_id: _file_name(field_id, alone=alike[field_id.lower()] == 1) for field_id in ids}


def _file_name(field_id: str, *, alone: bool) -> str:
    safe = _UNSAFE.sub("_", field_id).strip(".-") or "field"
    if safe == field_id and alone and not _RESERVED.match(safe):
        return safe
    # A plain name never holds a tilde, so none can be taken for one of these.
    return f"field-{safe}~{hashlib.sha256(field_id.encode('utf-8')).hexdigest()[:8]}"


class OutFolder:
    """A folder for results. Files are written beside their place and moved there when whole."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._make(folder)
        self._root = folder.resolve()

    def write(self, name: str, content: bytes) -> Path:
        """Write one file, replacing an older one of that name; ``name`` may lie in a subfolder.

        Raises CannotWrite where the system refuses, or where a link leads out of the folder.
        """
        target = self.folder / name
        self._make(target.parent)
        if not target.parent.resolve().is_relative_to(self._root):
            raise CannotWrite(
                f"{target} would lie outside {self.folder}, because a folder on the way is a link. "
                "Remove the link, or name another folder with --out."
            )
        # The process id keeps two runs into one folder apart; the point hides a file left by a crash.
        partial = target.with_name(f".{target.name}.{os.getpid()}.partial")
        try:
            partial.write_bytes(content)
            partial.replace(target)
        except OSError as error:
            raise _refused(target, error) from error
        finally:
            with contextlib.suppress(OSError):
                partial.unlink(missing_ok=True)
        return target

    @staticmethod
    def _make(folder: Path) -> None:
        try:
            folder.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise _refused(folder, error) from error


def _refused(path: Path, error: OSError) -> CannotWrite:
    reason = error.strerror or str(error)
    return CannotWrite(
        f"{path} could not be written ({reason}). Free it or its folder, or name another folder with --out."
    )
