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
    ],
)
def test_a_french_line_is_heard_at_its_level(text: str, level: str) -> None:
    assert triage(text).level.value == level
