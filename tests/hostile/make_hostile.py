"""Make the hostile set: workbooks that are damaged, lie, or attack.

    python tests/hostile/make_hostile.py FOLDER

All of them are made here, byte for byte the same each time.
"""

from __future__ import annotations

import sys
from pathlib import Path

import cases_bombs
import cases_containers
import cases_dtd
import cases_names
import cases_values
import cases_xml
from made_files import Case

CASES: tuple[Case, ...] = (
    *cases_containers.CASES,
    *cases_xml.CASES,
    *cases_dtd.CASES,
    *cases_bombs.CASES,
    *cases_values.CASES,
    *cases_names.CASES,
)


def main(folder: Path) -> int:
    """Make every file of the set in ``folder``; return how many."""
    folder.mkdir(parents=True, exist_ok=True)
    for case in CASES:
        case.make(folder / case.name)
    return len(CASES)


if __name__ == "__main__":
    print(main(Path(sys.argv[1])), "files")
