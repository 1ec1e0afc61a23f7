"""What a line tells of heat, cold, wind and air, and whether it asks about them; in five languages.

The numbers that belong to the weather are taken out of the line, so that no later step takes "34 outside" or
"40 km/h of wind" for minutes. A number without a unit is the weather's only beside words that leave no doubt ("it's
34 out", "feels like -20"); "30 outside" may be half an hour, and stays where it is.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass, field

from nudgebot.domain.model.weather import DAMPS, WINDS, Conditions, Damp, Wind

HOTTEST_C = 45  # a number without its unit above it can only be degrees Fahrenheit (house)
OTHER_SCALES_TO = 11  # several countries publish an air index of their own from 1 to 10 or 11: it is not ours to read
_KMH = {"k": 1.0, "mph": 1.609344, "m": 3.6, "kn": 1.852}


@dataclass(frozen=True, slots=True)
class WeatherTold:
    """What one line says of the weather.

    `air` and `felt` are degrees as they were written, Fahrenheit where `fahrenheit` says so (None: the line does not
    say). `humidity` in %, `wind_kmh` in km/h. `asks` that the line asks whether to run in it; `other_index` that an
    air index on another scale was told; `rest` the line without the weather's numbers.
    """

    air: float | None = None
    felt: float | None = None
    fahrenheit: bool | None = None
    humidity: float | None = None
    wind_kmh: float | None = None
    air_index: int | None = None
    smoke: bool = False
    other_index: bool = False
    asks: bool = False
    rest: str = field(default="", compare=False)

    @property
    def anything(self) -> bool:
        """Whether the line says or asks something that an advice could be given on."""
        told = (self.air, self.felt, self.air_index)
        return self.asks or self.smoke or self.other_index or any(each is not None for each in told)

    def conditions(self, *, fahrenheit: bool) -> Conditions:
        """The weather in °C; `fahrenheit` is what the runner's country uses, where the line does not say."""
        return Conditions(
            _celsius(self.air, self.fahrenheit, fahrenheit), _celsius(self.felt, self.fahrenheit, fahrenheit),
            self.humidity, self.wind_kmh, self.air_index, self.smoke,
        )  # fmt: skip


def _celsius(degrees: float | None, told: bool | None, usual: bool) -> float | None:
    if degrees is None:
        return None
    fahrenheit = told if told is not None else usual or degrees > HOTTEST_C
    return round((degrees - 32) / 1.8, 1) if fahrenheit else degrees


def _either(*words: str) -> str:
    return "(?:" + "|".join(words) + ")"


_MINUS = r"(?:-|minus |menos |moins |negative )?"
_NUMBER = rf"(?<![\w.,:/])({_MINUS}\d{{1,3}}(?:[.,]\d)?)"
_UNIT = (
    r"(?:° ?(?P<{0}a>[cf]\b)?|(?:degrees?|deg|grad|grados?|graus?|degres?)(?: ?(?P<{0}b>c|f|celsius|fahrenheit)\b)?(?!\w)"
    r"|(?P<{0}c>celsius|fahrenheit|[cf])\b)"
)
_RANGE = r"(?:(?<![\w.,:/])-?\d{1,3} ?(?:-|to|bis|or|a) ?)?"
_DEGREES = re.compile(_RANGE + _NUMBER + r" ?" + _UNIT.format("u") + r"(?! ?(?:incline|gradient|slope|steep|turn))")
_FEELS = (
    r"(?:feel(?:s|ing|ed)?(?: more)? like|wind ?chill(?: is| of| at)?|heat index(?: is| of| at)?|gefuhlte?|"
    r"sensacion termica(?: de)?|temperature ressentie(?: de)?|ressenti[e]?(?: de)?|sensacao termica(?: de)?)"
)
_FELT = re.compile(_FEELS + r":? ?(?:about |around |minus )?" + _NUMBER + r"(?: ?" + _UNIT.format("f") + ")?")
# Words that make the number before or after them a temperature, whatever else the line holds.
_SUBJECT = (
    r"(?:it'?s|it is|its|is it|outside is|currently|forecast(?: is| of| says)?|temp(?:erature)?s?(?: is| of| outside)?|"
    r"es sind|wir haben|draussen sind|hace(?:n)?|estamos a|il fait|estao|faz)"
)
_AFTER = (
    r"(?: ?(?:out(?:side)?|in the (?:shade|sun)|and (?:humid|sunny|windy|sticky|muggy|dry)|humid|below(?: zero)?|"
    r"above zero|draussen|im schatten|fuera|a la sombra|dehors|a l'ombre|la fora|cá fora|a sombra))"
)
_BARE = re.compile(rf"\b{_SUBJECT} (?:about |around |already |like )?{_NUMBER}(?={_AFTER}|[ .,!?]*$)")
_BELOW = re.compile(rf"{_NUMBER} (?:below(?: zero)?|unter null|bajo cero|sous zero|abaixo de zero)\b")
_SHADE = re.compile(rf"{_NUMBER} (?:in the (?:shade|sun)|im schatten|a la sombra|a l'ombre|a sombra)\b")
_FROST = re.compile(
    r"(?<![\w.,:/-])((?:-|minus |menos |moins )\d{1,2})(?![\w:/%-]|[.,]\d)(?! ?(?:min|km|k\b|kg|lb|days))"
)
# A body's temperature is read elsewhere.
_BODY = re.compile(
    r"\b(?:fever\w*|febrile|my temp\w*|temperature of|i have a temp\w*|thermomet\w*|fieber\w*|fiebre|fievre|febre|covid|flu|grippe"
    r"|paracetamol|ibuprofen|in bed|in the bath|pool|water (?:was|is|temp\w*)|oven|body)\b"
)

