"""Numbers and replies spelled for the ear in Spanish: "200 ppm" -> "doscientas partes por millon"."""

from __future__ import annotations

import re
from decimal import Decimal

_ONES = (
    "cero uno dos tres cuatro cinco seis siete ocho nueve diez once doce trece catorce quince "
    "dieciséis diecisiete dieciocho diecinueve veinte veintiuno veintidós veintitrés veinticuatro "
    "veinticinco veintiséis veintisiete veintiocho veintinueve"
).split()
_TENS = "cero diez veinte treinta cuarenta cincuenta sesenta setenta ochenta noventa".split()
_HUNDREDS = (
    "cero ciento doscientos trescientos cuatrocientos quinientos seiscientos setecientos ochocientos "
    "novecientos"
).split()


def say_integer(number: int) -> str:
    """Spell a whole number below a million ("ciento sesenta y cinco"); the sign is spoken first."""
    if number < 0:
        return f"menos {say_integer(-number)}"
    if number < 30:
        return _ONES[number]
    if number < 100:
        tens, ones = divmod(number, 10)
        return _TENS[tens] + (f" y {_ONES[ones]}" if ones else "")
    if number == 100:
        return "cien"
    if number < 1000:
        hundreds, rest = divmod(number, 100)
        return _HUNDREDS[hundreds] + (f" {say_integer(rest)}" if rest else "")
    thousands, rest = divmod(number, 1000)
    head = "mil" if thousands == 1 else f"{_short(say_integer(thousands))} mil"
    return head + (f" {say_integer(rest)}" if rest else "")


def _short(words: str) -> str:
    """Return a number as said before a noun ("veintiún", "treinta y un")."""
    if words.endswith("veintiuno"):
        return words.removesuffix("veintiuno") + "veintiún"
    return words.removesuffix("o") if words.endswith("uno") else words


def _feminine(words: str) -> str:
    """Return a number before a feminine noun ("doscientas", "veintiuna")."""
    words = re.sub(r"cientos\b", "cientas", words).replace("quinientos", "quinientas")
    return words.removesuffix("uno") + "una" if words.endswith("uno") else words


def say_number(number: Decimal) -> str:
    """Spell a number with its decimals ("menos cero coma cinco")."""
    sign = "menos " if number.is_signed() and number != 0 else ""
    whole, _, tail = f"{abs(number):f}".partition(".")
    tail = tail.rstrip("0")
    spelled = say_integer(int(whole))
    if tail:
        spelled += " coma " + " ".join(_ONES[int(digit)] for digit in tail)
    return sign + spelled


def say_digits(number: Decimal) -> str:
    """Spell a number digit by digit, as a read-back that cannot be misheard ("uno seis cinco")."""
    words = {"-": "menos", ".": "coma"}
    text = f"{number:f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return " ".join(words.get(mark) or _ONES[int(mark)] for mark in text)


