"""What is said about a warning sign, in the five languages, by language."""

from __future__ import annotations

# First line of an emergency answer: stop, call, do not drive yourself.
STOP_AND_CALL = {
    "en": "Stop now and {call}. Do not drive yourself.",
    "es": "Para ahora y {call}. No conduzcas.",
    "de": "Hör jetzt auf und {call}. Fahr nicht selbst.",
    "fr": "Arrête-toi maintenant et {call}. Ne conduis pas.",
    "pt": "Para agora e {call}. Não conduzas.",
}


OTHER_FIRST = {
    "en": "For whoever is with you: {call} now.",
    "es": "Por quien está contigo: {call} ahora.",
    "de": "Für die Person bei dir: {call}, jetzt.",
    "fr": "Pour la personne avec toi : {call} maintenant.",
    "pt": "Por quem está contigo: {call} agora.",
}


# Second line: nobody waits for help alone behind a locked door. (docs/sources-safety.md, "waiting for help")
STAY = {
    "en": "Stay with somebody or call someone over, and unlock the door.",
    "es": "Quédate con alguien o pide a alguien que venga, y deja la puerta sin llave.",
    "de": "Bleib nicht allein, hol jemanden dazu, und schließ die Tür auf.",
    "fr": "Reste avec quelqu’un ou fais venir quelqu’un, et déverrouille la porte.",
    "pt": "Fica com alguém ou chama alguém, e destranca a porta.",
}


OTHER_STAY = {
    "en": "Stay with them, have somebody open the door for the crew, and do not drive them yourself.",
    "es": "Quédate a su lado, que alguien abra la puerta a la ambulancia, y no conduzcas tú.",
    "de": "Bleib dabei, lass jemanden dem Rettungsdienst öffnen, und fahr nicht selbst.",
    "fr": "Reste à ses côtés, fais ouvrir la porte aux secours, et ne conduis pas toi-même.",
    "pt": "Fica ao lado da pessoa, pede que abram a porta à ambulância, e não conduzas tu.",
}


# The same for somebody who means to end their life: warm, and not the words for an exercise.
CRISIS_FIRST = {
    "en": "Please stop here and {call} now. Do not drive yourself, and do not stay alone.",
    "es": "Por favor, para aquí y {call} ahora. No conduzcas y no te quedes a solas.",
    "de": "Bitte halt hier an und {call}, jetzt. Fahr nicht selbst, und bleib nicht allein.",
    "fr": "S’il te plaît, arrête-toi ici et {call} maintenant. Ne conduis pas et ne reste pas sans personne.",
    "pt": "Por favor, para aqui e {call} agora. Não conduzas e não fiques sem companhia.",
}


CRISIS_TODAY = {
    "en": "I am glad that you wrote it. Please talk to your local crisis line{} or a doctor today; running can wait.",
    "es": "Gracias por escribirlo. Habla hoy con tu línea de crisis{} o un médico; correr puede esperar.",
    "de": "Gut, dass du es geschrieben hast. Sprich heute mit dem Krisentelefon{} oder einem Arzt; Laufen kann warten.",
    "fr": "Merci de l’avoir écrit. Parle aujourd’hui à ta ligne d’écoute{} ou à un médecin ; courir peut attendre.",
    "pt": "Ainda bem que escreveste. Fala hoje com a linha de apoio{} ou um médico; correr pode esperar.",
}


CRISIS_WORSENS = {
    "en": "If you think you might act on it: {call}.",
    "es": "Si crees que podrías hacerlo: {call}.",
    "de": "Wenn du meinst, du könntest es tun: {call}.",
    "fr": "Si tu penses passer à l’acte : {call}.",
    "pt": "Se achas que o podes fazer: {call}.",
}


