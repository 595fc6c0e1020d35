"""Run the hostile set through the commands, and count what must never happen.

    python tests/hostile/run_hostile.py [NAME...] [--jobs 2] [--all]

Each file is read by ``check`` and by ``report`` (with ``--all`` by every command that
reads a workbook), each in a process of its own with limits on time and memory, in a
folder of its own, guarded against the network and against writing anywhere else.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import shutil
import sys
import tempfile
import unicodedata
from collections import Counter
from collections.abc import Iterable, Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from pathlib import Path

from made_files import AS_OF, KEPT, LAST, Case
from make_hostile import CASES
from run_limited import MEGABYTES, SECONDS, Ended, run

GUARDED = 99
STATUSES = {
    "read": {"report": (0,), "check": (0, 1)},
    "refused": {"report": (3,), "check": (3,)},
    "nothing": {"report": (1,), "check": (0, 1)},
    "either": {"report": (0, 1, 3), "check": (0, 1, 3)},
}
# The others may also find no tank of that name (2), no member, or nothing to copy.
OTHERS = {"marked": (0, 1, 3), "start": (0, 3), "explain": (0, 1, 2, 3),
          "progress": (0, 1, 2, 3), "layout": (0, 2, 3)}  # fmt: skip
FAULTS = (
    "traceback", "timeout", "memory", "crash", "unwanted", "changed", "stray",
    "leftover", "guarded", "control", "lines",
)  # fmt: skip
BIDI = "\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"
TEXT_FILES = (".html", ".json", ".csv", ".ics")
MOST_OUTPUT = 300_000  # characters on the terminal


@dataclass
class Result:
    """What one file did."""

    name: str
    faults: dict[str, str] = field(default_factory=dict)
    seconds: float = 0.0
    megabytes: float = 0.0
    read: bool = False

    def fault(self, kind: str, why: str) -> None:
        """Note the first fault of each kind."""
        self.faults.setdefault(kind, why[:300])


def tree(folder: Path) -> dict[str, str]:
    """Return every file below ``folder`` with its digest."""
    return {
        str(path.relative_to(folder)): hashlib.sha256(path.read_bytes()).hexdigest()
        if path.is_file()
        else "folder"
        for path in sorted(folder.rglob("*"))
    }


def commands(book: Path, out: Path, every: bool) -> dict[str, list[str]]:
    """Return the commands to run over a workbook, by a name for each."""
    name, day = str(book), ["--as-of", AS_OF.isoformat()]
    found = {
        "check": ["check", name],
        "report": ["report", name, *day, "--out", str(out / "report")],
    }
    if every:
        found |= {
            "marked": ["check", name, "--marked", str(out / "marked.xlsx")],
            "start": ["start", str(out / "next.xlsx"), "--from", name],
            "explain": ["explain", name, "A1", *day],
            "progress": ["progress", name, *day, "--out", str(out / "progress")],
            "layout": ["check", name, "--suggest-layout"],
        }
    return found


def try_case(case: Case, scratch: Path, every: bool = False) -> Result:
    """Make one file, run the commands over it, and look at all they left."""
    home = Path(tempfile.mkdtemp(dir=scratch)).resolve()
    for name in ("in", "work", "out", "tmp"):
        (home / name).mkdir()
    book = home / "in" / case.name
    case.make(book)
    before = tree(home / "in")
    result = Result(case.name)
    asked = commands(book, home / "out", every)
    for name, command in asked.items():
        _look(case, name, run(command, home), result)
    if tree(home / "in") != before:
        result.fault("changed", "the input is not what it was")
    for name in ("work", "tmp"):
        for stray in (home / name).iterdir():
            result.fault("stray", f"{name}/{stray.name}")
    for left in (home / "out").iterdir():
        if left.name not in ("report", "marked.xlsx", "next.xlsx", "progress"):
            result.fault("leftover", left.name)
    for left in home.iterdir():
        if left.name not in ("in", "work", "out", "tmp"):
            result.fault("stray", left.name)
    _look_at_report(case, home / "out" / "report", result)
    shutil.rmtree(home)
    return result


def _look(case: Case, command: str, ended: Ended, result: Result) -> None:
    """Judge how one command ended, and what it printed."""
    result.seconds = max(result.seconds, ended.seconds)
    result.megabytes = max(result.megabytes, ended.megabytes)
    said = ended.out + ended.err
    # Marking is the library's work, at half a millisecond for each mark.
    if ended.waited or ended.seconds > SECONDS * (3 if command == "marked" else 1):
        result.fault("timeout", f"{command}: {ended.seconds:.1f} s")
    if ended.megabytes > MEGABYTES:
        result.fault("memory", f"{command}: {ended.megabytes:.0f} MB")
    if "Traceback (most recent" in said or "Exception ignored" in said:
        result.fault("traceback", f"{command}: {ended.err[-300:]}")
    if ended.status == GUARDED or "GUARD " in ended.err:
        result.fault("guarded", f"{command}: {ended.err[-300:]}")
    if ended.status < 0 and not ended.waited:
        result.fault("crash", f"{command}: signal {-ended.status}")
    if ended.status not in {**STATUSES[case.outcome], **OTHERS}[command]:
        result.fault("unwanted", f"{command}: status {ended.status}: {ended.err[:200]}")
    if command == "check" and case.says not in said:
        result.fault("unwanted", f"'{case.says}' was not said: {said[:250]!r}")
    if steering(said):
        result.fault("control", f"{command}: {steering(said)[0]!r}")
    if ended.status == 3 and (
        ended.out or ended.err.count("\n") != 1 or not _names(case, ended.err)
    ):
        result.fault("lines", f"{command}: {said[:250]!r}")
    if len(said) > MOST_OUTPUT:
        result.fault("lines", f"{command}: {len(said)} characters")


def _names(case: Case, line: str) -> bool:
    """Say whether a refusal names the file; in a folder it may be a sheet's file."""
    plain = [c for c in case.name if c.isascii() and c.isalnum()]
    shown = [c for c in line if c.isascii() and c.isalnum()]
    start = "".join(plain[:6])
    return start in "".join(shown) or ".csv" in line or ".toml" in line


