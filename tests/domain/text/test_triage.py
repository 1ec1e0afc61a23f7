"""Triage by table: levels, scope, time, hostile text (docs/safety.md)."""

import pytest

from nudgebot.domain.profile.places import country_name
from nudgebot.domain.text.symptoms.lay_words import LANGUAGES
from nudgebot.domain.text.triage import Level, triage

LEVELS = (
    # chest discomfort by time: now and 12 hours, 14 days, longer, looked at
    ("chest pain", Level.EMERGENCY),
    ("bit of a tight chest", Level.EMERGENCY),
    ("elephant sitting on my chest", Level.EMERGENCY),
    ("45 min, tight chest at the end", Level.EMERGENCY),
    ("tight chest yesterday evening", Level.EMERGENCY),
    ("tight chest yesterday", Level.EMERGENCY),  # may be less than 12 hours ago: the higher level
    ("tight chest yesterday morning", Level.URGENT),
    ("chest tightness three days ago", Level.URGENT),
    ("chest tight on every hill", Level.URGENT),
    ("chest tight two months ago", Level.CLINICIAN),
    ("chest pain, cleared last month", Level.NONE),
    # pain by score
    ("knee pain 2/10", Level.REST),
    ("hamstring pain 4/10", Level.REST),
    ("hamstring pain 6/10", Level.CLINICIAN),
    ("knee pain 4/10", Level.CLINICIAN),  # a joint
    ("effort 7/10", Level.NONE),
    # German says the part and its pain in one word
    ("Ellbogenschmerzen seit gestern", Level.REST),
    ("Sprunggelenkschmerzen 4/10", Level.CLINICIAN),
    ("keine Fersenschmerzen mehr", Level.NONE),
    ("Kieferschmerzen bei jedem Anstieg", Level.URGENT),
    # one calf
    ("one calf sore after the run", Level.REST),
    ("left calf swollen and warm", Level.URGENT),
    ("left calf swollen and I'm short of breath", Level.EMERGENCY),
    # fainting
    ("fainted on the hill", Level.EMERGENCY),
    ("fainted after the run, fine again now", Level.URGENT),
    ("fainted after the run, still not right", Level.EMERGENCY),
    # sugar
    ("had a hypo, sorted with juice, clear head", Level.CLINICIAN),
    ("had a hypo, my wife had to give me juice", Level.URGENT),
    ("hypo and drowsy", Level.EMERGENCY),
    # the mind
    ("I'm going to kill myself", Level.EMERGENCY),
    ("wish I was dead sometimes", Level.URGENT),
    ("feeling low for weeks", Level.CLINICIAN),
    # pressure
    ("blood pressure 118/76", Level.NONE),
    ("blood pressure 134/84", Level.NONE),
    ("blood pressure 144/88", Level.REST),
    ("Blutdruck heute früh 156 zu 94", Level.REST),
    ("blood pressure 162/95", Level.CLINICIAN),
    ("tensión 150 sobre 101", Level.CLINICIAN),
    ("blood pressure 182/95", Level.URGENT),
    ("blood pressure 190/120 and a headache", Level.URGENT),
    # old events
    ("had a heart attack in 2015, all fine since", Level.NONE),
    ("had a stent fitted six weeks ago", Level.CLINICIAN),
)


@pytest.mark.parametrize(("line", "level"), LEVELS, ids=[line for line, _ in LEVELS])
def test_a_line_gets_the_level_of_the_contract(line: str, level: Level) -> None:
    assert triage(line).level is level


NOT_COVERED = (
    "no pain but I fainted",
    "no chest pain but my jaw aches and I'm sweating",
    "not dizzy, just a tight band round the chest",
    "no time today, crushing chest pain",
    "legs fine no niggles crushing chest pain",
    "never had chest pain before but I do now",
    "my dad had a stroke and now my face is drooping",
    "cleared last month but chest pain again today",
    "can't lie down without gasping for air",
    "I don't want to make a fuss but my chest hurts",
)


@pytest.mark.parametrize("line", NOT_COVERED)
def test_a_negation_never_covers_more_than_it_says(line: str) -> None:
    assert triage(line).level is Level.EMERGENCY


