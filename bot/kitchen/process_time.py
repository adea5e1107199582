from dataclasses import dataclass
@dataclass(frozen=True)
class ProcessRow:
    id:str; products:frozenset; foods:frozenset; packs:frozenset; jars:frozenset; minutes:tuple; sterile_jars:bool; source:str; note:str
@dataclass(frozen=True)
class Required:
    lo:float; hi:float; uncovered:bool; rows:tuple
def band(f): return 0 if f<=1000 else 1 if f<=3000 else 2 if f<=6000 else 3
NEXT=["quarter-pint","half-pint","twelve-ounce","pint","pint-and-half","quart","half-gallon","larger"]
def required_minutes(rows,product,foods,packs,jars,sterile,lo,hi):
    rs=[r for r in rows if product in r.products and (r.foods & foods)] or [r for r in rows if product in r.products and not r.foods]
    if not rs: return None
    vals=[];unc=False;used=set()
    for j in jars:
        c=[]
        for k in NEXT[NEXT.index(j):]:
            c=[r for r in rs if k in r.jars and r.packs & packs]
            if c: break
        if not c: unc=True; continue
        for r in c:
            used.add(r)
            for s in sterile:
                for b in range(band(lo),band(hi)+1):
                    vals.append(r.minutes[b]+(5 if r.sterile_jars and not s else 0))
    return Required(min(vals),max(vals),unc,tuple(used)) if vals else None