_UNITS = {
    "°F": ("grado", "grados"),
    "°C": ("grado Celsius", "grados Celsius"),
    "°": ("grado", "grados"),
    "ppm": ("parte por millón", "partes por millón"),
    "%": ("por ciento", "por ciento"),
    "mL": ("mililitro", "mililitros"),
    "L": ("litro", "litros"),
    "h": ("hora", "horas"),
    "min": ("minuto", "minutos"),
    "psi": ("libra de presión", "libras de presión"),
    "kg": ("kilo", "kilos"),
    "lb": ("libra", "libras"),
}
_FEMININE = frozenset({"ppm", "h", "lb", "psi"})
_SHE = {
    "horas": "hora",
    "libras": "libra",
    "onzas líquidas": "onza líquida",
    "onzas": "onza",
    "cucharadas": "cucharada",
    "cucharaditas": "cucharadita",
    "tazas": "taza",
    "pulgadas": "pulgada",
    "semanas": "semana",
    "lecturas": "lectura",
    "anotaciones": "anotación",
    "bandejas": "bandeja",
    "charolas": "charola",
    "cajas": "caja",
    "bolsas": "bolsa",
    "ollas": "olla",
    "piezas": "pieza",
    "porciones": "porción",
    "rebanadas": "rebanada",
    "veces": "vez",
}
_HE = {
    "minutos": "minuto",
    "segundos": "segundo",
    "días": "día",
    "galones": "galón",
    "litros": "litro",
    "cuartos": "cuarto",
    "kilos": "kilo",
    "pies": "pie",
    "pendientes": "pendiente",
    "grados": "grado",
}
"""What is counted in replies, many and one: the number takes its gender ("una hora", "veintiún días")."""
_FRACTIONS = {
    "1/2": "media",
    "1/4": "un cuarto de",
    "3/4": "tres cuartos de",
    "1/8": "un octavo de",
    "1/3": "un tercio de",
    "2/3": "dos tercios de",
}
_AFTER = {"1/2": "media", "1/4": "un cuarto", "3/4": "tres cuartos", "1/8": "un octavo"}
_UNIT = "|".join(re.escape(unit) for unit in sorted(_UNITS, key=len, reverse=True))
_PHONE = re.compile(r"\b1-(\d)00-(\d{3})-(\d{4})\b")
_CLOCK = re.compile(r"\b(\d{1,2}):(\d{2})\b(?:\s?(am|pm)\b)?")
_AT_ONE = re.compile(r"\b(?:[Ss]on las|[Ll]as)(?= 1:\d\d\b)")
_THE_ONE = {"son las": "es la", "Son las": "Es la", "las": "la", "Las": "La"}
_ONE = re.compile(rf"(?<![\w.,:/-])1 ({'|'.join((*_SHE, *_HE))})\b")
_ONLY_ONE = re.compile(r"\b([Qq]ueda|[Ff]alta)n(?= 1(?:[^\w.,]|[.,]\D|[.,]?$))")
_OR_O = re.compile(r"\bo (?=[oó]|ho|hó|8|11\b)", re.IGNORECASE)
_O_O = re.compile(r"(?<=[oó]) (?=o )")
_FUSED = re.compile(r"\b([TtMm])í(ra|de)(l[oa]s?)\b")
_AND_I = re.compile(r"\by (?=[ií]|h[ií](?!e))", re.IGNORECASE)
_HALF_HOURS = re.compile(r"(?<![\w.,:/-])(\d+)\.5 ?(?:h|horas)\b")
_NOUNS = "|".join((*_SHE, *_HE, *_SHE.values(), *_HE.values()))
_COUNTED = re.compile(rf" ({_NOUNS})\b")
_MIXED = re.compile(rf"(?:\b(\d+) )?\b([1-3]/[2483])\b(?: ({_NOUNS})\b)?")
_NUMBER = re.compile(
    r"(?<![\w.])(-?\d+(?:,\d{3})*(?:\.\d+)?)(?:(?:\s?-\s?| a )(\d+(?:\.\d+)?))?"
    rf"(?:\s?({_UNIT})(?![A-Za-z]))?"
)
_DIGITS = re.compile(rf"⟦(-?\d+(?:\.\d+)?)⟧(?:\s?({_UNIT})(?![A-Za-z]))?")


def for_eye(text: str) -> str:
    """Return a rendered reply as shown: no marks around read-back digits, and its words agreeing."""
    return _agreeing(text.replace("⟦", "").replace("⟧", ""))


def _agreeing(text: str) -> str:
    """Return a text with "a la 1:30", "es la 1:30", "1 hora", "queda 1", "u 8" and "e higos"."""
    text = _ONE.sub(lambda m: f"1 {(_SHE | _HE)[m[1]]}", _AT_ONE.sub(lambda m: _THE_ONE[m[0]], text))
    return _AND_I.sub(_before_i, _OR_O.sub(_before_o, _ONLY_ONE.sub(r"\1", text)))


def _before_o(match: re.Match[str]) -> str:
    return "U " if match[0][0] == "O" else "u "


def _before_i(match: re.Match[str]) -> str:
    return "E " if match[0][0] == "Y" else "e "