HARMLESS = (
    "no chest pain",
    "no chest pain, dizziness or nausea",
    "didn't faint",
    "chest pain? none",
    "my dad had a stroke",
    "my wife has the flu",
    "dying lol",
    "killer hill",
    "this hill gave me a heart attack lol",
    "heart skipped a beat when I saw her",
    "chest strap died",
    "chest day at the gym",
    "crushed it",
    "passed out on the sofa after dinner",
    "sick run!",
    "breathtaking",
    "what should I do if I get chest pain?",
    "out of breath on the hill, fine at the top",
    "",
    "   ",
)


@pytest.mark.parametrize("line", HARMLESS)
def test_what_is_no_symptom_gets_no_level(line: str) -> None:
    assert triage(line).level is Level.NONE


def test_a_supposed_sign_gets_the_plain_question() -> None:
    assert triage("what should I do if I get chest pain?").question == "plain"


def test_one_sore_calf_gets_the_one_question() -> None:
    assert triage("left calf sore after the run").question == "calf"


HIDDEN = (
    "ch\u200best pa1n",  # a zero-width space and a digit for a letter
    "\u0441h\u0435st p\u0430in",  # Cyrillic look-alikes
    "ｃｈｅｓｔ　ｐａｉｎ",
    "𝐜𝐡𝐞𝐬𝐭 𝐩𝐚𝐢𝐧",
    "c\u0301h\u0301est pa\u0308in",
    "\u202echest pain\u202c",  # right-to-left override around it
    "c h e s t  p a i n",
    "chestpain",
    "ihavechestpain",
    "CHEST.PAIN!!!",
    "chset pain",
    "ches tpain",
    "cheeest paiiin",
    "ch3st p@in",
)


@pytest.mark.parametrize("line", HIDDEN)
def test_odd_writing_hides_no_sign(line: str) -> None:
    assert triage(line).level is Level.EMERGENCY


BESIDE = (
    ("my husband just collapsed, he isn't responding", True),
    ("someone next to me is unconscious", True),
    ("my friend is confused and staggering", True),
    ("a friend fainted at the race last weekend", False),
    ("my uncle had a heart attack years ago", False),
)


@pytest.mark.parametrize(("line", "counts"), BESIDE)
def test_somebody_beside_the_writer_counts_when_it_is_now(line: str, counts: bool) -> None:
    verdict = triage(line)
    assert (verdict.level is Level.EMERGENCY) is counts
    assert verdict.about_other is counts


SPOKEN = (
    ("me duele el pecho", "es"),
    ("Druck auf der Brust", "de"),
    ("j'ai mal à la poitrine", "fr"),
    ("dor no peito", "pt"),
    ("chest pain", "en"),
)


@pytest.mark.parametrize(("line", "language"), SPOKEN)
def test_the_grave_signs_are_read_in_five_languages(line: str, language: str) -> None:
    verdict = triage(line)
    assert verdict.level is Level.EMERGENCY
    assert verdict.language == language
    assert language in LANGUAGES


AIDS = (
    ("fainted on the hill", "cpr"),
    ("my tongue is swelling", "auto_injector"),
    ("hot, confused and staggering", "cool"),
    ("drank litres of water and now vomiting and confused", "no_water"),
    ("hypo and drowsy", "sugar"),
    ("I want to kill myself", "crisis"),
)


@pytest.mark.parametrize(("line", "aid"), AIDS)
def test_an_emergency_carries_the_line_for_its_sign(line: str, aid: str) -> None:
    assert triage(line).first_aid == aid


def test_the_places_of_a_sign_lie_in_the_text() -> None:
    line = "45 min easy, then che\u200bst pain 😀"
    for sign in triage(line).signs:
        assert 0 <= sign.start < sign.end <= len(line)
    assert "pain" in line[triage(line).signs[0].start : triage(line).signs[0].end]


def test_muscle_and_joint_signs_are_marked_so_that_a_physiotherapist_counts() -> None:
    assert triage("hamstring pain 7/10").msk
    assert not triage("bronchitis and a fever").msk