# One line for the sign, after the call line. Sources: docs/sources-safety.md, "first aid".
AIDS = {
    "cpr": {
        "en": "No response and no normal breathing: chest compressions, 100 to 120 a minute, and a defibrillator.",
        "es": "Si no responde ni respira bien: compresiones en el pecho, 100 a 120 por minuto, y desfibrilador.",
        "de": "Keine Reaktion, keine normale Atmung: Herzdruckmassage, 100 bis 120 pro Minute, Defibrillator.",
        "fr": "Ni réaction ni respiration normale : compressions thoraciques, 100 à 120 par minute.",
        "pt": "Sem resposta nem respiração normal: compressões no peito, 100 a 120 por minuto, e desfibrilhador.",
    },
    "chest": {
        "en": "Sit down, keep still and warm, loosen what is tight; say on the phone what you feel.",
        "es": "Siéntate, quédate quieto y abrigado, afloja la ropa; di por teléfono lo que sientes.",
        "de": "Setz dich, bleib ruhig und warm, lockere enge Kleidung; sag am Telefon, was du spürst.",
        "fr": "Assieds-toi, reste au calme et au chaud, desserre tes vêtements ; dis au téléphone ce que tu ressens.",
        "pt": "Senta-te, fica quieto e quente, alarga a roupa; diz ao telefone o que sentes.",
    },
    "lie_down": {
        "en": "Lie down flat until help is there, so that you cannot fall.",
        "es": "Túmbate hasta que llegue la ayuda, para no caerte.",
        "de": "Leg dich flach hin, bis Hilfe da ist, damit du nicht fällst.",
        "fr": "Allonge-toi jusqu’à l’arrivée des secours, pour ne pas tomber.",
        "pt": "Deita-te até chegar ajuda, para não caíres.",
    },
    "breath": {
        "en": "Sit upright; use your reliever inhaler if you have one.",
        "es": "Siéntate erguido; usa tu inhalador de rescate si lo tienes.",
        "de": "Setz dich aufrecht hin; nimm dein Notfallspray, falls du eins hast.",
        "fr": "Assieds-toi bien droit ; prends ton inhalateur de secours si tu en as un.",
        "pt": "Senta-te direito; usa o teu inalador de alívio, se o tiveres.",
    },
    "stroke": {
        "en": "Note the time it began, and tell it on the phone; nothing to eat or drink.",
        "es": "Anota a qué hora empezó y dilo por teléfono; nada de comer ni beber.",
        "de": "Merk dir, wann es begann, und sag es am Telefon; nichts essen oder trinken.",
        "fr": "Note l’heure du début et dis-la au téléphone ; ne mange ni ne bois rien.",
        "pt": "Anota a hora a que começou e di-la ao telefone; nada de comer ou beber.",
    },
    "auto_injector": {
        "en": "Use an adrenaline auto-injector if there is one, and lie down; sit up if breathing is hard.",
        "es": "Usa el autoinyector de adrenalina si lo hay, y túmbate; siéntate si cuesta respirar.",
        "de": "Nutze den Adrenalin-Autoinjektor, falls vorhanden, und leg dich hin; bei Atemnot setz dich auf.",
        "fr": "Utilise l’auto-injecteur d’adrénaline s’il y en a un, et allonge-toi ; assieds-toi si tu respires mal.",
        "pt": "Usa o autoinjetor de adrenalina, se houver, e deita-te; senta-te se custar respirar.",
    },
    "cool": {
        "en": "Cool hard while you wait: shade, clothes off, cold water all over. No drink for anyone who is confused.",
        "es": "Enfría mucho mientras esperas: sombra, fuera ropa, agua fría. Nada de beber si hay confusión.",
        "de": "Kräftig kühlen, bis Hilfe da ist: Schatten, Kleidung aus, kaltes Wasser. Kein Trinken bei Verwirrtheit.",
        "fr": "Refroidis fort en attendant : ombre, vêtements ôtés, eau froide. Rien à boire en cas de confusion.",
        "pt": "Arrefece bem enquanto esperas: sombra, sem roupa, água fria. Nada de beber se houver confusão.",
    },
    "no_water": {
        "en": "No more water or sports drink until help has looked at it.",
        "es": "No bebas más agua hasta que llegue ayuda.",
        "de": "Kein Wasser mehr trinken, bis Hilfe da ist.",
        "fr": "Ne bois plus d’eau avant l’arrivée des secours.",
        "pt": "Não bebas mais água até chegar ajuda.",
    },
    "sugar": {
        "en": "Sugar by mouth if fully awake, and nothing by mouth otherwise.",
        "es": "Azúcar por la boca si está bien despierto; si no, nada por la boca.",
        "de": "Zucker in den Mund bei vollem Bewusstsein, sonst nichts in den Mund.",
        "fr": "Du sucre par la bouche si la personne est bien éveillée, sinon rien.",
        "pt": "Açúcar pela boca se estiver bem acordado; senão, nada pela boca.",
    },
    "seizure": {
        "en": "Clear the space around, time it, put nothing in the mouth; on the side once it stops.",
        "es": "Despeja alrededor, mira la hora, nada en la boca; de lado cuando pare.",
        "de": "Platz schaffen, auf die Uhr sehen, nichts in den Mund; danach auf die Seite.",
        "fr": "Fais de la place, regarde l’heure, rien dans la bouche ; sur le côté quand cela cesse.",
        "pt": "Afasta objetos, vê as horas, nada na boca; de lado quando parar.",
    },
    "head": {
        "en": "Keep the head and neck still.",
        "es": "No muevas la cabeza ni el cuello.",
        "de": "Kopf und Hals ruhig halten.",
        "fr": "Garde la tête et le cou immobiles.",
        "pt": "Mantém a cabeça e o pescoço quietos.",
    },
    "warm": {
        "en": "Out of wind and wet, dry layers, warm the trunk; handle gently.",
        "es": "Fuera del viento y lo mojado, ropa seca, abriga el tronco; con cuidado.",
        "de": "Raus aus Wind und Nässe, trockene Schichten, Rumpf wärmen; vorsichtig.",
        "fr": "À l’abri du vent et de l’eau, couches sèches, réchauffe le tronc ; doucement.",
        "pt": "Fora do vento e da água, roupa seca, aquece o tronco; com cuidado.",
    },
    "press": {
        "en": "Press firmly on it and do not let go.",
        "es": "Aprieta fuerte encima y no sueltes.",
        "de": "Fest darauf drücken und nicht loslassen.",
        "fr": "Appuie fort dessus et ne relâche pas.",
        "pt": "Pressiona com força e não largues.",
    },
    "crisis": {
        "en": "I am glad you wrote it. Please stay with somebody, and call your local crisis line{} or a doctor too.",
        "es": "Gracias por escribirlo. Quédate con alguien, y llama también a tu línea de crisis{} o a un médico.",
        "de": "Gut, dass du es geschrieben hast. Bleib bei jemandem; auch Krisentelefon{} oder Arzt sind für dich da.",
        "fr": "Merci de l’avoir écrit. Reste avec quelqu’un, et appelle aussi ta ligne d’écoute{} ou un médecin.",
        "pt": "Ainda bem que escreveste. Fica com alguém, e liga também para a linha de apoio{} ou um médico.",
    },
}


