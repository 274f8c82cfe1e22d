from spadework.records.refusal import Refused, one_line, quoted


def test_a_short_text_is_shown_as_it_is():
    assert quoted("süd 4") == "'süd 4'"


def test_a_long_text_is_shortened_to_forty_signs():
    assert one_line("x" * 40) == "x" * 40
    assert one_line("x" * 41) == "x" * 39 + "…"


def test_what_does_not_print_becomes_a_blank():
    assert one_line("a\r\nb\tc\x00d\u2028e") == "a  b c d e"


def test_a_refusal_carries_its_kind_and_both_sentences():
    refused = Refused("cell.x", "It is wrong.", "Mend it.")

    assert (refused.kind, refused.what, refused.mend) == ("cell.x", "It is wrong.", "Mend it.")