_PERCENT = re.compile(
    r"(?<![\w.,])(\d{1,3}) ?(?:%|percent\b|per cent\b|prozent\b|por ?ciento\b|pour ?cent\b|por cento\b)"
)
_HUMID = re.compile(r"\b(?:humid\w*|humed\w*|humide|umid\w*|feucht\w*|luftfeucht\w*|rh|moisture)\b")
_MUGGY = re.compile(
    r"\b(?:(?:very |so |really |and )?humid|muggy|sticky|steamy|schwul|feucht|bochorno|humedo|moite|humide|abafado|umido|humido)\b"
)
_DRY = re.compile(r"\b(?:dry (?:heat|air)|(?:and|very|bone) dry|trockene? (?:hitze|luft)|calor seco|chaleur seche)\b")

_WIND = r"(?:winds?|gusts?|gusting|blowing|breeze|viento|rachas?|vent|rafales?|wind|boen?|boee?n?|vento|rajadas?)"
_SPEED = r"(\d{1,3})(?:[.,]\d)? ?(km/?h|kmh|kph|kmph|mph|m/s|ms|mps|kn|kts?|knots?|knoten|noeuds|nudos|nos)\b"
_WIND_SPEED = re.compile(rf"\b{_WIND}\b[^\d.!?]{{0,20}}{_SPEED}|(?<![\w.,]){_SPEED}[^\d.!?]{{0,20}}\b{_WIND}\b")
_WINDS = (
    (Wind.CALM, _either(
        r"no wind", r"not windy", r"calm", r"still air", r"windless", r"hardly any wind", r"windstill", r"kein(?:en)? wind",
        r"sin viento", r"pas de vent", r"sans vent", r"sem vento", r"without (?:any )?wind",
    )),
    (Wind.STRONG, _either(
        r"(?:strong|high|heavy|fierce|biting|icy|howling|gale\w*)[ -](?:\w+ )?winds?", r"(?:very|really|so) windy", r"gales?",
        r"blizzard\w*", r"gust(?:y|ing|s)", r"storm\w*", r"sturm\w*", r"stark\w*(?: \w+)? wind", r"viento (?:muy )?fuerte",
        r"mucho viento", r"ventarron", r"vent (?:tres )?fort", r"beaucoup de vent", r"tempete", r"blizzard", r"vento (?:muito )?forte",
        r"muito vento", r"vendaval", r"tormenta",
    )),
    (Wind.BREEZY, _either(
        r"breez\w*", r"wind(?!\s?chill)", r"winds", r"windy", r"windig\w*", r"viento", r"ventoso", r"vent", r"venteux", r"vento",
        r"brise", r"brisa",
    )),
)  # fmt: skip
_WIND_WORDS = tuple((wind, re.compile(rf"\b{words}\b")) for wind, words in _WINDS)