def for_ear(text: str) -> str:
    """Return a rendered reply as words for the voice: numbers, units, clock times and ranges spelled.

    The voice says two o's in a row as one, so a comma parts them ("ajústalo, o cámbialo"); "tíralo" and
    "mídelo" lose their middle in it, and are given as two words ("tira lo").
    """
    text = _DIGITS.sub(lambda m: say_digits(Decimal(m[1])) + (f" {_UNITS[m[2]][1]}" if m[2] else ""), text)
    text = _CLOCK.sub(_say_clock, _O_O.sub(", ", _agreeing(_PHONE.sub(_say_phone, text))))
    text = _MIXED.sub(_say_mixed, _HALF_HOURS.sub(r"\1 1/2 horas", text))
    text = _NUMBER.sub(_say_quantity, text)
    text = _FUSED.sub(r"\1i\2 \3", text.replace("pH", "p H"))
    return re.sub(r"\s+", " ", text).strip()


def _say_mixed(match: re.Match[str]) -> str:
    """Spell "2 1/2 tazas" and "1/2 galón": the noun stands before the half ("dos tazas y media")."""
    whole, part, noun = match[1], match[2], match[3] or ""
    he = noun in _HE or noun in _HE.values()
    if not whole:
        first = "medio" if he and part == "1/2" else _FRACTIONS[part]
        return f"{first} {noun}".rstrip()
    spelled, noun = say_integer(int(whole)), (_SHE | _HE).get(noun, noun) if whole == "1" else noun
    counted = f"{_short(spelled) if he else _feminine(spelled)} {noun}".rstrip()
    return f"{counted} y {'medio' if he and part == '1/2' else _AFTER.get(part, part)}"


def _say_phone(match: re.Match[str]) -> str:
    """Spell "1-800-222-1222" as it is read out ("uno ochocientos, doscientos veintidós, doce, veintidós")."""
    first, area, number = match.groups()
    groups = (number[:2], number[2:]) if area[0] != "0" != number[0] and number[2] != "0" else number
    spelled = (area if area[0] != "0" else " ".join(area), *groups)
    said = (" ".join(_ONES[int(d)] for d in g.split()) if " " in g else say_integer(int(g)) for g in spelled)
    return ", ".join((f"uno {say_integer(int(first) * 100)}", *said))


def _say_clock(match: re.Match[str]) -> str:
    hour, minute = int(match[1]), int(match[2])
    half = match[3] or ("pm" if hour > 12 else "")
    shown = hour - 12 if hour > 12 else hour or 12
    spoken = "una" if shown == 1 else say_integer(shown)
    if minute:
        spoken += " y media" if minute == 30 else f" y {say_integer(minute)}"
    return spoken + _part(shown % 12, half)


def _part(hour: int, half: str) -> str:
    """Return the part of the day of an hour of twelve ("de la tarde"); nothing where none is told."""
    if half == "am":
        return " de la noche" if hour == 0 else " de la madrugada" if hour < 5 else " de la mañana"
    if half == "pm":
        return " de la tarde" if hour < 8 else " de la noche"
    return ""


def _say_quantity(match: re.Match[str]) -> str:
    number, high, unit = match[1].replace(",", ""), match[2], match[3]
    noun = None if unit else _COUNTED.match(match.string, match.end())
    name = noun[1] if noun else ""
    spoken = _counted(number, unit, name)
    if high:
        spoken = say_number(Decimal(number)) if spoken == "un" else spoken  # "uno a dos días"
        spoken += f" a {_counted(high, unit, name)}"
    if unit:
        one = number in ("1", "-1") and not high
        spoken += " " + _UNITS[unit][0 if one else 1]
    return spoken


def _counted(number: str, unit: str | None, noun: str) -> str:
    spelled = say_number(Decimal(number))
    if noun and "." not in number:
        return _feminine(spelled) if noun in _SHE or noun in _SHE.values() else _short(spelled)
    if not unit:
        return spelled
    return _feminine(spelled) if unit in _FEMININE else _short(spelled)
