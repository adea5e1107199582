"""`python -m tests.mutation [ID...]`: breaks each safety rule, and what rules rest on, and says which mistakes no test notices.

A mistake that no test notices is held against the other rules: where it is proved that nothing comes of it, because they decide alike
in every case, it says which of them do. Whatever is left over has to be explained in explained.yaml; what is not survives.
"""

from __future__ import annotations

import argparse
from collections import Counter
from pathlib import Path

import yaml

from bot.engine.published import with_tables
from bot.library import load
from tests.mutation.alike import decided_alike
from tests.mutation.killers import Killers
from tests.mutation.mutants import Mutant, of_evidence, of_rules

EXPLAINED: dict[str, str] = yaml.safe_load(Path(__file__).with_name("explained.yaml").read_text("utf-8")) or {}
NOTICED, ALIKE, EXPLANATION, SURVIVES = "noticed by a test", "proved to change nothing", "explained", "survive"


def fate(mutant: Mutant, killers: Killers) -> tuple[str, str]:
    """What becomes of a mistake, and by what."""
    killer = killers.killer_of(mutant)
    if killer is not None:
        return NOTICED, killer
    if mutant.id in EXPLAINED:
        return EXPLANATION, EXPLAINED[mutant.id]
    if mutant.of in killers.known.rules or mutant.of in killers.known.exceptions:
        alike = decided_alike(killers.known, mutant)
        if alike is not None:
            return ALIKE, f"{', '.join(alike[0]) or 'the rule itself'} decide alike; {alike[1]:,} combinations"
    return SURVIVES, ""


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.mutation", description=__doc__)
    parser.add_argument("only", nargs="*", help="ids of rules or evidence; all when none is given")
    parser.add_argument("--milder", action="store_true", help="only mistakes that can make the advice milder")
    told = parser.parse_args()
    known = with_tables(load())
    killers = Killers(known)
    mutants = [m for m in (*of_rules(known), *of_evidence(known)) if (not told.only or m.of in told.only) and (m.milder or not told.milder)]
    fates: Counter[tuple[bool, str]] = Counter()
    for n, mutant in enumerate(mutants, 1):
        if n % 100 == 0:
            print(f"  {n} of {len(mutants)} tried", flush=True)
        what, by = fate(mutant, killers)
        fates[mutant.milder, what] += 1
        if what != NOTICED:
            print(f"{what}: {mutant.id}{' (milder)' if mutant.milder else ''}{': ' + by if by else ''}", flush=True)
    for milder, side in ((True, "milder"), (False, "harsher")):
        counts = [f"{fates[milder, what]} {what}" for what in (NOTICED, ALIKE, EXPLANATION, SURVIVES)]
        print(f"mistakes that make advice {side}: {sum(1 for m in mutants if m.milder == milder)}; {', '.join(counts)}")
    return 1 if fates[True, SURVIVES] + fates[False, SURVIVES] else 0


if __name__ == "__main__":
    raise SystemExit(main())
