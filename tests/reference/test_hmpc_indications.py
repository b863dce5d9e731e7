"""Every part with an HMPC indication has the matching action at the matching place (EMA monographs and the digest of them)."""

import pytest

from .tables import table

pytestmark = pytest.mark.django_db
ROWS = table("ema_indications.csv")
# What an indication amounts to: an action at one of some places. Kinds that name no action of the trade stand in NO_ACTION.
MEANS = {
    "demulcent-dry-cough": ("demulcent", {"respiratory", "throat"}),
    "sore-throat-with-dry-cough-and-cold": ("demulcent", {"respiratory", "throat"}),
    "demulcent-gi-irritation": ("demulcent", {"digestive", "stomach"}),
    "soothing-mouth-inflammation": ("demulcent", {"mouth", "throat", "respiratory"}),
    "emollient-skin-inflammation": ("emollient", {"skin"}),
    "expectorant-cough-with-cold": ("expectorant", {"respiratory", "bronchi", "lungs"}),
    "expectorant-productive-cough": ("expectorant", {"respiratory", "bronchi", "lungs"}),
    "cough-with-cold": ("expectorant", {"respiratory", "bronchi"}),
    "urinary-flushing": ("diuretic", {"urinary", "kidneys"}),
    "antimicrobial-lower-urinary": ("astringent", {"urinary", "bladder"}),
    "carminative": ("carminative", {"digestive", "stomach", "bowel"}),
    "bitter-dyspepsia": ("digestive-bitter", {"stomach", "liver", "hepatic"}),
    "bitter-appetite-loss": ("digestive-bitter", {"stomach", "liver", "hepatic"}),
    "appetite-loss": ("digestive-bitter", {"stomach"}),
    "choleretic-dyspepsia": ("cholagogue", {"liver", "gallbladder", "hepatic"}),
    "stimulant-laxative": ("laxative", {"bowel"}),
    "bowel-cleansing": ("laxative", {"bowel"}),
    "bulk-laxative": ("laxative", {"bowel"}),
    "astringent-diarrhoea": ("astringent", {"bowel"}),
    "astringent-mouth-inflammation": ("astringent", {"mouth", "throat"}),
    "astringent-skin": ("astringent", {"skin"}),
    "astringent-haemorrhoids": ("astringent", {"veins", "bowel"}),
    "astringent-heavy-menses": ("astringent", {"uterus"}),
    "sedative-stress-sleep": ("nervine", {"nerves", "nervous"}),
    "sedative-sleep": ("nervine", {"nerves", "nervous"}),
    "sedative-stress": ("nervine", {"nerves", "nervous"}),
    "antidepressant-mild-moderate": ("nervine", {"nerves"}),
    "vulnerary-skin": ("vulnerary", {"skin"}),
    "minor-joint-pain": ("antirheumatic", {"joints", "muscles"}),
    "venous-heavy-legs": ("venous-tonic", {"veins"}),
    "chronic-venous-insufficiency": ("venous-tonic", {"veins"}),
    "antispasmodic-menstrual": ("antispasmodic", {"uterus"}),
    "anhidrotic-sweating": ("anhidrotic", {"skin"}),
    "rubefacient-muscle-pain": ("rubefacient", {"skin", "muscles"}),
}
NO_ACTION = {
    "common-cold", "early-common-cold", "seborrhoeic-skin", "anti-inflammatory-skin", "prostate-luts", "haemorrhoids",
    "nervous-heart-complaints", "premenstrual-syndrome", "premenstrual-minor-symptoms", "mild-gi-discomfort", "mild-acne",
    "migraine-prophylaxis", "dyspepsia-burning-heartburn", "cold-hands-feet-heavy-legs", "capillary-fragility",
    "bruises-sprains-topical", "asthenia-fatigue", "stimulant-fatigue", "antiemetic-motion-sickness",
    "analgesic-low-back-pain", "age-related-cognitive-impairment", "eye-dryness-discomfort",
}  # fmt: skip
# Parts whose teaching departs from the licence, with the reason; a reason that no longer holds fails.
DEPARTURES = {
    (
        "calendula-officinalis-flower",
        "soothing-mouth-inflammation",
    ): "soothes without mucilage: taught as a vulnerary rinse",
    (
        "matricaria-chamomilla-flower",
        "soothing-mouth-inflammation",
    ): "soothes without mucilage: taught as relaxing and vulnerary",
    (
        "trigonella-foenum-graecum-seed",
        "appetite-loss",
    ): "taught as a demulcent and a food; its slight bitter is not used",
}


def test_every_kind_is_read():
    assert len(ROWS) >= 90
    assert {row["indication_kind"] for row in ROWS} <= MEANS.keys() | NO_ACTION


def test_every_indication_has_its_action_at_its_place(medica):
    """The working strength is above nothing there: claimed, carried by affinity, or derived."""
    herbs = medica.catalogue
    wanting, looked_at = set(), 0
    for row in ROWS:
        if row["indication_kind"] not in MEANS:
            continue
        action, places = MEANS[row["indication_kind"]]
        strengths = herbs.strength[herbs.row_number(row["part"]), herbs.action_index[action]]
        looked_at += 1
        if not any(strengths[herbs.site_index[place]] > 0 for place in places):
            wanting.add((row["part"], row["indication_kind"]))
    assert looked_at >= 70
    assert wanting == set(DEPARTURES)


def test_no_part_licensed_for_dry_cough_dries(medica):
    herbs = medica.catalogue
    dry_cough = {row["part"] for row in ROWS if "dry-cough" in row["indication_kind"]}
    assert len(dry_cough) >= 3
    for part in dry_cough:
        assert herbs.value[herbs.row_number(part), 1] > 0, part