# Signs whose row has no line of its own, by what helps while waiting.
AID_OF = {
    "chest discomfort": "chest",
    "heart attack named": "chest",
    "heart pain elsewhere": "chest",
    "sweat, sick and unwell like a heart": "chest",
    "racing heart with faintness, chest or breath": "chest",
    "yes to the plain question": "chest",
    "breathless at rest or not settling": "breath",
    "breathless suddenly": "breath",
    "asthma not easing": "breath",
    "stroke sign": "stroke",
}


# An urgent answer names the words that led to it.
BECAUSE = {
    "en": "You wrote: “{words}”. That is why.",
    "es": "Has escrito: «{words}». Por eso lo digo.",
    "de": "Du hast geschrieben: „{words}“. Deshalb.",
    "fr": "Tu as écrit : « {words} ». C’est pour cela.",
    "pt": "Escreveste: «{words}». É por isso.",
}


# With every line that was not understood: it may have been a cry for help.
SIGNS_LINE = {
    "en": (
        "For chest pain, trouble breathing, fainting, sudden weakness, trouble with speech or sight, heavy bleeding, a "
        "swollen face or throat, or thoughts of ending your life: {call}."
    ),
    "es": (
        "Si hay dolor de pecho, dificultad para respirar, desmayo, debilidad repentina, problemas de habla o de vista, "
        "sangrado fuerte, cara o garganta hinchada, o ideas de quitarte la vida: {call}."
    ),
    "de": (
        "Bei Brustschmerz, Atemnot, Ohnmacht, plötzlicher Schwäche, Sprach- oder Sehstörung, starker Blutung, "
        "geschwollenem Gesicht oder Hals, oder Gedanken, dir das Leben zu nehmen: {call}."
    ),
    "fr": (
        "En cas de douleur thoracique, de gêne pour respirer, de malaise, de faiblesse soudaine, de trouble de la "
        "parole ou de la vue, de saignement important, de visage ou gorge gonflés, ou d’idées de mettre fin à tes "
        "jours : {call}."
    ),
    "pt": (
        "Com dor no peito, falta de ar, desmaio, fraqueza súbita, dificuldade em falar ou ver, hemorragia forte, cara "
        "ou garganta inchada, ou ideias de pôr fim à vida: {call}."
    ),
}


