import pytest

from pipelines.intake.masks import Known, is_craft_number, masked
from pipelines.intake.personal_names import initials

KNOWN = Known.of(["Anna Blue", "Port Hallow", "Tarn 40", "B14", "Ingrid", "Bent Reed Quay"])

MASKED = {
    "Spoke to Mr Quillfeather re overheating": "Spoke to Mr [name] re overheating",
    "mr quillfeather rang": "mr [name] rang",
    "MRS TOLLOW CALLED": "MRS [name] CALLED",
    "called by Tom, 07700 900123": "called by [name], [telephone number]",
    "rang back: spoke to mark": "rang back: spoke to [name]",
    "J. Quillfeather says impeller worn": "[name] says impeller worn",
    "Vostrel rang from the pontoon": "[name] rang from the pontoon",
    "skipper Oona Vostrel wants a refund": "skipper [name] wants a refund",
    "belt squeals, Sophie to look again": "belt squeals, [name] to look again",
    "ring on +44 20 7946 0123": "ring on [telephone number]",
    "(555) 010-0199 any time": "[telephone number] any time",
    "tel 555-0100": "tel [telephone number]",
    "bill to a.b@example.org please": "bill to [e-mail address] please",
    "oona (at) example.org": "[e-mail address]",
    "trailer reg AB12 CDE": "trailer reg [registration mark]",
    "towed by van AB-123-CD": "towed by van [registration mark]",
    "alongside FL 1234 AB": "alongside [registration mark]",
    "MMSI 232001234 heard": "MMSI [registration mark] heard",
    "HIN GB-ABC12345D626 checked": "HIN [registration mark] checked",
}
KEPT = (
    "Anna Blue lost drive off Port Hallow",
    "Ingrid cuts out at 3000 rpm",
    "towed to Bent Reed Quay",
    "Mark on shaft, rod bearing noisy",
    "Jack stand bent. Art of it: grease",
    "Customer reported no drive",
    "Impeller worn. Renewed. Tested OK",
    "IMPELLER WORN, RENEWED",
    "part no 0123456789 fitted at 1234.5 h",
    "p/n 07700-900-123 on order",
    "2025-06-01 to 2025-07-02 ashore",
    "oil sample 12/06/2025 15:30",
    "fuse blown 08:00 12:00",
    "meter 0012345.6, 01234567 hours",
    "job 00412345 closed",
    "Tarn 40 B14 c/o at service",
    "bench 4, van 2",
    "15W40 and 10 l of diesel",
)


@pytest.mark.parametrize(("text", "wanted"), MASKED.items())
def test_who_somebody_is_is_masked(text, wanted):
    assert masked(text, KNOWN)[0] == wanted


@pytest.mark.parametrize("text", KEPT)
def test_boats_bases_trade_words_hours_parts_and_dates_stay(text):
    assert masked(text, KNOWN) == (text, [])


def test_what_was_masked_is_told_with_its_sort_as_often_as_it_stood_there():
    text, found = masked("Sophie rang, ring Sophie on +44 20 7946 0123", KNOWN)
    assert text == "[name] rang, ring [name] on [telephone number]"
    assert found == [("telephone number", "+44 20 7946 0123"), ("name", "Sophie"), ("name", "Sophie")]


def test_a_masked_text_is_not_masked_again():
    for text in MASKED.values():
        assert masked(text, KNOWN) == (text, [])


@pytest.mark.parametrize(
    ("who", "shown"),
    [
        ("bench 4", "bench 4"),
        ("van 1", "van 1"),
        ("AB", "AB"),
        ("a.b.", "a.b."),
        ("M12", "M12"),
        ("workshop", "workshop"),
        ("Oona Vostrel", "O.V."),
        ("Tom", "T."),
        ("Mr Quillfeather", "Q."),
        ("Tom / Sophie", "T. / S."),
        ("AB & Tom", "AB & T."),
    ],
)
def test_who_did_it_keeps_codes_and_initials_and_loses_names(who, shown):
    assert initials(who) == shown


@pytest.mark.parametrize(
    ("value", "is_one"), [("GB-ABC12345D626", True), ("ABC12345D626", True), ("Tarn 40", False), ("B14", False), ("1234567890123", False)]
)
def test_a_craft_identification_number_is_known_by_its_form(value, is_one):
    # ISO 10087:2022: country, maker's code, serial, month A to L, last figure of the year, model year; the North American form has
    # no country.
    assert is_craft_number(value) is is_one
