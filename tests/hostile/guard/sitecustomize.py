"""Loaded by a guarded run before anything else: no network, no file outside.

The hook is the interpreter's own (PEP 578) and cannot be taken away again. It ends
the process at once with a status of its own, so that no `except` can hide the deed.
"""

import os
import sys

ENDED = 99
_ROOT = os.environ.get("FLEET_GUARD_ROOT", "")
_FORBIDDEN = ("socket.connect", "socket.sendto", "socket.getaddrinfo",
              "socket.gethostbyname", "subprocess.Popen", "os.system", "os.exec",
              "os.posix_spawn", "pty.spawn", "ftplib.connect", "urllib.Request",
              "http.client.connect")  # fmt: skip
_WRITING = os.O_WRONLY | os.O_RDWR | os.O_CREAT | os.O_TRUNC | os.O_APPEND
_MOVING = {"os.rename": 2, "os.remove": 1, "os.rmdir": 1, "os.mkdir": 1,
           "os.truncate": 1, "os.link": 2, "os.symlink": 2,
           "shutil.rmtree": 1}  # fmt: skip


def _end(event: str, what: object) -> None:
    os.write(2, f"GUARD {event} {what!r}\n".encode("utf-8", "backslashreplace"))
    os._exit(ENDED)


def _outside(path: object) -> bool:
    if not _ROOT or isinstance(path, int) or path is None:
        return False
    full = os.path.realpath(os.fsdecode(path))
    # Memory that several processes share has a name there for an instant.
    if full.startswith("/dev/shm/pym-"):
        return False
    return not (full == _ROOT or full.startswith(_ROOT + os.sep))


def _watch(event: str, args: tuple) -> None:
    if event == "open":
        path, mode, flags = args
        text = os.fsdecode(path) if isinstance(path, str | bytes) else ""
        if text in ("/etc/passwd", "/etc/shadow"):
            _end(event, path)
        wants = isinstance(flags, int) and flags & _WRITING
        if wants and text not in (os.devnull, "/dev/tty") and _outside(path):
            _end(event, path)
    elif event in _MOVING:
        for path in args[: _MOVING[event]]:
            # A path below an open folder is told without it: the folder was checked.
            whole = isinstance(path, str | bytes) and os.fsdecode(path).startswith("/")
            if whole and _outside(path):
                _end(event, path)
    elif event in _FORBIDDEN:
        _end(event, args)


sys.addaudithook(_watch)
