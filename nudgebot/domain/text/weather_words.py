"""The words and shapes of the weather in five languages, as patterns over a line in small letters without accents."""

from __future__ import annotations

import re

from nudgebot.domain.model.weather import Wind


def _either(*words: str) -> str:
    return "(?:" + "|".join(words) + ")"


MINUS = r"(?:-|minus |menos |moins |negative )?"
NUMBER = rf"(?<![\w.,:/])({MINUS}\d{{1,3}}(?:[.,]\d)?)"
UNIT = (
    r"(?:° ?(?P<{0}a>[cf]\b)?|(?:degrees?|deg|grad|grados?|graus?|degres?)(?: ?(?P<{0}b>c|f|celsius|"
    r"fahrenheit)\b)?(?!\w)"
    r"|(?P<{0}c>celsius|fahrenheit|[cf])\b)"
)
RANGE = r"(?:(?<![\w.,:/])-?\d{1,3} ?(?:-|to|bis|or|a) ?|between -?\d{1,3} and )?"
DEGREES = re.compile(RANGE + NUMBER + r" ?" + UNIT.format("u") + r"(?! ?(?:incline|gradient|slope|steep|turn))")
FEELS = (
    r"(?:feel(?:s|ing|ed)?(?: more)? like|wind ?chill(?: is| of| at)?|heat index(?: is| of| at)?|gefuhlte?|"
    r"sensacion termica(?: de)?|temperature ressentie(?: de)?|ressenti[e]?(?: de)?|sensacao termica(?: de)?)"
)
FELT = re.compile(FEELS + r":? ?(?:about |around |minus )?" + NUMBER + r"(?: ?" + UNIT.format("f") + ")?")
# Words that make the number before or after them a temperature, whatever else the line holds.
SUBJECT = (
    r"(?:it'?s|it is|its|is it|outside is|currently|forecast(?: is| of| says)?|temp(?:erature)?s?(?: is| of|"
    r" outside)?|"
    r"es sind|wir haben|draussen sind|hace(?:n)?|estamos a|il fait|estao|faz)"
)
AFTER = (
    r"(?: ?(?:out(?:side)?|in the (?:shade|sun)|and (?:humid|sunny|windy|sticky|muggy|dry)|humid|below(?: zero)?|"
    r"above zero|draussen|im schatten|fuera|a la sombra|dehors|a l'ombre|la fora|cá fora|a sombra))"
)
BARE = re.compile(rf"\b{SUBJECT} (?:about |around |already |like )?{NUMBER}(?={AFTER}|[ .,!?]*$)")
BELOW = re.compile(rf"{NUMBER} (?:below(?: zero)?|unter null|bajo cero|sous zero|abaixo de zero)\b")
SHADE = re.compile(rf"{NUMBER} (?:in the (?:shade|sun)|im schatten|a la sombra|a l'ombre|a sombra)\b")
FROST = re.compile(
    r"(?<![\w.,:/=-])((?:-|minus |menos |moins )\d{1,2})(?![\w:/%-]|[.,]\d)(?! ?(?:min|km|k\b|kg|lb|days))"
)
# A body's temperature is read elsewhere.
BODY = re.compile(
    r"\b(?:fever\w*|febrile|my temp\w*|temperature of|i have a temp\w*|thermomet\w*|fieber\w*|fiebre|fievre|"
    r"febre|covid|flu|grippe"
    r"|paracetamol|ibuprofen|in bed|in the bath|pool|water (?:was|is|temp\w*)|oven|body)\b"
)

PERCENT = re.compile(
    r"(?<![\w.,])(\d{1,3}) ?(?:%|percent\b|per cent\b|prozent\b|por ?ciento\b|pour ?cent\b|por cento\b)"
)
HUMID = re.compile(r"\b(?:humid\w*|humed\w*|humide|umid\w*|feucht\w*|luftfeucht\w*|rh|moisture)\b")
MUGGY = re.compile(
    r"\b(?:(?:very |so |really |and )?humid|muggy|sticky|steamy|schwul|feucht|bochorno|humedo|moite|humide|"
    r"abafado|umido|humido)\b"
)
DRY = re.compile(
    r"(?:, dry\b|\b(?:dry (?:heat|air)|(?:and|very|bone) dry|trockene? (?:hitze|luft)|calor seco|chaleur seche)\b)"
)