def steering(text: str) -> list[str]:
    """Return the characters in ``text`` that would steer a terminal."""
    return [
        c
        for c in text
        if c not in "\n\t" and (unicodedata.category(c) == "Cc" or c in BIDI)
    ]


def _look_at_report(case: Case, folder: Path, result: Result) -> None:
    """Judge the report folder: whole or absent, plain text, A1 unharmed."""
    if not folder.exists():
        if case.outcome == "read":
            result.fault("unwanted", "no report folder")
        return
    result.read = True
    manifest = json.loads((folder / "manifest.json").read_bytes())["files"]
    found = tree(folder)
    if set(found) != {*manifest, "manifest.json"}:
        result.fault("stray", f"in the report: {sorted(set(found) - set(manifest))}")
    for name, digest in manifest.items():
        if found.get(name) != digest:
            result.fault("unwanted", f"{name} is not as the manifest says")
    for name in manifest:
        if name.endswith(TEXT_FILES):
            text = (folder / name).read_bytes().decode("utf-8")
            odd = steering(text.replace("\r\n", "\n"))
            if odd:
                result.fault("control", f"{name}: {odd[0]!r}")
        elif name.endswith(".pdf"):
            raw = (folder / name).read_bytes()
            if not raw.startswith(b"%PDF") or b"%%EOF" not in raw[-32:]:
                result.fault("unwanted", f"{name} is not whole")
    if case.keeps:
        why = harmed(json.loads((folder / "report.json").read_bytes()))
        if why:
            result.fault("unwanted", why)


def harmed(report: dict) -> str:
    """Say what is wrong with tank A1 in a report, or nothing."""
    found = [tank for tank in report["tanks"] if tank["tank"] == "A1"]
    if len(found) != 1:
        return "A1 is not in the report"
    for name, value in KEPT.items():
        about = found[0]["parameters"].get(name) or {}
        if about.get("value") != value or about.get("taken_on") != LAST.isoformat():
            return f"A1 {name} is {about.get('value')} of {about.get('taken_on')}"
    if found[0]["volume_l"] != 400:
        return f"A1 holds {found[0]['volume_l']} L"
    return ""


def try_all(
    cases: Iterable[Case], jobs: int = 1, every: bool = False
) -> Iterator[Result]:
    """Try every case; results come in the order of the cases."""
    with tempfile.TemporaryDirectory() as scratch, ThreadPoolExecutor(jobs) as pool:
        yield from pool.map(lambda case: try_case(case, Path(scratch), every), cases)


def summary(results: list[Result]) -> str:
    """Return the figures in a few lines."""
    count = Counter(kind for result in results for kind in result.faults)
    seconds = sorted(result.seconds for result in results)
    memory = sorted(result.megabytes for result in results)
    middle = len(results) // 2
    read = sum(result.read for result in results)
    lines = [f"{len(results)} files: {read} read, {len(results) - read} refused"]
    lines += [f"  {kind:10} {count[kind]}" for kind in FAULTS]
    half, most = seconds[middle], seconds[-1]
    lines.append(f"  processor  {half:.1f} s median, {most:.1f} s most")
    half, most = memory[middle], memory[-1]
    lines.append(f"  memory     {half:.0f} MB median, {most:.0f} MB most")
    return "\n".join(lines)


def main() -> int:
    """Run the set, or the files named, and print the figures."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("names", nargs="*")
    parser.add_argument("--jobs", type=int, default=1)
    parser.add_argument("--all", action="store_true", dest="every")
    asked = parser.parse_args()
    chosen = [c for c in CASES if not asked.names or c.name in asked.names]
    results = []
    for result in try_all(chosen, asked.jobs, asked.every):
        results.append(result)
        for kind, why in result.faults.items():
            print(f"{ascii(result.name)}: {kind}: {why}", flush=True)
    print(summary(results))
    return 1 if any(result.faults for result in results) else 0


if __name__ == "__main__":
    sys.exit(main())
