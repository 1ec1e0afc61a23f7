"""Emergency numbers, by the runner's country setting and by nothing else.

Never by time zone or phone prefix: 111 is the emergency number of New Zealand and an advice line in the United
Kingdom, and 911 does not reliably connect in Australia. For a country that is not listed, or not told, the words
are "the local emergency number (112 from most mobiles)" (GSM phones carry 112; Better Health Channel, Victoria).
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Number:
    """What to dial for an ambulance in `countries` (ISO 3166-1); `seen` says how the value was checked."""

    dial: str
    countries: tuple[str, ...]
    source: str
    seen: str  # "seen", "seen in copies" or "from memory"


EU_EEA = tuple(
    "AT BE BG CY CZ DE DK EE ES FI FR GR HR HU IE IS IT LI LT LU LV MT NL PL PT RO SE SI SK".split()  # noqa: SIM905 - plainer so
)
NUMBERS = (
    Number("112", EU_EEA, "European Union, the common emergency number (EU delegation page)", "seen"),
    Number("113", ("NO",), "Norwegian guides for residents (lifeinnorway.net, viken-nettskole.no)", "seen in copies"),
    Number("999", ("GB", "IM", "JE", "GG"), "NHS (999 or 112; 111 is advice, not emergency)", "seen in copies"),
    Number("111", ("NZ",), "health.govt.nz", "seen"),
    Number("000", ("AU",), "triplezero.gov.au (112 from mobiles; 911 does not reliably connect)", "seen"),
    Number("911", ("US",), "Centers for Disease Control and Prevention, stroke and heart pages", "seen in copies"),
    Number("911", ("CA", "MX"), "national emergency numbers", "from memory"),
    Number("112", ("TR",), "frequentbusinesstraveler.com, 7 August 2012", "seen in copies"),
    Number("112", ("IN", "UA", "RS", "ME", "MK", "AL", "AD", "GE"), "national emergency numbers", "from memory"),
    Number("119", ("JP",), "city of Kitakyushu, ucia.or.jp", "seen"),
    Number("119", ("KR",), "a travel guide, oncereadme.com", "seen in copies"),
    Number("120", ("CN",), "national emergency numbers", "from memory"),
    Number("995", ("SG",), "national emergency numbers", "from memory"),
    Number("999", ("HK",), "national emergency numbers", "from memory"),
    Number("192", ("BR",), "a resident's page, hypocritiquebrazil.wordpress.com", "seen in copies"),
    Number("112 from a mobile, or 10177", ("ZA",), "national emergency numbers", "from memory"),
    Number("101", ("IL",), "frequentbusinesstraveler.com, 7 August 2012", "seen in copies"),
    Number("144 or 112", ("CH",), "iamexpat.ch, helloswitzerland.ch", "seen in copies"),
    Number("103 or 112", ("RU", "BY", "KZ", "AM", "AZ", "KG", "UZ"), "national emergency numbers", "from memory"),
    Number("112", ("MD", "SM", "MC", "XK", "BA", "NG", "GH", "KW"), "national emergency numbers", "from memory"),
    Number("911", ("PR", "GU", "VI", "AS", "MP"), "as in the United States", "from memory"),
    Number("911", ("UY", "EC", "CR", "PA", "DO", "PH", "JO"), "national emergency numbers", "from memory"),
    Number("107 or 911", ("AR",), "national emergency numbers", "from memory"),
    Number("131", ("CL",), "national emergency numbers", "from memory"),
    Number("123", ("CO", "EG"), "national emergency numbers", "from memory"),
    Number("106", ("PE",), "national emergency numbers", "from memory"),
    Number("119", ("TW",), "national emergency numbers", "from memory"),
    Number("115", ("VN", "IR"), "national emergency numbers", "from memory"),
    Number("1669", ("TH",), "national emergency numbers", "from memory"),
    Number("999", ("MY", "KE", "QA", "BH", "BD", "MO"), "national emergency numbers", "from memory"),
    Number("998", ("AE",), "national emergency numbers", "from memory"),
    Number("997", ("SA",), "national emergency numbers", "from memory"),
    Number("1122", ("PK",), "national emergency numbers", "from memory"),
    Number("1990", ("LK",), "national emergency numbers", "from memory"),
    Number("190", ("TN",), "national emergency numbers", "from memory"),
    Number("150", ("MA",), "national emergency numbers", "from memory"),
)
# Lines for people who think of ending their life, only where an official page, or one of those who run the line, was
# seen (docs/sources-safety.md).
CRISIS_LINES = (
    Number("116 123", ("GB",), "Hertfordshire Partnership University NHS Foundation Trust, hpft.nhs.uk", "seen"),
    Number("988", ("US",), "Wyoming Department of Health, health.wyo.gov", "seen"),
    Number("3114", ("FR",), "service-public.fr, 29 September 2021; ARS Mayotte", "seen"),
    Number(
        "0800 111 0 111", ("DE",), "TelefonSeelsorge, on pages of the churches that run it (evangelisch.de)", "seen"
    ),
)
_BY_COUNTRY = {country: number for number in NUMBERS for country in number.countries}

LOCAL = {
    "en": "the local emergency number (112 from most mobiles)",
    "es": "el número de emergencias de tu zona (112 desde casi cualquier móvil)",
    "de": "die örtliche Notrufnummer (112 von fast jedem Handy)",
    "fr": "le numéro d’urgence local (le 112 depuis presque tous les mobiles)",
    "pt": "o número de emergência local (112 em quase todos os telemóveis)",
}


def number(country: str, language: str = "en") -> str:
    """What to dial, as words of `language`; the local number where the country is not listed or not told."""
    known = _BY_COUNTRY.get(country)
    return known.dial if known else LOCAL[language]


def crisis_line(country: str) -> str:
    """The crisis line of a country in brackets, after a space; empty where none was checked."""
    return next((f" ({line.dial})" for line in CRISIS_LINES if country in line.countries), "")


def call(country: str, language: str = "en") -> str:
    """The words "call 112", or "call the local emergency number (112 from most mobiles)"."""
    verb = {"en": "call", "es": "llama al", "de": "ruf", "fr": "appelle", "pt": "liga para"}[language]
    dial = number(country, language)
    if language == "es" and country not in _BY_COUNTRY:
        return f"llama {dial.replace('el número', 'al número', 1)}"
    if language == "de":
        return f"{verb} {dial} an" if country not in _BY_COUNTRY else f"{verb} die {dial} an"
    if language == "fr" and country in _BY_COUNTRY:
        return f"{verb} le {dial}"
    if language == "pt" and country in _BY_COUNTRY:
        return f"{verb} o {dial}"
    return f"{verb} {dial}"