WIND = r"(?:winds?|gusts?|gusting|blowing|breeze|viento|rachas?|vent|rafales?|wind|boen?|boee?n?|vento|rajadas?)"
SPEED = r"(\d{1,3})(?:[.,]\d)? ?(km/?h|kmh|kph|kmph|mph|m/s|ms|mps|kn|kts?|knots?|knoten|noeuds|nudos|nos)\b"
WIND_SPEED = re.compile(rf"\b{WIND}\b[^\d.!?]{{0,20}}{SPEED}|(?<![\w.,]){SPEED}[^\d.!?]{{0,20}}\b{WIND}\b")
WINDS = (
    (Wind.CALM, _either(
        r"no wind", r"not windy", r"calm", r"still air", r"windless", r"hardly any wind", r"windstill",
        r"kein(?:en)? wind",
        r"sin viento", r"pas de vent", r"sans vent", r"sem vento", r"without (?:any )?wind",
    )),
    (Wind.STRONG, _either(
        r"(?:strong|high|heavy|fierce|biting|icy|howling|gale\w*)[ -](?:\w+ )?winds?",
        r"(?:very|really|so) windy", r"gales?",
        r"blizzard\w*", r"gust(?:y|ing|s)", r"storm\w*", r"sturm\w*", r"stark\w*(?: \w+)? wind",
        r"viento (?:muy )?fuerte",
        r"mucho viento", r"ventarron", r"vent (?:tres )?fort", r"beaucoup de vent", r"tempete", r"blizzard",
        r"vento (?:muito )?forte",
        r"muito vento", r"vendaval", r"tormenta",
    )),
    (Wind.BREEZY, _either(
        r"breez\w*", r"wind(?!\s?chill)", r"winds", r"windy", r"windig\w*", r"viento", r"ventoso", r"vent",
        r"venteux", r"vento",
        r"brise", r"brisa",
    )),
)  # fmt: skip
WIND_WORDS = tuple((wind, re.compile(rf"\b{words}\b")) for wind, words in WINDS)

INDEX_NAME = (
    r"(?:aqi|air quality(?: index)?|air index|pollution index|luftqualitat(?:sindex)?|luftindex|"
    r"indice de (?:la )?(?:calidad|qualidade|qualite) d(?:e|el|o|e l')? ?a(?:ire|r|ir)|calidad del aire|"
    r"qualite de l'air|"
    r"qualidade do ar)"
)
INDEX = re.compile(
    rf"\b{INDEX_NAME}(?:'s)?\b[^\d.!?-]{{0,22}}(\d{{1,3}})(?![\d%]| ?(?:min|km))|"
    rf"(?<![\w.,])(\d{{1,3}}) (?:on the )?aqi\b"
)
OTHER_INDEX = re.compile(r"\b(?:aqhi|daqi)\b[^\d.!?-]{0,15}(\d{1,2})")
AWFUL = (
    r"(?:awful|terrible|horrible|bad|foul|unhealthy|hazardous|toxic|poor|filthy|nasty|disgusting|unbreathable|"
    r"dreadful|"
    r"poisonous|choking|schlecht\w*|furchtbar\w*|schrecklich\w*|mies\w*|verqualmt\w*|grauenhaft\w*|mal[ao]?|"
    r"fatal|pess?im[ao]|"
    r"irrespirable|contaminad[ao]|mauvais\w*|affreux|affreuse|epouvantable|pollue\w*|irrespiravel|mau|ma|poluid[ao])"
)
AIR = r"(?:air(?: quality)?|luft(?:qualitat)?|aire|calidad del aire|qualite de l'air|ar|qualidade do ar)"
MUCH = (
    r"(?: (?:is|was|'s|looks|feels|ist|sieht|esta|es|est|anda|e|really|very|so|pretty|just|absolutely|"
    r"outside|here|today|hoy|heute|muy|tres|muito|sehr|so))*"
)
FIRES = (
    r"(?:wild ?fires?|bush ?fires?|forest fires?|waldbr[aä]nde?|incendios?(?: forestal(?:es)?|"
    r" florestais)?|feux? de foret|incendies?)"
)
BAD_AIR = re.compile(
    rf"\b(?:the |die |el |l'|o )?{AIR}(?:'s)?{MUCH} {AWFUL}\b|\b{AWFUL} {AIR}\b|\bsmog\w*\b|\b{FIRES}\b|"
    r"\bair[- ]quality (?:alert|warning)\b|\bash (?:is )?(?:falling|in the air)\b|\b(?:sand|dust) ?storm\b|"
    r"\bcalima\b|"
    r"\bsaharan? dust\b"
)
SMOKE = re.compile(
    r"\b(?:smoke (?:from|outside|everywhere|in the air|out|all over|today|is (?:bad|thick|heavy|awful|"
    r"everywhere)|haze)|"
    r"(?:thick|heavy|lots of|so much|full of|bad|smell of|smells of|wildfire|campfire|covered in) smoke|"
    r"smok(?:e|y|ey)\b(?=[^.!]*\b(?:run|outside|out|air|sky|jog|here)\b)|"
    r"(?:air|sky|outside|out|here)(?:'s| is| was)?(?: \w+)? smok(?:y|ey)|too smok(?:y|ey)|"
    r"rauch (?:von|vom|draussen|in der luft|uberall)|(?:viel|dichter) rauch|riecht nach rauch|"
    r"humo (?:de|del|por|en|fuera)|(?:mucho|lleno de) humo|huele a humo|"
    r"fumees? (?:de|des|partout|dehors|dans)|(?:beaucoup de|odeur de) fumee|"
    r"fumo (?:dos?|no ar|por|em|la fora)|(?:muito|cheira a|cheiro a) fum(?:o|aca)|fumaca\b)"
)
NO_SMOKE = re.compile(
    r"\b(?:no|without|kein|sin|sem|pas de|plus de) (?:more )?(?:smoke|smog|rauch|humo|fumo|fumaca|fumee)\b|"
    r"\b(?:smoke|smog|rauch|humo|fumee|fumo)(?:'s| has| is| ist)? (?:all |almost |now |finally |wieder )?"
    r"(?:gone|cleared|clear|weg|"
    r"lifted|ido|partie)\b|"
    r"\bsmok(?:ing|er|ers|ed|e-?free)\b|\b(?:i|to|quit|stopped|stop|don't|dont|never|used to) smoke\b|"
    r"\bsmoke (?:alarm|break|detector)\b|"
    r"\b(?:je|yo|eu|ich) (?:ne )?(?:fumo?e?|rauche)\b|\b(?:last|letztes|el) (?:year|summer|month|week|jahr|ano)\b"
)

