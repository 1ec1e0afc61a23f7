"""Signs of the table that are treated alike once they are heard: by whose word they end, or by what follows them."""

from __future__ import annotations

from nudgebot.domain.text.symptoms.table import table

# Low mood, and thoughts of self-harm without intent: a doctor or the crisis line, and no hold.
MIND = frozenset({"low mood for weeks", "thoughts of self-harm"})
HEAD_KNOCK = frozenset({"head knock with a grave sign", "head knock or concussion", "head knock without a sign"})
PREGNANCY = frozenset({"heavy bleeding in pregnancy", "bleeding, fluid or a quiet baby in pregnancy"})
# Signs that come of rules that look back over days, and stand in no table.
_LOOKING_BACK = frozenset({"repeated_spot", "worse_next_morning"})


def is_muscle_or_joint(sign: str) -> bool:
    """Whether a sign is of muscle, bone or joint, where a physiotherapist's word counts."""
    return sign in _LOOKING_BACK or any(row.id == sign and row.body == "msk" for row in table())
