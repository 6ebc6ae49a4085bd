"""What can't happen to a sender is refused by name."""

from collections.abc import Sequence

import pytest

from devices.sensor import Format
from simulated_feeds.happening import Happening, What
from simulated_feeds.impossible import ImpossibleParameterError
from simulated_feeds.senders.agreement import OF_SENDERS, refuse_impossible_faults
from simulated_feeds.senders.parameters import Sender, SenderKind
from tests.simulated_feeds.senders.made_senders import happens, scale, sender

LUX = sender("lamp-eye", kind=SenderKind.LIGHT, format=Format.NUMBER)


@pytest.mark.parametrize(
    ("senders", "happening", "sentence"),
    [
        ([sender()], happens(What.STOPS, 1, 2, "th-attic"), "is th-attic; allowed is th-shed"),
        ([], happens(What.STOPS, 1, 2), "there are no senders"),
        ([LUX], happens(What.BACKLOG, 1, 2, "lamp-eye"), "plain numbers carry none"),
        ([LUX], happens(What.WRONG_CLOCK, 1, 2, "lamp-eye", 5.0), "plain numbers carry none"),
        ([LUX], happens(What.READS_85, 1, 2, "lamp-eye"), "a sender with a thermometer"),
        ([scale()], happens(What.SATURATED, 1, 2, "scale-1"), "measures humidity"),
        ([sender()], happens(What.GLITCHES, 1, 2), "allowed is a scale"),
        ([sender(on_battery=False)], happens(What.BATTERY_SAGS, 1, 2), "on a battery"),
        ([sender(format=Format.JSON)], happens(What.TWIN, 1, 2), "a sender of senml"),
        ([sender()], happens(What.DROPS, 1, 2), "amount of messages lost is None"),
        ([sender()], happens(What.DROPS, 1, 2, amount=1.5), "1.5; allowed is a share"),
        ([sender()], happens(What.WRONG_CLOCK, 1, 2), "amount of wrong clock is None"),
        ([sender()], happens(What.STOPS, 1, 2, amount=3.0), "amount of sensor stops is 3.0"),
        ([sender(), sender()], happens(What.STOPS, 1, 2), "a name of its own"),
    ],
)
def test_what_cannot_happen_is_refused_in_words(
    senders: Sequence[Sender], happening: Happening, sentence: str
) -> None:
    with pytest.raises(ImpossibleParameterError) as refused:
        refuse_impossible_faults(senders, [happening])
    assert sentence in str(refused.value)


def test_what_weather_and_birds_suffer_is_no_business_of_senders() -> None:
    others = [what for what in What if what not in OF_SENDERS]
    refuse_impossible_faults([sender()], [happens(what, 1, 2, "box-9") for what in others])
    assert What.COLD_NIGHT in others


@pytest.mark.parametrize("what", sorted(OF_SENDERS - {What.GLITCHES}))
def test_thermometer_on_a_battery_can_suffer_everything_but_glitches(what: What) -> None:
    amount = 0.5 if what in (What.DROPS, What.WRONG_CLOCK) else None
    refuse_impossible_faults([sender()], [happens(what, 1, 2, amount=amount)])
