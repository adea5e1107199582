"""Units that follow a number, and what decides between the readings of ambiguous ones."""

from fractions import Fraction
from typing import NamedTuple

from bot.engine.numbers import Number, Tokens, word_set


class Unit(NamedTuple):
    """A unit found in the text. `size` is in the unit of its kind (see `Quantity`); `after` is the token behind it."""

    kind: str
    name: str
    size: Fraction
    after: int


_GALLON = Fraction(3785411784, 1_000_000)  # US, in mL, exactly
_POUND = Fraction(45359237, 100_000)
_UNIT_ROWS: tuple[tuple[str, str, Fraction | int, str], ...] = (
    ("minutes", "s", Fraction(1, 60), "sec secs second seconds"),
    ("minutes", "min", 1, "min mins minute minutes minits minuts minuets mintues"),
    ("hours", "h", 1, "h hr hrs hour hours"),
    ("days", "day", 1, "day days night nights"),
    ("days", "week", 7, "week weeks wk wks"),
    ("days", "fortnight", 14, "fortnight fortnights"),
    ("days", "month", 30, "month months mth mths"),
    ("days", "year", 365, "year years yr yrs"),
    ("temperature", "°F", 1, "f fahrenheit farenheit"),
    ("temperature", "°C", 1, "c celsius celcius centigrade"),
    ("temperature-unknown", "°", 1, "degree degrees deg degs ° º ˚ \u030a"),
    ("length", "in", 1, 'in inch inches " ″ ”'),
    ("length", "cm", Fraction(50, 127), "cm cms centimetre centimetres centimeter centimeters"),
    ("length", "mm", Fraction(5, 127), "mm mms millimetre millimetres millimeter millimeters"),
    ("altitude", "ft", 1, "ft feet foot"),
    ("altitude", "m", Fraction(1250, 381), "m metre metres meter meters"),
    ("altitude", "km", Fraction(1250_000, 381), "km kms"),
    ("percent", "%", 1, "% percent pct"),
    ("volume", "tsp", _GALLON / 768, "tsp tsps teaspoon teaspoons"),
    ("volume", "tbsp", _GALLON / 256, "tbsp tbsps tbs tblsp tablespoon tablespoons"),
    ("volume", "cup", _GALLON / 16, "cup cups"),
    ("volume", "pint", _GALLON / 8, "pint pints pt pts"),
    ("volume", "quart", _GALLON / 4, "quart quarts qt qts"),
    ("volume", "gallon", _GALLON, "gallon gallons gal gals"),
    ("volume", "mL", 1, "ml mls cc millilitre millilitres milliliter milliliters"),
    ("volume", "L", 1000, "l litre litres liter liters ltr ltrs"),
    ("weight", "g", 1, "g gm gms gram grams gramme grammes"),
    ("weight", "kg", 1000, "kg kgs kilo kilos kilogram kilograms"),
    ("weight", "oz", _POUND / 16, "oz ozs ounce ounces"),
    ("weight", "lb", _POUND, "lb lbs pound pounds"),
    ("pressure", "psi", 1, "psi kpa"),
)
UNITS = {word: (kind, name, Fraction(size)) for kind, name, size, words in _UNIT_ROWS for word in words.split()}
SMALLER = {"h": ("min", Fraction(1, 60)), "lb": ("oz", _POUND / 16)}  # "1 hour 20 minutes", "3 lb 4 oz"
DURATIONS = frozenset({"minutes", "hours", "days"})

STOPS = frozenset(".!?;,()")
_BETWEEN = word_set("full whole solid more extra level heaped heaping scant good long odd ish")
_HEIGHT = word_set("altitude elevation elev asl above sea up high height live lives living mountain mountains hills")
HEAT = word_set("thermometer thermometers thermo probe temp temps temperature degrees degree deg")
_WARMTH = HEAT | word_set("at to room warm cool hot cold below above under over around kept heated reached")
_INCH_NEXT = word_set(". , ; ! ? ) headspace head gap of from below down above over deep left space short too") | {""}
_NO_INCH_NEXT = word_set("the a an my each it there every one this that our all them")
_LIQUID_NEXT = word_set("of each per")
_PRESSING = word_set("pressure weight gauge weighted")


def unit_at(t: Tokens, j: int, n: Number, i: int) -> Unit | None:
    """The unit at token j of the number at tokens i to j - 1, or None. Ambiguous letters are decided by their context.

    "m" is minutes below 50, written together below 200 ("90m"), unless height is spoken of; under 20 feet are a length.
    "in" is inches after a fraction or before something that has a depth; lb "at 10 lb" is a canner's pressure.
    """
    if t.words[j] == "-" and t.glued(j) and t.glued(j + 1):
        j += 1
    if t.words[j] in _BETWEEN and t.words[j + 1] in UNITS:
        j += 1
    word, after = t.words[j], j + 1
    following = t.words[after]
    if word in ("fl", "fluid"):
        k = after + (following == ".")
        return Unit("volume", "fl oz", _GALLON / 128, k + 1) if t.words[k] in ("oz", "ounce", "ounces") else None
    if word == "per":
        return Unit("percent", "%", Fraction(1), after + 1) if following == "cent" else None
    if word in ("oc", "of", "ºc", "ºf") and t.glued(j):  # NFKC turns the ordinal sign, often typed for °, into "o"
        return Unit("temperature", "°" + word[1].upper(), Fraction(1), after)
    if word not in UNITS:
        return None
    kind, name, size = UNITS[word]
    if kind == "temperature-unknown":
        scale = UNITS.get(following, ("", "", size))
        return Unit(*scale, after + 1) if scale[0] == "temperature" else Unit(kind, name, size, after)
    if word == "c" and not _celsius(t, i, j, n):
        kind, name, size = UNITS["cup"]
    elif word == "second" and n.form != "digits" and n.form != "share":  # "one second batch"
        return None
    elif word == "in":
        if following in _NO_INCH_NEXT if n.lo.denominator > 1 else following not in _INCH_NEXT:
            return None
    elif word in '"″”' and (n.hi > 12 or t.words[max(0, j - 40) : j].count(word) % 2):  # the end of something quoted
        return None
    elif kind == "altitude":
        high = t.near(i - 5, after + 4, _HEIGHT)
        if word == "m" and not high and n.hi < (200 if t.glued(j) else 50):
            kind, name, size = UNITS["min"]
        elif name == "km" and not high:
            return None
        elif name != "km" and n.hi < 20:
            kind, size = "length", size * 12
    elif name == "lb" and (following in _PRESSING or (t.words[i - 1] == "at" and n.hi <= 20)):
        kind = "pressure"
    return Unit(kind, name, size, after)


def _celsius(t: Tokens, i: int, j: int, n: Number) -> bool:
    """Whether "c" means Celsius and not cups.

    Cups: fractions, "2 c of", small numbers without a word about warmth. Celsius: above 30; beside "at", "temp"; and
    from 10 up where nothing follows that could be measured ("day 12, 22c").
    """
    if t.words[j + 1] in _LIQUID_NEXT or n.form == "share" or n.lo.denominator not in (1, 2, 5, 10):
        return False
    ends = not t.words[j + 1] or t.words[j + 1] in STOPS
    return n.hi > 30 or t.near(i - 2, i, _WARMTH) or (n.lo >= 10 and ends)


def resolve_temperature(value: Fraction | float) -> str | None:
    """'F', 'C' or None for a kitchen temperature without its scale: 30 to 130 can only be C, 150 to 550 only F."""
    return "C" if 30 <= value <= 130 else "F" if 150 <= value <= 550 else None
