"""python -m tests.house.refresh_readme: put what is printed today into the examples of README.md."""

from __future__ import annotations

import sys

from tests.house.readme_blocks import README, examples, refreshed


def main() -> int:
    """Rewrite README.md in place and name the examples that changed."""
    before = README.read_text(encoding="utf-8")
    after = refreshed(before)
    for old, new in zip(examples(before), examples(after), strict=True):
        if old.block.text != new.block.text:
            print(new)
    README.write_text(after, encoding="utf-8", newline="\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
