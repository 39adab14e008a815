"""A disk that is really full: a few hundred kilobytes of memory, mounted where only one forked child sees it."""

import ctypes
import multiprocessing
import os
import traceback
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

if TYPE_CHECKING:
    from multiprocessing.connection import Connection

#: Children share what this process has loaded.
_FORK = multiprocessing.get_context("fork")
# From the kernel's sched.h and mount.h.
_NEW_MOUNTS, _NEW_USER = 0x00020000, 0x10000000
_PRIVATE = 0x4000 | 0x40000


@dataclass(frozen=True, slots=True)
class SmallDisk:
    """A small disk.

    Parameters
    ----------
    root
        Its only folder.
    """

    root: Path

    def fill(self, *, leave: int) -> None:
        """Fill it up but for so many bytes."""
        self.make_room()
        found = os.statvfs(self.root)
        (self.root / "filler").write_bytes(bytes(max(found.f_bavail * found.f_frsize - leave, 0)))

    def make_room(self) -> None:
        """Take away what it was filled with."""
        (self.root / "filler").unlink(missing_ok=True)


def on_small_disk(root: Path, size: int, work: Callable[[SmallDisk], Any]) -> Any:
    """Do work in a child to whom a folder is a disk of its own, and return what it returned.

    Parameters
    ----------
    root
        An empty folder.
    size
        Of the disk, bytes.
    work
        What is done; its assertions fail the test.
    """
    here, there = _FORK.Pipe(duplex=False)
    process = _FORK.Process(target=_in_child, args=(root, size, work, there))
    process.start()
    there.close()
    what, result = here.recv() if here.poll(120) else ("failed", "it took too long")
    process.kill()
    process.join()
    here.close()
    if what == "refused":
        pytest.skip(f"no disk can be mounted here ({result})")
    assert what == "done", result
    return result


def _in_child(root: Path, size: int, work: Callable[[SmallDisk], Any], told: "Connection") -> None:
    try:
        _mount(root, size)
    except OSError as error:
        told.send(("refused", error.strerror))
        return
    try:
        told.send(("done", work(SmallDisk(root))))
    except BaseException:  # noqa: BLE001 - whatever it was, the parent fails with it
        told.send(("failed", traceback.format_exc()))


def _mount(root: Path, size: int) -> None:
    libc = ctypes.CDLL(None, use_errno=True)
    user, group = os.getuid(), os.getgid()

    def call(name: str, *arguments: Any) -> None:
        if getattr(libc, name)(*arguments):
            code = ctypes.get_errno()
            raise OSError(code, os.strerror(code))

    if user == 0:
        call("unshare", _NEW_MOUNTS)
    else:
        call("unshare", _NEW_USER | _NEW_MOUNTS)
        Path("/proc/self/setgroups").write_text("deny")
        Path("/proc/self/uid_map").write_text(f"0 {user} 1")
        Path("/proc/self/gid_map").write_text(f"0 {group} 1")
    call("mount", None, b"/", None, ctypes.c_ulong(_PRIVATE), None)
    options = f"size={size}".encode()
    call("mount", b"tmpfs", os.fsencode(root), b"tmpfs", ctypes.c_ulong(0), options)
