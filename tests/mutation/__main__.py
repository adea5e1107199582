"""`python -m tests.mutation [RULE...]`: breaks each safety rule, and what rules rest on, and says which mistakes no test notices."""

from __future__ import annotations

import argparse
from collections import Counter

from bot.engine.published import with_tables
from bot.library import load
from tests.mutation.killers import Killers
from tests.mutation.mutants import of_evidence, of_rules


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.mutation", description=__doc__)
    parser.add_argument("only", nargs="*", help="ids of rules or evidence; all when none is given")
    parser.add_argument("--milder", action="store_true", help="only mistakes that can make the advice milder")
    told = parser.parse_args()
    known = with_tables(load())
    killers = Killers(known)
    mutants = [m for m in (*of_rules(known), *of_evidence(known)) if (not told.only or m.of in told.only) and (m.milder or not told.milder)]
    killed: Counter[bool] = Counter()
    for n, mutant in enumerate(mutants, 1):
        if n % 100 == 0:
            print(f"  {n} of {len(mutants)} tried", flush=True)
        killer = killers.killer_of(mutant)
        if killer is None:
            print(f"survives: {mutant.id}{' (milder)' if mutant.milder else ''}", flush=True)
        else:
            killed[mutant.milder] += 1
    of = Counter(m.milder for m in mutants)
    print(f"mistakes that make advice milder: {killed[True]} of {of[True]} noticed")
    print(f"mistakes that make advice harsher: {killed[False]} of {of[False]} noticed")
    return 0 if sum(killed.values()) == len(mutants) else 1


if __name__ == "__main__":
    raise SystemExit(main())