# Words for weather that an advice exists for, and the shapes of a question about a run in it.
ABOUT = re.compile(r"\b" + _either(
    r"hot", r"heat\w*", r"warm", r"humid\w*", r"muggy", r"cold", r"freezing", r"chilly", r"frost\w*", r"icy",
    r"smok\w*", r"air", r"windy",
    r"temperature", r"weather", r"heiss?", r"hitze", r"schwul", r"kalt", r"eiskalt", r"frostig", r"luft",
    r"wetter", r"calor", r"caliente", r"frio",
    r"helado", r"aire", r"tiempo", r"chaud\w*", r"canicule", r"froid\w*", r"gele", r"quente", r"gelado", r"o ar",
    r"smog", r"sun",
) + r"\b")  # fmt: skip
TOO = re.compile(
    r"\b(?:too|zu|demasiado|muy|trop|muito|demais) (?:\w+ )?(?:hot|warm|humid|muggy|cold|windy|smoky|freezing|"
    r"icy|heiss?|warm|schwul|kalt|"
    r"calor|caluroso|frio|chaud|froid|quente)\b|\b(?:hot|cold|smoky|freezing|warm) enough\b"
)
WHETHER = re.compile(
    r"\b(?:(?:ok|okay|safe|fine|wise|sensible|smart|alright|all right|good idea|too risky) to (?:run|go|jog|head|be)|"
    r"(?:should|shall|can|could|may|do|would) (?:i|we|you) (?:still |really |even |just )?(?:run|go|jog|head|"
    r"skip|stay|be running)|"
    r"(?:kann|soll|darf|sollte) ich (?:\w+ ){0,3}(?:laufen|joggen|raus|rennen)|puedo (?:salir|correr)|salgo a correr|"
    r"(?:deberia|debo|conviene) (?:salir|correr)|(?:je|on) (?:peux|peut|dois|cours|devrais) (?:\w+ )?(?:courir|"
    r"sortir|y aller)?|"
    r"(?:posso|devo|da para|convem) (?:ir )?(?:correr|sair)|run (?:in|outside)|running in|laufen bei|correr con|"
    r"courir (?:par|avec|sous)|"
    r"correr com)\b"
)
ASKING = re.compile(
    r"\?|^\W*(?:is|are|should|shall|can|could|would|may|do you think|ist|kann|soll|sollte|darf|es|esta|puedo|"
    r"deberia|est-ce|"
    r"puis-je|posso|devo|esta)\b"
)


OUTSIDE = re.compile(NUMBER + "(?=" + AFTER + ")")
ALONE = re.compile(
    NUMBER + r"(?![\d:/%]|[.,]\d|\w| %| ?(?:-|min\b|minute|mins|km\b|k\b|mi\b|miles?|h\b|hours?|hrs?|am\b|pm\b|"
    r"o'clock|"
    r"days?|uhr|times|x\b))"
)
ZERO = re.compile(r" ?(?:c |celsius )?(?:below|unter null|bajo cero|sous zero|abaixo de zero|under zero)\b")
# Weather of another time than the line's own.
PAST = re.compile(
    r"\b(?:was|were|yesterday|last|used to|war|gestern|hacia|estaba|ayer|etait|hier|estava|ontem|"
    r"foi)\b"
)
CLEARED = re.compile(
    r"\b(?:smoke|smog|haze|rauch|humo|fumee|fumo)(?:'s| has| is| ist| se ha)? (?:all |almost |finally |now )?"
    r"(?:gone|cleared|clear|weg|lifted|ido|partie)\b|\bair(?:'s| is) (?:much |finally |now )?(?:clear|clean|"
    r"better|good|fine)\b|"
    r"\bluft ist (?:wieder )?(?:gut|sauber|klar|besser)\b|\b(?:no|kein) (?:more )?(?:smoke|rauch)\b"
)