_INDEX_NAME = (
    r"(?:aqi|air quality(?: index)?|air index|pollution index|luftqualitat(?:sindex)?|luftindex|"
    r"indice de (?:la )?(?:calidad|qualidade|qualite) d(?:e|el|o|e l')? ?a(?:ire|r|ir)|calidad del aire|qualite de l'air|"
    r"qualidade do ar)"
)
_INDEX = re.compile(
    rf"\b{_INDEX_NAME}(?:'s)?\b[^\d.!?-]{{0,22}}(\d{{1,3}})(?![\d%]| ?(?:min|km))|(?<![\w.,])(\d{{1,3}}) (?:on the )?aqi\b"
)
_OTHER_INDEX = re.compile(r"\b(?:aqhi|daqi)\b[^\d.!?-]{0,15}(\d{1,2})")
_AWFUL = (
    r"(?:awful|terrible|horrible|bad|foul|unhealthy|hazardous|toxic|poor|filthy|nasty|disgusting|unbreathable|dreadful|"
    r"poisonous|choking|schlecht\w*|furchtbar\w*|schrecklich\w*|mies\w*|verqualmt\w*|grauenhaft\w*|mal[ao]?|fatal|pesim[ao]|"
    r"irrespirable|contaminad[ao]|mauvais\w*|affreux|affreuse|epouvantable|pollue\w*|irrespiravel|mau|ma|poluid[ao])"
)
_AIR = r"(?:air(?: quality)?|luft(?:qualitat)?|aire|calidad del aire|qualite de l'air|ar|qualidade do ar)"
_MUCH = r"(?: (?:is|was|'s|looks|feels|ist|sieht|esta|es|est|anda|e|really|very|so|pretty|just|absolutely|outside|here|today|hoy|heute|muy|tres|muito|sehr|so))*"
_FIRES = r"(?:wild ?fires?|bush ?fires?|forest fires?|waldbr[aä]nde?|incendios?(?: forestal(?:es)?| florestais)?|feux? de foret|incendies?)"
_BAD_AIR = re.compile(
    rf"\b(?:the |die |el |l'|o )?{_AIR}(?:'s)?{_MUCH} {_AWFUL}\b|\b{_AWFUL} {_AIR}\b|\bsmog\w*\b|\b{_FIRES}\b|"
    r"\bair[- ]quality (?:alert|warning)\b|\bash (?:is )?(?:falling|in the air)\b|\b(?:sand|dust) ?storm\b|\bcalima\b|"
    r"\bsaharan? dust\b"
)
_SMOKE = re.compile(
    r"\b(?:smoke (?:from|outside|everywhere|in the air|out|all over|today|is (?:bad|thick|heavy|awful|everywhere)|haze)|"
    r"(?:thick|heavy|lots of|so much|full of|bad|smell of|smells of|wildfire|campfire|covered in) smoke|"
    r"smok(?:e|y|ey)\b(?=[^.!]*\b(?:run|outside|out|air|sky|jog|here)\b)|"
    r"(?:air|sky|outside|out|here)(?:'s| is| was)?(?: \w+)? smok(?:y|ey)|too smok(?:y|ey)|"
    r"rauch (?:von|vom|draussen|in der luft|uberall)|(?:viel|dichter) rauch|riecht nach rauch|"
    r"humo (?:de|del|por|en|fuera)|(?:mucho|lleno de) humo|huele a humo|"
    r"fumees? (?:de|des|partout|dehors|dans)|(?:beaucoup de|odeur de) fumee|"
    r"fumo (?:dos?|no ar|por|em|la fora)|(?:muito|cheira a|cheiro a) fum(?:o|aca)|fumaca\b)"
)
_NO_SMOKE = re.compile(
    r"\b(?:no|without|kein|sin|sem|pas de|plus de) (?:more )?(?:smoke|smog|rauch|humo|fumo|fumaca|fumee)\b|"
    r"\b(?:smoke|smog|rauch|humo|fumee|fumo)(?:'s| has| is| ist)? (?:\w+ )?(?:gone|cleared|clear|weg|over|lifted|ido|partie)\b|"
    r"\bsmok(?:ing|er|ers|ed|e-?free)\b|\b(?:i|to|quit|stopped|stop|don't|dont|never|used to) smoke\b|\bsmoke (?:alarm|break|detector)\b|"
    r"\b(?:je|yo|eu|ich) (?:ne )?(?:fumo?e?|rauche)\b|\b(?:last|letztes|el) (?:year|summer|month|week|jahr|ano)\b"
)

