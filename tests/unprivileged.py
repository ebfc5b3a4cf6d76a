"""Tests of what a file's permissions forbid: root is above them, so as root they run in a child that is nobody."""

import functools
import os
import sys
import traceback
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

NOBODY = 65534


def unprivileged(test: Callable[..., None]) -> Callable[..., None]:
    """Run a test as a user whom permissions bind; skip it where no such user can be had."""

    @functools.wraps(test)
    def run(*args: Any, **fixtures: Any) -> None:
        if not hasattr(os, "geteuid"):
            pytest.skip("permissions are of another kind here")
        if os.geteuid() != 0:
            test(*args, **fixtures)
            return
        for path in [value for value in fixtures.values() if isinstance(value, Path)]:
            _give_away(path if path.is_dir() else path.parent)
        told = _in_a_child(lambda: test(*args, **fixtures))
        assert not told, told

    return run


def _give_away(folder: Path) -> None:
    """Let nobody own a folder and all in it, and come to it through the folders above."""
    for path in [folder, *folder.rglob("*")]:
        os.chown(path, NOBODY, NOBODY)
    for above in folder.parents:
        if above.stat().st_uid == 0 and not above.stat().st_mode & 0o001 and "pytest" in str(above):
            above.chmod(above.stat().st_mode | 0o011)


def _in_a_child(what: Callable[[], None]) -> str:
    """Run something as nobody; what went wrong, or an empty text."""
    reader, writer = os.pipe()
    child = os.fork()
    if child == 0:
        told = ""
        try:
            os.setgroups([])
            os.setgid(NOBODY)
            os.setuid(NOBODY)
            what()
        except BaseException:
            told = traceback.format_exc()
        os.write(writer, told.encode()[-60_000:])
        sys.stdout.flush()
        os._exit(0)
    os.close(writer)
    with os.fdopen(reader, "rb") as pipe:
        told = pipe.read().decode(errors="replace")
    os.waitpid(child, 0)
    return told