@pytest.mark.parametrize(
    "line",
    [
        "mum had a stroke in 2010 crushing chest pain",
        "my wife had chest pain last year and now I've got it",
        "my son is ill but tight chest",
        "last month I had a cold but my chest is tight",
        "my chest burns last year I was fitter",
        "not a great day tight chest",
        "fainted mid-stride and going to work now",
        "the doctor cleared my knee chest feels tight",
        "does chest tightness when running mean anything? getting it today",
    ],
)
def test_a_harmless_half_sentence_glued_to_a_sign_does_not_hide_it(line: str) -> None:
    assert triage(line).level is Level.EMERGENCY


@pytest.mark.parametrize(
    "line", ["my phone blacked out", "reading a book on heart attacks", "these fits me fine", "son has a fever"]
)
def test_what_befalls_things_books_and_others_is_no_complaint(line: str) -> None:
    assert triage(line).level is Level.NONE


COUNTRIES = (
    "PT ES DE FR GB US IT NL BE CH AT IE SE NO DK FI PL CZ GR TR BR AR CL MX CA AU NZ JP CN IN ZA EG KE UA RO HU"
)


@pytest.mark.parametrize("code", COUNTRIES.split())
def test_to_be_in_a_country_is_no_complaint(code: str) -> None:
    """Spain is one letter from pain."""
    assert triage(f"I am in {country_name(code)}").level is Level.NONE
    assert triage(f"chest pain, I am in {country_name(code)}").level is Level.EMERGENCY


@pytest.mark.parametrize(
    ("decided", "only_thought"),
    [
        ("the family is better off without me. I have made up my mind", "the family is better off without me at times"),
        ("ohne mich wären sie besser dran, ich habe mich entschieden", "ohne mich wären sie manchmal besser dran"),
        ("estarían mejor sin mí, ya está decidido", "a veces pienso que estarían mejor sin mí"),
        ("ils seraient mieux sans moi, c'est décidé", "parfois je me dis qu'ils seraient mieux sans moi"),
        ("ficavam melhor sem mim, está decidido", "às vezes acho que ficavam melhor sem mim"),
    ],
)
def test_a_decision_makes_an_intent_of_thoughts_of_death(decided: str, only_thought: str) -> None:
    assert triage(decided).level is Level.EMERGENCY
    assert triage(only_thought).level is Level.URGENT
    assert triage("I have decided: Tuesday it is, ya está decidido").level is Level.NONE


@pytest.mark.parametrize("code", ["Wlts6lcaXpixkI4rBjY8cQ", "FSOmRdhSPB5KsH8Bg2lhsw", "hQ0F6jO_FQlP8fSQ3phLeg"])
def test_the_letters_of_a_link_are_no_words(code: str) -> None:
    assert triage(code).level is triage(f"/start {code}").level is Level.NONE
    assert triage(f"/start {code} and my chest hurts").level is Level.EMERGENCY
    assert triage("/start chest-pain-since-lunch").level is Level.EMERGENCY


@pytest.mark.parametrize(
    "line",
    [
        # somebody else's, told of a day gone or of one who is looked after
        "our plumber collapsed on the stairs last Tuesday, poor man",
        "mein Kellner liegt mit Schlaganfall im Krankenhaus, seit Montag",
        "a mi sobrina le dio una convulsión la semana pasada, ya está en casa",
        "le facteur a fait un malaise avant-hier, les pompiers l'ont emmené",
        "o meu padrinho teve um derrame na segunda, está internado",
        # what a price does
        "nearly fainted at the gas bill",
        "casi me desmayo con la factura de la luz",
        "mein Nachbar ist bei der Rechnung fast umgekippt",
        # names of what is measured, and years gone
        "resting pulse 54, weight 71.2",
        "tension 13/8 ce matin, parfait",
        "stress fracture 2014, healed",
        "meine Lungenembolie liegt 12 Jahre zurück",
        # looked after, getting well, or told of a year
        "the brother-in-law lies in Galway with a heart attack",
        "Tom's husband collapsed back in November and is in rehab now",
        "Priya's chest is wheezing so she's gone to the doctor",
        "my wife had the stroke in 98 and still beats me up the hill",
        "der Schwager liegt mit Schlaganfall in Linz",
        "mi cuñada, la del ictus de mayo, corre más que yo",
        "mon beau-frère a eu son infarctus en 92, il court encore",
        "o meu cunhado teve o enfarte em 87 e está rijo",
        # a game, anger, sorrow over a team
        "that penalty nearly gave me a heart attack",
        "quase infarto com o golo nos descontos",
        "Rovers broke my heart again, 30 min",
        "ma collègue m'a cassé les pieds toute la matinée",
    ],
)
def test_what_is_somebody_elses_a_price_a_measure_or_long_gone_is_no_sign_of_now(line: str) -> None:
    assert triage(line).level.rank < Level.URGENT.rank