# Words for weather that an advice exists for, and the shapes of a question about a run in it.
_WORDS = _either(
    r"hot", r"heat\w*", r"warm", r"humid\w*", r"muggy", r"cold", r"freezing", r"chilly", r"frost\w*", r"icy", r"smok\w*", r"air", r"windy",
    r"temperature", r"weather", r"heiss", r"hitze", r"schwul", r"kalt", r"eiskalt", r"frostig", r"luft", r"wetter", r"calor", r"caliente", r"frio",
    r"helado", r"aire", r"tiempo", r"chaud\w*", r"canicule", r"froid\w*", r"gele", r"quente", r"gelado", r"o ar", r"smog", r"sun",
)  # fmt: skip
_TOO = re.compile(
    r"\b(?:too|zu|demasiado|muy|trop|muito|demais) (?:\w+ )?(?:hot|warm|humid|muggy|cold|windy|smoky|freezing|icy|heiss|warm|schwul|kalt|"
    r"calor|caluroso|frio|chaud|froid|quente)\b|\b(?:hot|cold|smoky|freezing|warm) enough\b"
)
_WHETHER = re.compile(
    r"\b(?:(?:ok|okay|safe|fine|wise|sensible|smart|alright|all right|good idea|too risky) to (?:run|go|jog|head|be)|"
    r"(?:should|shall|can|could|may|do|would) (?:i|we|you) (?:still |really |even |just )?(?:run|go|jog|head|skip|stay|be running)|"
    r"(?:kann|soll|darf|sollte) ich (?:\w+ ){0,3}(?:laufen|joggen|raus|rennen)|puedo (?:salir|correr)|salgo a correr|"
    r"(?:deberia|debo|conviene) (?:salir|correr)|(?:je|on) (?:peux|peut|dois|cours|devrais) (?:\w+ )?(?:courir|sortir|y aller)?|"
    r"(?:posso|devo|da para|convem) (?:ir )?(?:correr|sair)|run (?:in|outside)|running in|laufen bei|correr con|courir (?:par|avec|sous)|"
    r"correr com)\b"
)
_ASKING = re.compile(
    r"\?|^\W*(?:is|are|should|shall|can|could|would|may|do you think|ist|kann|soll|sollte|darf|es|esta|puedo|deberia|est-ce|"
    r"puis-je|posso|devo|esta)\b"
)


def weather_in(text: str) -> WeatherTold:
    """What a line tells of the weather; nothing at all for a line that tells none."""
    line = _plain(text)
    spans: list[tuple[int, int]] = []
    asking = bool(_ASKING.search(line))
    air, felt, fahrenheit = (None, None, None) if _BODY.search(line) else _temperatures(line, spans)
    if asking and air is None and felt is None and not _BODY.search(line):
        air = _asked_degrees(line, spans)
    humidity = _humidity(line, spans)
    wind = _wind(line, spans)
    index, other = _air_index(line, spans)
    smoke = index is None and not _NO_SMOKE.search(line) and bool(_BAD_AIR.search(line) or _SMOKE.search(line))
    told = any(each is not None for each in (air, felt, index)) or smoke or other
    about = bool(re.search(rf"\b{_WORDS}\b", line)) or told
    asks = (
        asking and about and bool(_TOO.search(line) or _WHETHER.search(line) or (told and line.rstrip().endswith("?")))
    )
    rest = text
    for start, end in spans:
        rest = rest[:start] + " " * (end - start) + rest[end:]
    if not told and not asks:
        return WeatherTold(humidity=humidity, wind_kmh=wind, rest=rest)
    return WeatherTold(air, felt, fahrenheit, humidity, wind, index, smoke, other, asks, rest)


def wind_in(text: str) -> float | None:
    """The wind of an answer to "how windy is it?", km/h; a bare number of km/h or words; None where none is said."""
    line = _plain(text)
    speed = re.search(_SPEED, line)
    if speed:
        return _kmh(speed[1], speed[2])
    if re.search(r"\b(?:strong|stark|fuerte|forte?s?)\b", line):
        return WINDS[Wind.STRONG]
    return _wind_words(line)


def damp_in(text: str) -> float | None:
    """The humidity of an answer to "how humid is it?", %; None where none is said."""
    line = _plain(text)
    number = re.search(r"(?<![\d-])(\d{1,3})(?!\d)", line)
    if number and int(number[1]) <= 100:
        return float(number[1])
    if re.search(r"\bdry\b|\btrocken\b|\bseco\b|\bsec\b", line):
        return DAMPS[Damp.DRY]
    if re.search(r"\bin between\b|\bmiddling\b|\bnormal\b|\baverage\b", line):
        return DAMPS[Damp.MIDDLING]
    return DAMPS[Damp.HUMID] if _MUGGY.search(line) else None


def _plain(text: str) -> str:
    """`text` in small letters without accents, each at the place it had."""
    out: list[str] = []
    for char in text:
        if char in "°º˚":
            out.append("°")
        elif char in "–—−":
            out.append("-")
        elif char in "’‘´`":
            out.append("'")
        else:
            plain = unicodedata.normalize("NFKD", char)[0].lower()
            out.append(plain[0] if plain else " ")
    return "".join(out)


def _value(word: str) -> float:
    """A number as it was written, "minus 5" and "-5" below zero."""
    size = float(re.sub(r"[^\d.]", "", word.replace(",", ".")))
    return -size if re.match(r"-|minus|menos|moins|negative", word) else size