NOTED = {
    "en": "Your {minutes} min are noted.",
    "es": "Tus {minutes} min quedan anotados.",
    "de": "Deine {minutes} min sind notiert.",
    "fr": "Tes {minutes} min sont notées.",
    "pt": "Os teus {minutes} min ficam anotados.",
}


STOPPED = {
    "en": "Running is on hold until a clinician has cleared it.",
    "es": "Correr queda en pausa hasta que un profesional sanitario lo autorice.",
    "de": "Das Laufen pausiert, bis eine Ärztin oder ein Arzt es freigibt.",
    "fr": "La course est suspendue jusqu’à l’accord d’un professionnel de santé.",
    "pt": "A corrida fica suspensa até um profissional de saúde a autorizar.",
}


URGENT = {
    "en": "Stop running and get medical advice today.",
    "es": "Deja de correr y busca consejo médico hoy.",
    "de": "Hör auf zu laufen und hol heute noch ärztlichen Rat.",
    "fr": "Arrête de courir et demande un avis médical aujourd’hui.",
    "pt": "Para de correr e procura conselho médico hoje.",
}


WORSENS = {
    "en": "If it gets worse, or there is chest pain, trouble breathing, fainting or confusion: {call}.",
    "es": "Si empeora, o hay dolor de pecho, dificultad para respirar, desmayo o confusión: {call}.",
    "de": "Wird es schlimmer, oder kommen Brustschmerz, Atemnot, Ohnmacht oder Verwirrtheit dazu: {call}.",
    "fr": "Si cela s’aggrave, ou en cas de douleur thoracique, gêne pour respirer, malaise ou confusion : {call}.",
    "pt": "Se piorar, ou houver dor no peito, falta de ar, desmaio ou confusão: {call}.",
}


SUGAR_FIRST = {
    "en": "Stop, take 15 g of fast sugar now, check again in 15 minutes. Drowsy or confused is an emergency: {call}.",
    "es": "Para, toma 15 g de azúcar rápido ahora y mídete en 15 minutos. Con sueño o confusión, emergencia: {call}.",
    "de": "Stopp, nimm jetzt 15 g schnellen Zucker, miss in 15 Minuten. Schläfrig oder verwirrt, ein Notfall: {call}.",
    "fr": "Stop, prends 15 g de sucre rapide et contrôle dans 15 minutes. Somnolence ou confusion, urgence : {call}.",
    "pt": "Para, toma 15 g de açúcar rápido agora e mede em 15 minutos. Sonolência ou confusão é emergência: {call}.",
}


CLINICIAN = {
    "en": "No running until a clinician has seen this.",
    "es": "No corras hasta que lo vea un profesional sanitario.",
    "de": "Kein Laufen, bis eine Ärztin oder ein Arzt es gesehen hat.",
    "fr": "Pas de course avant l’avis d’un professionnel de santé.",
    "pt": "Não corras até um profissional de saúde ver isto.",
}


CLINICIAN_MSK = {
    "en": "No running until a clinician or a physiotherapist has seen this; walking is fine if it does not hurt.",
    "es": "No corras hasta que lo vea un médico o fisioterapeuta; caminar vale si no duele.",
    "de": "Kein Laufen, bis es ärztlich oder physiotherapeutisch angesehen ist; Gehen ist gut, wenn es nicht wehtut.",
    "fr": "Pas de course avant l’avis d’un médecin ou d’un kiné ; marcher va si cela ne fait pas mal.",
    "pt": "Não corras até um médico ou fisioterapeuta ver; caminhar serve se não doer.",
}


WHEN_CLEARED = {
    "en": "When it is cleared, write /back.",
    "es": "Cuando te lo autoricen, escribe /back.",
    "de": "Wenn es freigegeben ist, schreib /back.",
    "fr": "Quand c’est autorisé, écris /back.",
    "pt": "Quando for autorizado, escreve /back.",
}


def in_language(words: dict[str, str], language: str) -> str:
    """The words of `language`, English if there are none."""
    return words.get(language, words["en"])
