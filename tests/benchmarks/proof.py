"""Says over how many combinations of answers the safety rules were looked at: `python -m tests.benchmarks.proof`."""

from __future__ import annotations

from tests.engine.prove import proof


def main() -> int:
    found = proof()
    print(
        f"rules {found.rules}, combinations {found.combinations:,}, "
        + ("all hold" if not found.broken else "these do not hold:")
    )
    print("\n".join(found.broken), end="\n" if found.broken else "")
    return 1 if found.broken else 0


if __name__ == "__main__":
    raise SystemExit(main())