def _scale(*units: str | None) -> bool | None:
    unit = next((unit for unit in units if unit), "")
    return unit.startswith("f") if unit else None


def _temperatures(line: str, spans: list[tuple[int, int]]) -> tuple[float | None, float | None, bool | None]:
    """The air's degrees, what they feel like, and whether they are Fahrenheit; their places go to `spans`."""
    felt = _FELT.search(line)
    scale: bool | None = None
    felt_value: float | None = None
    if felt:
        spans.append(felt.span())
        scale = _scale(felt["fa"], felt["fb"], felt["fc"])
        minus = -1 if re.search(r"minus $", line[felt.start() : felt.start(1)]) else 1
        felt_value = minus * _value(felt[1])
        line = line[: felt.start()] + " " * (felt.end() - felt.start()) + line[felt.end() :]
    found = [match for match in _DEGREES.finditer(line) if _value(match[1]) <= _HOTTEST]
    if found:
        # The highest of a range of heat, the lowest of one of frost: the graver one counts.
        values = [-abs(_value(m[1])) if _ZERO.match(line, m.end()) else _value(m[1]) for m in found]
        spans += [match.span() for match in found]
        scale = _scale(*(unit for match in found for unit in (match["ua"], match["ub"], match["uc"])), _say(scale))
        return (max(values) if max(values) > _TEMPERATE else min(values)), felt_value, scale
    for pattern in (_BELOW, _SHADE, _FROST, _BARE):
        match = pattern.search(line)
        if match:
            spans.append(match.span(1))
            value = _value(match[1])
            return (-abs(value) if pattern is _BELOW else value), felt_value, scale
    return None, felt_value, scale


_HOTTEST = 130  # a greater number is no air temperature in either scale (the record of the air is under 135 °F)
_TEMPERATE = 15
_ZERO = re.compile(r" ?(?:c |celsius )?(?:below|unter null|bajo cero|sous zero|abaixo de zero|under zero)\b")


def _asked_degrees(line: str, spans: list[tuple[int, int]]) -> float | None:
    """The one number of a question about heat or cold: "is 36 too hot?", "34 outside, should I go?"."""
    outside = _OUTSIDE.search(line) if _WHETHER.search(line) or _TOO.search(line) else None
    alone = _ALONE.findall(line) if _TOO.search(line) else []
    match = outside or (_ALONE.search(line) if len(alone) == 1 else None)
    if match is None:
        return None
    spans.append(match.span(1))
    return _value(match[1])


_OUTSIDE = re.compile(_NUMBER + "(?=" + _AFTER + ")")
_ALONE = re.compile(
    _NUMBER
    + r"(?![\d:/%]|[.,]\d|\w| ?(?:-|min\b|minute|mins|km\b|k\b|mi\b|miles?|h\b|hours?|hrs?|am\b|pm\b|o'clock|days?|uhr|times|x\b))"
)


def _say(scale: bool | None) -> str | None:
    return None if scale is None else "f" if scale else "c"


def _humidity(line: str, spans: list[tuple[int, int]]) -> float | None:
    if _HUMID.search(line):
        for match in _PERCENT.finditer(line):
            if int(match[1]) <= 100:
                spans.append(match.span())
                return float(match[1])
    if _DRY.search(line):
        return DAMPS[Damp.DRY]
    return DAMPS[Damp.HUMID] if _MUGGY.search(line) else None


def _wind(line: str, spans: list[tuple[int, int]]) -> float | None:
    match = _WIND_SPEED.search(line)
    if match is None:
        return _wind_words(line)
    first = 1 if match[1] else 3
    spans.append((match.start(first), match.end(first + 1)))
    return _kmh(match[first], match[first + 1])


def _kmh(number: str, unit: str) -> float:
    kind = (
        "mph"
        if unit == "mph"
        else "m"
        if unit in {"m/s", "ms", "mps"}
        else "k"
        if unit.startswith("km") or unit == "kph"
        else "kn"
    )
    return float(number) * _KMH[kind]


def _wind_words(line: str) -> float | None:
    return next((WINDS[wind] for wind, words in _WIND_WORDS if words.search(line)), None)


def _air_index(line: str, spans: list[tuple[int, int]]) -> tuple[int | None, bool]:
    """The air index told, and whether one of another scale was."""
    other = _OTHER_INDEX.search(line)
    if other:
        spans.append(other.span())
        return None, True
    match = _INDEX.search(line)
    if match is None:
        return None, False
    place = 1 if match[1] else 2
    spans.append(match.span(place))
    index = int(match[place])
    return (None, True) if index <= OTHER_SCALES_TO and "aqi" not in match[0] else (index, False)
