"""`python -m tests.measure FILE...`: plays stories (JSON lines with `story`, `facts`, `verdict`, `also_acceptable`) and counts.

Each story is sent as the first message; questions are answered from its facts. Exit status 1 when a verdict came out milder.
"""

from __future__ import annotations

import argparse
import json
from pathlib import Path

from tests.measure.safety_cases import Played, play, report


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.measure", description=__doc__)
    parser.add_argument("files", nargs="+", type=Path, help="JSON lines: story, facts, verdict, also_acceptable")
    parser.add_argument("--wrong", action="store_true", help="print each story that did not come out right")
    told = parser.parse_args()
    played: list[Played] = []
    for file in told.files:
        played += [play(json.loads(line)) for line in file.read_text("utf-8").splitlines() if line.strip()]
    if told.wrong:
        for each in played:
            if each.kind != "right":
                print(each)
    print(report(played))
    return 1 if any(each.kind == "milder" for each in played) else 0


if __name__ == "__main__":
    raise SystemExit(main())