@pytest.mark.parametrize(
    ("line", "level"),
    [
        ("our plumber has collapsed here beside me and does not answer", Level.EMERGENCY),
        ("mein Kellner ist umgekippt und atmet nicht", Level.EMERGENCY),
        ("fainted at the till, the bill still in my hand", Level.EMERGENCY),
        ("pressure 8 of 10 on my chest", Level.EMERGENCY),
        ("Tom's husband collapsed and isn't breathing", Level.EMERGENCY),
        ("Priya's chest is tight and she can't breathe", Level.EMERGENCY),
        ("yesterday's chest pain is back", Level.EMERGENCY),
        ("heart attack I think, watching the match", Level.EMERGENCY),
        ("just had a heart attack about half time in the game I think", Level.EMERGENCY),
        ("my knee is the size of a turnip", Level.CLINICIAN),
        ("stress fracture 2014, healed, but my chest is tight now", Level.EMERGENCY),
        ("health check: 172/104", Level.CLINICIAN),
        ("der Hausarzt hat 188 zu 106 gemessen", Level.URGENT),
    ],
)
def test_what_is_here_and_now_stays_one_beside_such_words(line: str, level: Level) -> None:
    assert triage(line).level is level


@pytest.mark.parametrize(
    "line",
    [
        "my uncle beside me isn't waking up. had chest pain last year, turned out to be nothing",
        "a man has collapsed here on the path. stent in 2012, cleared by my cardiologist",
        "my wife is next to me and isn't responding. a friend fainted at the race, she's fine",
        "mein Vater liegt hier bewusstlos. meine Tante ist im Krankenhaus, es geht ihr gut",
    ],
)
def test_news_of_somebody_else_silences_no_emergency(line: str) -> None:
    assert triage(line).level is Level.EMERGENCY


@pytest.mark.parametrize(
    "line",
    [
        "dad collapsed at the table this morning. the ambulance took him, he's stable",
        "my neighbour passed out at church. she's fine, sitting up already",
        "my aunt had a stroke yesterday. mum is with her in hospital",
    ],
)
def test_who_is_cared_for_already_raises_no_alarm(line: str) -> None:
    assert triage(line).level is Level.NONE


@pytest.mark.parametrize(
    "line",
    [
        "hot and sweaty, 35 min. core temp 40.2 after it",
        "rowed at the gym. running a temp of 41",
        "two hours in the heat, drank enough. my temperature is 104",
        "con este calor fui a correr. mi temperatura es de 40,5",
    ],
)
def test_a_temperature_of_the_body_is_one_whatever_the_weather_or_the_room(line: str) -> None:
    assert triage(line).level is Level.EMERGENCY


@pytest.mark.parametrize(
    ("line", "level"),
    [
        ("that new lamp, I nearly fainted at the price", Level.NONE),
        ("about fainted when they told me the bill", Level.NONE),
        ("the bill was high. then I was out for about a minute in the kitchen", Level.EMERGENCY),
        ("prices, prices. I passed out about an hour ago", Level.EMERGENCY),
    ],
)
def test_a_price_makes_a_figure_of_speech_and_hides_no_faint(line: str, level: Level) -> None:
    assert triage(line).level is level


@pytest.mark.parametrize("line", ["my thermometer said 39 in the shade, ran 25 easy", "temp was 40 outside, 20 min"])
def test_what_a_thermometer_says_of_the_weather_is_no_fever(line: str) -> None:
    verdict = triage(line)
    assert verdict.level is Level.NONE and not verdict.told
