"""French complaints and harmless French lines, each at its level."""

import pytest

from nudgebot.domain.text.triage import triage


@pytest.mark.parametrize(
    ("text", "level"),
    [
        ("J'ai la poitrine comprimée depuis vingt minutes", "emergency"),
        ("Une barre en travers de la poitrine en montant la côte", "emergency"),
        ("Je suis tombé dans les vapes à table tout à l'heure", "emergency"),
        ("Mes mots sortent mélangés depuis ce matin", "emergency"),
        ("Tout le côté droit paralysé d'un coup", "emergency"),
        ("Ma ventoline ne soulage plus et je siffle", "emergency"),
        ("Je crachais du sang en toussant", "emergency"),
        ("Les cachets sont prêts, je veux me tuer ce soir", "emergency"),
        ("Une camionnette m'a renversé au carrefour", "urgent"),
        ("Impossible de poser le pied par terre depuis l'entraînement", "urgent"),
        ("Mon tibia fait mal à un endroit précis", "clinician"),
        ("J'ai eu peur mais je suis plié de rire, mort de faim après 40 minutes", "none"),
        ("Je ne vois plus ma séance de jeudi dans le plan", "none"),
        ("Je suis confuse pour le retard, 30 minutes faites", "none"),
        ("Effondré sur le canapé après mes 45 minutes", "none"),
        ("Il faisait un vent de face, 5 km quand même", "none"),
        ("Boule dans la gorge en voyant ma fille courir", "none"),
        ("Comme un gros ours assis sur ma poitrine depuis le marché", "emergency"),
        ("Ma fille trouve que je cause comme si j'étais saoule", "emergency"),
        ("La main gauche ne m'obéit plus depuis le café", "emergency"),
        ("Fièvre à 38,9, j'ai mal sous les côtes et mes yeux sont jaunes", "emergency"),
        ("Le gros orteil est tout rouge, même le drap dessus me fait mal", "urgent"),
        ("Retour du Sénégal, je crois au palu, 39 et des frissons", "urgent"),
        ("Des halos autour des lampadaires depuis hier", "urgent"),
        ("Je dors sur trois oreillers et mes chevilles sont gonflées", "urgent"),
        ("Bébé est trop calme depuis hier, il ne boxe plus", "urgent"),
        ("Un coup de volant et ce serait réglé, des fois j'y pense", "urgent"),
        ("Le vent va me tuer ce soir, je reporte", "none"),
        ("Il fait noir tôt, je cours à la frontale", "none"),
        ("Je veux pus rien savoir de la neige, 20 min", "none"),
    ],
)
def test_a_french_line_is_heard_at_its_level(text: str, level: str) -> None:
    assert triage(text).level.value == level
