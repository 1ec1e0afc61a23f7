"""Emergency numbers, by the runner's country setting and by nothing else.

Never by time zone or phone prefix: 111 is the emergency number of New Zealand and an advice line in the United
Kingdom, and 911 does not reliably connect in Australia. For a country that is not listed, or not told, the words
are "the local emergency number (112 from most mobiles)" (GSM phones carry 112; Better Health Channel, Victoria).
Albania and Bosnia and Herzegovina are not listed: 112 did not reach everybody there (sarajevotimes.com).
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
    Number("911", ("CA",), "cities of Brampton and Prescott-Russell, pages on 9-1-1", "seen"),
    Number("911", ("MX", "PA"), "onetravel.com, emergencies when travelling", "seen in copies"),
    Number("911", ("UY", "PR"), "conceptodefinicion.de, 911", "seen in copies"),
    Number("911", ("EC",), "langmedia.fivecolleges.edu, emergencies", "seen in copies"),
    Number("911", ("PH",), "Department of the Interior and Local Government, in mb.com.ph", "seen in copies"),
    Number("911", ("JO",), "Public Security Directorate, in the press (alordoon.com)", "seen in copies"),
    Number("911", ("GU", "VI", "AS", "MP"), "as in the United States", "from memory"),
    Number("911", ("CR", "DO"), "national emergency numbers", "from memory"),
    Number("112", ("TR",), "frequentbusinesstraveler.com, 7 August 2012", "seen in copies"),
    Number("112", ("IN",), "vikaspedia.in, Emergency Response Support System", "seen"),
    Number("112", ("MK", "GE", "MC", "SM"), "State Fire and Rescue Service of Latvia, vugd.gov.lv", "seen"),
    Number("112", ("ME",), "Ministry of Internal Affairs, in vijesti.me", "seen in copies"),
    Number("112", ("XK",), "United Nations Development Programme in Kosovo, 11 February 2015", "seen"),
    Number("112", ("NG",), "Ministry of Health, in xtra.net; health.iseowong.com", "seen in copies"),
    Number("112", ("KW",), "somecontrast.com, 11 July 2009", "seen in copies"),
    Number("112", ("AD", "MD", "GH"), "national emergency numbers", "from memory"),
    Number("194 or 112", ("RS",), "studyinserbia.rs, health (194); vugd.gov.lv (112)", "seen"),
    Number("119", ("JP",), "city of Kitakyushu, ucia.or.jp", "seen"),
    Number("119", ("KR",), "a travel guide, oncereadme.com", "seen in copies"),
    Number("119", ("TW",), "Hsinchu County Fire Bureau, hcfd.gov.tw", "seen"),
    Number("120", ("CN",), "cultureyard.net, expatfinder.com", "seen in copies"),
    Number("995", ("SG",), "Singapore Civil Defence Force, scdf.gov.sg", "seen"),
    Number("192", ("BR",), "a resident's page, hypocritiquebrazil.wordpress.com", "seen in copies"),
    Number("112 from a mobile, or 10177", ("ZA",), "helloadventure.co.za, joburgexpat.com", "seen in copies"),
    Number("101", ("IL",), "frequentbusinesstraveler.com, 7 August 2012", "seen in copies"),
    Number("144 or 112", ("CH",), "iamexpat.ch, helloswitzerland.ch", "seen in copies"),
    Number("103 or 112", ("RU", "KZ"), "city of Moscow, mos.ru; egov.kz, emergency number 112", "seen"),
    Number("103 or 112", ("UA",), "Ministry of Internal Affairs, in ukrainetravelnews.com", "seen in copies"),
    Number("103 or 112", ("AM", "BY", "KG", "UZ"), "103: pages for travellers; 112: from memory", "seen in copies"),
    Number("103 or 112", ("AZ",), "national emergency numbers", "from memory"),
    Number("107 or 911", ("AR",), "107: buenosaires.gob.ar; 911: conceptodefinicion.de", "seen in copies"),
    Number("131", ("CL",), "SAMU Maule, in musicaynoticias.cl", "seen in copies"),
    Number("123", ("CO",), "Función Pública, in wradio.com.co, 25 August 2023", "seen in copies"),
    Number("106", ("PE",), "Ministry of Health, in andina.pe, 4 October 2016", "seen in copies"),
    Number("115", ("VN",), "Ho Chi Minh City, hochiminhcity.gov.vn, 9 March 2015", "seen"),
    Number("115", ("IR",), "an encyclopaedia's page on emergency services in Iran", "seen in copies"),
    Number("1669", ("TH",), "Bumrungrad International Hospital, 17 January 2018", "seen in copies"),
    Number("999", ("HK",), "pccmembers.org, paguro.net", "seen in copies"),
    Number("999", ("MY",), "Malaysia Emergency Response Services, 999.gov.my", "seen"),
    Number("999", ("BH", "QA"), "frequentbusinesstraveler.com, 7 August 2012", "seen in copies"),
    Number("999", ("BD", "KE", "MO"), "an encyclopaedia's list of the countries of 999", "seen in copies"),
    Number("998", ("AE",), "citiesinsider.com, Sharjah", "seen in copies"),
    Number("997", ("SA",), "Saudi Press Agency, in arabnews.pk, 18 March 2024", "seen in copies"),
    Number("1122", ("PK",), "Rescue 1122, rescue.gov.pk", "seen"),
    Number("1990", ("LK",), "Epilepsy Association of Sri Lanka, easrilanka.org", "seen in copies"),
    Number("123", ("EG",), "national emergency numbers", "from memory"),
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
    """The crisis line of a country in brackets, after a space; empty if none was checked."""
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
