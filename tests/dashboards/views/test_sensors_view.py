"""What is wrong with a value is told in sentences."""

from dashboards.views.sensors_view import sentences


def test_each_reason_is_a_sentence_of_its_own() -> None:
    assert sentences(
        "perhaps stuck: 8 °C for 60 minutes; looks like °F: 8.0 would be -13.3 °C"
    ) == ("Perhaps stuck: 8 °C for 60 minutes. Looks like °F: 8.0 would be -13.3 °C.")


def test_a_good_value_has_no_sentence() -> None:
    assert sentences("") == ""
