"""Answers that hand a matter over: who decides, and the one safe thing to do now."""

from __future__ import annotations

from assistant.dialogue.answer import Answer, Request, answers
from assistant.dialogue.answers.advice import always, told
from assistant.rules.basis import Citation
from assistant.rules.referrals import referral

SUBJECTS = {
    "fire": ("fire",),
    "gas_smell": ("gas_smell", "carbon_monoxide"),
    "person_in_danger": ("choking", "electric_shock", "burn"),
    "ill_guest": ("guest_got_ill",),
    "body_fluids": ("vomit_or_diarrhea_clean_up",),
    "premises_unfit": ("sewage_backup", "no_water", "no_hot_water", "flood", "boil_water_notice"),
    "recall": ("recall",),
    "special_process": (
        "approval", "canning", "curing", "smoking_to_preserve", "sprouting", "vacuum_packing", "sous_vide",
        "acidified_rice", "fermenting", "juice_packaging", "shellfish_tank", "par_cooking",
    ),
    "approval": ("approval", "permit", "inspection_dispute", "legal_question"),
    "repair": ("equipment_repair",),
    "medical_advice": ("medical_advice", "pet_or_infant_food"),
    "medicine_storage": ("medicine_storage",),
    "shelf_life_claim": ("shelf_life_claim",),
}  # fmt: skip
"""The subjects of the referral table that each intent covers."""

for _intent, _subjects in SUBJECTS.items():
    always(_intent, *(referral(subject).citation for subject in _subjects))

_PESTS = Citation(
    "FDA Food Code 2022", "6-501.111; 7-202.12; 7-206.12", "fda_2022", "MEMORY", "pests, poisons, bait"
)
_SOURCES = ("home_made_food", "field_dressed_game", "wild_mushrooms")


@answers("pests")
def pests(request: Request) -> Answer:
    """Say what to do about pests: what was asked of poison, traps or sweeping, and the rest in any case."""
    asked = next(
        (each for each in ("poison", "traps", "sweep") if request.slots.has(f"pest_{each}")), "answer"
    )
    return told(request, asked, referral("pests").citation, _PESTS)


@answers("unapproved_source")
def source(request: Request) -> Answer:
    """Refuse food from nobody's approved source; what makes one approved is said where it is told."""
    own = request.slots.has("source_own", "as_homemade")  # whoever stamped it
    reply = "inspected" if request.slots.has("source_inspected") and not own else "answer"
    return told(request, reply, *(referral(subject).citation for subject in _SOURCES))
