"""The fostering story, corrections and their undoing, as a keeper tells them on the pages."""

import re
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from html import unescape
from pathlib import Path
from uuid import uuid4

import pytest

from service.nests.book_correction import Subject
from service.nests.nest import BeddingLevel, BeddingSeen, Clutch, EggFate, Weighed
from service.people.role import Role
from tests.dashboards.conftest import TestClient, client_of
from tests.dashboards.filled_shed import NOW, ZONE, FilledShed, open_filled_shed
from tests.dashboards.house import browser, people_of, sign_in


class Walked:
    """A clock that a test moves on."""

    def __init__(self) -> None:
        self.at = NOW

    def now(self) -> datetime:
        return self.at

    def on(self, days: float) -> None:
        self.at = NOW + timedelta(days=days)


@pytest.fixture
def clock() -> Walked:
    return Walked()


@pytest.fixture
def shed(tmp_path: Path, clock: Walked) -> Iterator[FilledShed]:
    filled = open_filled_shed(tmp_path, clock=clock)
    yield filled
    filled.close()


@pytest.fixture
def client(shed: FilledShed) -> TestClient:
    return client_of(shed)


def clutch_in(shed: FilledShed, box: str) -> Clutch:
    clutch = shed.records.nest_book.nest(box).clutch
    assert clutch is not None
    return clutch


def look(
    client: TestClient, box: str, eggs: int, chicks: int = 0, *, told: dict[str, str] | None = None
) -> str:
    """A look that must be taken; what the page says changed."""
    form = {"form_id": str(uuid4()), "eggs": str(eggs), "chicks": str(chicks), "counted": "yes"}
    answer = client.post(f"/nests/{box}/check", data=form | (told or {}))
    assert answer.status_code == 303, text_of(answer.text)
    return text_of(client.get(answer.headers["location"]).text)


def text_of(page: str) -> str:
    """What a person reads: without marks."""
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", page)).split())


def move(client: TestClient, out_of: str, into: str, *egg_ids: int, **more: str) -> str:
    form = {f"egg.{egg_id}": "yes" for egg_id in egg_ids} | {"to_box": into} | more
    answer = client.post(f"/nests/{out_of}/move", data=form)
    assert answer.status_code == 303, text_of(answer.text)
    return text_of(client.get(answer.headers["location"]).text)


def test_egg_moved_twice_reads_right_on_both_boxes(
    shed: FilledShed, client: TestClient, clock: Walked
) -> None:
    """Out to box 2, home again, out once more; it hatches there, is ringed there, and fledges."""
    egg_id = clutch_in(shed, "box-1").eggs[1].id
    told = move(client, "box-1", "box-2", egg_id, why="box 1 was cold")
    assert "Moved. The next look into both boxes counts it where it lies now." in told
    assert "Moved from Box 1 to Box 2 on 21 April 2026, 14:30, box 1 was cold" in told
    clock.on(0.5)
    move(client, "box-2", "box-1", egg_id)
    clock.on(1)
    move(client, "box-1", "box-2", egg_id)

    form = text_of(client.get("/nests/box-1/check").text)
    assert "Moved away, and not counted here: egg 2 in Box 2." in form
    assert "Egg 2 of Box 1" in text_of(client.get("/nests/box-2/check").text)

    clock.on(9)
    hatched = {f"guest.{egg_id}.fate": "hatched"}
    assert "egg 2 of Box 1 hatched" in look(client, "box-2", 1, 1, told=hatched)
    clock.on(17)
    ringed = {f"guest.{egg_id}.ring": "HZ-26-002", f"guest.{egg_id}.mass": "23,5"}
    assert "chick 2 of Box 1 ringed HZ-26-002" in look(client, "box-2", 1, 1, told=ringed)
    clock.on(40)
    gone = {f"guest.{egg_id}.gone": "fledged"}
    assert "chick 2 of Box 1 fledged" in look(client, "box-2", 1, 0, told=gone)

    home, foster = (text_of(client.get(f"/nests/{box}/book").text) for box in ("box-1", "box-2"))
    assert "Ring HZ-26-002, put on 8 May 2026, 14:30" in home
    assert home.count("Moved from Box 1 to Box 2") == 2
    assert home.count("Moved from Box 2 to Box 1") == 1
    assert "23.5 g on" in home
    assert "Guests in this box Chick 2 of Box 1" in foster
    assert "HZ-26-002" not in foster
    chick = clutch_in(shed, "box-1").chicks[0]
    assert (chick.egg_number, chick.ring) == (2, "HZ-26-002")
    assert clutch_in(shed, "box-2").chicks == ()


def test_chick_fostered_and_made_a_bird_has_the_parents_that_laid_it(
    shed: FilledShed, client: TestClient, clock: Walked
) -> None:
    egg_id = clutch_in(shed, "box-1").eggs[1].id
    move(client, "box-1", "box-2", egg_id)
    clock.on(9)
    look(client, "box-2", 1, 1, told={f"guest.{egg_id}.fate": "hatched"})
    clock.on(17)
    look(client, "box-2", 1, 1, told={f"guest.{egg_id}.ring": "HZ-26-002"})
    chick = clutch_in(shed, "box-1").chicks[0]
    address = f"/nests/box-1/book/chick/{chick.id}/bird"
    assert "Ring HZ-26-002. Out of C1 and H1." in text_of(client.get(address).text)
    sent = {"sex": "hen", "name": "Teasel", "variety": "opaline"}
    assert client.post(address, data=sent).status_code == 303
    pair = shed.records.nest_book.nest("box-1").pair
    assert pair is not None
    bird = next(bird for bird in shed.records.nest_book.birds() if bird.name == "Teasel")
    assert (bird.sire_id, bird.dam_id, bird.ring) == (pair.cock.id, pair.hen.id, "HZ-26-002")
    assert clutch_in(shed, "box-1").chicks[0].bird_id == bird.id
    again = client.post(address, data=sent)
    assert again.status_code == 422
    assert "Chick 2 is a bird of the book already." in text_of(again.text)


def test_egg_not_in_sight_is_kept_uncounted_and_its_advice_is_told(
    shed: FilledShed, client: TestClient, clock: Walked
) -> None:
    clock.on(0.5)
    told = look(client, "box-1", 4, told={"egg.3.fate": "not in sight"})
    assert "egg 3 not in sight" in told
    assert "Egg 3 was not in sight. Look again at the next visit" in told
    assert "Feel gently in the bedding" in told
    assert "Do not call it lost yet." in told
    assert clutch_in(shed, "box-1").eggs[2].fate is None
    clock.on(1)
    look(client, "box-1", 4, told={"egg.3.fate": "not in sight"})
    clock.on(1.5)
    told = look(client, "box-1", 4, told={"egg.3.fate": "not in sight"})
    assert "Egg 3 was not in sight at the last 3 looks, since 22 April." in told
    assert "feel through all of the bedding once, down to the floor" in told
    clock.on(2)
    assert "not in sight" not in look(client, "box-1", 5)


def test_fewer_eggs_can_be_answered_with_not_in_sight(
    shed: FilledShed, client: TestClient, clock: Walked
) -> None:
    clock.on(0.5)
    form = {"form_id": str(uuid4()), "eggs": "4", "chicks": "0"}
    asked = client.post("/nests/box-1/check", data={**form, "egg.2.candled": "fertile"})
    assert asked.status_code == 422
    assert '<option value="not in sight">' in asked.text
    assert re.search(r'name="egg\.2\.candled" value="fertile"[^>]* checked', asked.text)
    answered = client.post("/nests/box-1/check", data={**form, "egg.3.fate": "not in sight"})
    assert answered.status_code == 303
    assert shed.records.nest_book.nest("box-1").checks[-1].not_in_sight == (3,)


def test_counts_that_were_left_follow_from_what_is_told_of_guests(
    shed: FilledShed, client: TestClient, clock: Walked
) -> None:
    egg_id = clutch_in(shed, "box-1").eggs[1].id
    move(client, "box-1", "box-2", egg_id)
    clock.on(9)
    form = {"form_id": str(uuid4()), "eggs": "2", "chicks": "0"}
    before = {"eggs_before": "2", "chicks_before": "0", f"guest.{egg_id}.fate": "hatched"}
    assert client.post("/nests/box-2/check", data=form | before).status_code == 303
    check = shed.records.nest_book.nest("box-2").checks[-1]
    assert (check.eggs, check.chicks) == (1, 1)


def test_chick_more_in_a_box_with_guests_is_asked_about_and_answered(
    shed: FilledShed, client: TestClient, clock: Walked
) -> None:
    egg_id = clutch_in(shed, "box-1").eggs[1].id
    move(client, "box-1", "box-2", egg_id)
    clock.on(9)
    form = {"form_id": str(uuid4()), "eggs": "1", "chicks": "1"}
    asked = client.post("/nests/box-2/check", data=form)
    assert asked.status_code == 422
    assert "1 chick more than last time. Which egg hatched?" in asked.text
    assert f'name="guest.{egg_id}.fate" aria-label=' in asked.text
    answer = form | {f"guest.{egg_id}.fate": "hatched", "counted": "yes"}
    assert client.post("/nests/box-2/check", data=answer).status_code == 303
    assert clutch_in(shed, "box-1").eggs[1].fate is EggFate.HATCHED


def test_bedding_and_masses_are_kept_with_the_look(
    shed: FilledShed, client: TestClient, clock: Walked
) -> None:
    clock.on(0.5)
    look(client, "box-1", 5, told={"bedding": "deep", "thrown_out": "yes", "egg.2.mass": "2,1"})
    check = shed.records.nest_book.nest("box-1").checks[-1]
    assert check.bedding == BeddingSeen(level=BeddingLevel.DEEP, thrown_out=True)
    assert check.weighed == (Weighed(egg_number=2, mass_g=2.1),)


WRONG = [
    ({"egg.1.mass": "heavy"}, "egg 1: 'heavy' is no mass in grams, like 2.1"),
    ({"egg.1.mass": "2000"}, "2000 g for egg or chick 1: a mass is 0.1 to 200 g"),
    ({"bedding": "knee-deep"}, "bedding: one of the four levels, or nothing"),
    ({"guest.99.fate": "broken"}, "One of the guests is no longer in this box"),
    ({"guest.1.fate": "eaten"}, "guest 1: 'eaten' is not one of the choices"),
]


@pytest.mark.parametrize(("more", "words"), WRONG, ids=range(len(WRONG)))
def test_what_can_not_be_comes_back_in_words_and_nothing_is_kept(
    shed: FilledShed, client: TestClient, more: dict[str, str], words: str
) -> None:
    before = shed.records.nest_book.nest("box-1").checks
    form = {"form_id": str(uuid4()), "eggs": "5", "chicks": "0", "counted": "yes"}
    answer = client.post("/nests/box-1/check", data=form | more)
    assert answer.status_code == 422
    assert words in text_of(answer.text)
    assert shed.records.nest_book.nest("box-1").checks == before


def test_chick_from_a_clear_egg_is_refused_with_the_reason(
    client: TestClient, clock: Walked
) -> None:
    clock.on(0.1)
    look(client, "box-1", 5, told={"egg.1.candled": "clear"})
    clock.on(9)
    form = {"form_id": str(uuid4()), "eggs": "4", "chicks": "1", "egg.1.fate": "hatched"}
    answer = client.post("/nests/box-1/check", data=form)
    assert answer.status_code == 422
    assert (
        "Egg 1 was clear when held to a light on 21 April, and no chick comes out of a clear egg."
    ) in text_of(answer.text)


MOVED_WRONG: list[tuple[dict[str, str], str]] = [
    ({"to_box": "box-2"}, "Which egg or chick? Tick at least one."),
    ({"egg.2": "yes"}, "Into which box? Choose one."),
    ({"egg.2": "yes", "to_box": "box-2", "at": "soon"}, "'soon' is no day and time"),
    ({"egg.2": "yes", "to_box": "box-1"}, "Egg 2 is in Box 1 already"),
    ({"egg.2": "yes", "to_box": "box-2", "at": "2026-04-22T10:00"}, "is still to come"),
    ({"egg.2": "yes", "to_box": "box-2", "at": "2026-04-01T10:00"}, "Egg 2 was first seen on"),
    ({"egg.2": "yes", "to_box": "box-2", "why": "x" * 501}, "letters are too many; at most 500"),
]


@pytest.mark.parametrize(("form", "words"), MOVED_WRONG, ids=range(len(MOVED_WRONG)))
def test_move_that_can_not_be_comes_back_in_words_and_nothing_is_moved(
    shed: FilledShed, client: TestClient, form: dict[str, str], words: str
) -> None:
    egg_id = clutch_in(shed, "box-1").eggs[1].id
    sent = {name.replace("egg.2", f"egg.{egg_id}"): value for name, value in form.items()}
    answer = client.post("/nests/box-1/move", data=sent)
    assert answer.status_code == 422
    assert words in text_of(answer.text)
    assert clutch_in(shed, "box-1").eggs[1].moves == ()


def test_move_to_a_box_without_a_pair_is_asked_about_first(
    shed: FilledShed, client: TestClient
) -> None:
    egg_id = clutch_in(shed, "box-1").eggs[1].id
    form = {f"egg.{egg_id}": "yes", "to_box": "box-3"}
    asked = client.post("/nests/box-1/move", data=form)
    assert asked.status_code == 422
    assert "No pair is put up at Box 3: nobody would sit there. Is it so?" in text_of(asked.text)
    assert client.post("/nests/box-1/move", data={**form, "sure": "yes"}).status_code == 303
    assert clutch_in(shed, "box-1").eggs[1].box("box-1") == "box-3"


def local(at: datetime) -> str:
    return at.astimezone(ZONE).strftime("%Y-%m-%dT%H:%M")


def test_correction_is_kept_with_its_reason_and_undone_on_the_page(
    shed: FilledShed, client: TestClient
) -> None:
    before = clutch_in(shed, "box-1")
    egg = before.eggs[1]
    address = f"/nests/box-1/book/egg/{egg.id}"
    served = client.get(address).text
    assert text_of(served).startswith("Egg 2 of Box 1")
    earlier = local(egg.laid_to - timedelta(hours=5))
    sent = fields_of(served) | {"laid.laid_to": earlier, "why": "seen at noon already"}
    told = client.post(address, data=sent)
    assert told.status_code == 303
    page = client.get(told.headers["location"]).text
    assert "Corrected. What stood before is kept below." in text_of(page)
    assert "seen at noon already" in text_of(page)
    corrected = clutch_in(shed, "box-1").eggs[1]
    assert local(corrected.laid_to) == earlier
    assert corrected.laid_from == egg.laid_from  # seconds and all: the form shows minutes
    (correction,) = shed.records.nest_book.corrections(before.id)
    undone = client.post(f"/nests/box-1/book/undo/{correction.id}")
    assert undone.status_code == 303
    assert "Undone on" in text_of(client.get(undone.headers["location"]).text)
    assert clutch_in(shed, "box-1") == before


def fields_of(page: str) -> dict[str, str]:
    """What a browser sends of a form that nobody touched."""
    found = dict(re.findall(r'<input(?: type="[a-z-]+")? name="([^"]+)" value="([^"]*)"', page))
    for name, choices in re.findall(r'<select name="([^"]+)">(.*?)</select>', page):
        chosen = re.search(r'value="([^"]*)" selected', choices)
        found[name] = chosen.group(1) if chosen else ""
    found.pop("take_back", None)
    return {name: unescape(value) for name, value in found.items()}


def test_form_that_nobody_touched_corrects_nothing(shed: FilledShed, client: TestClient) -> None:
    address = f"/nests/box-1/book/egg/{clutch_in(shed, 'box-1').eggs[1].id}"
    answer = client.post(address, data=fields_of(client.get(address).text))
    assert answer.status_code == 422
    assert "Nothing is different from what the book says." in text_of(answer.text)


def test_correction_that_contradicts_comes_back_in_words_as_it_was_sent(
    shed: FilledShed, client: TestClient
) -> None:
    egg = clutch_in(shed, "box-1").eggs[1]
    address = f"/nests/box-1/book/egg/{egg.id}"
    sent = fields_of(client.get(address).text) | {"size.length_mm": "185", "why": "measured"}
    answer = client.post(address, data=sent)
    assert answer.status_code == 422
    assert "Egg 2: a length of 185 mm; allowed: 5 to 40 mm." in text_of(answer.text)
    assert 'value="185"' in answer.text
    assert "measured" in answer.text
    assert clutch_in(shed, "box-1").eggs[1] == egg


def test_undoing_under_a_later_correction_is_refused_in_words(
    shed: FilledShed, client: TestClient
) -> None:
    egg = clutch_in(shed, "box-1").eggs[1]
    address = f"/nests/box-1/book/egg/{egg.id}"
    for length in ("18", "18.5"):
        sent = fields_of(client.get(address).text) | {"size.length_mm": length}
        assert client.post(address, data=sent).status_code == 303
    first, second = shed.records.nest_book.corrections(clutch_in(shed, "box-1").id)
    refused = client.post(f"/nests/box-1/book/undo/{first.id}")
    assert refused.status_code == 422
    assert "A later correction of the same fact stands on this one" in text_of(refused.text)
    for correction in (second, first):
        undone = client.post(f"/nests/box-1/book/undo/{correction.id}")
        assert undone.status_code == 303
    assert clutch_in(shed, "box-1").eggs[1] == egg


def test_move_is_taken_back_on_its_page(shed: FilledShed, client: TestClient) -> None:
    before = clutch_in(shed, "box-1")
    move(client, "box-1", "box-2", before.eggs[1].id)
    (moved,) = clutch_in(shed, "box-1").eggs[1].moves
    address = f"/nests/box-1/book/move/{moved.id}"
    assert "It was never moved so" in client.get(address).text
    assert client.post(address, data={"take_back": "yes", "why": "a slip"}).status_code == 303
    assert clutch_in(shed, "box-1") == before
    assert (
        "Move of egg 2" not in text_of(client.get("/nests/box-1/book").text).split("put right")[0]
    )


@pytest.mark.parametrize("path", ["egg/999", "move/999", "weighing/999", "bird/1", "pair/1"])
def test_what_the_book_of_a_box_has_not_is_not_known(client: TestClient, path: str) -> None:
    assert client.get(f"/nests/box-1/book/{path}").status_code == 404
    assert client.post(f"/nests/box-1/book/{path}", data={}).status_code == 404


def test_correction_of_another_box_is_not_undone_in_this_ones_book(
    shed: FilledShed, client: TestClient
) -> None:
    egg = clutch_in(shed, "box-1").eggs[1]
    address = f"/nests/box-1/book/egg/{egg.id}"
    client.post(address, data=fields_of(client.get(address).text) | {"size.length_mm": "18"})
    (correction,) = shed.records.nest_book.corrections(clutch_in(shed, "box-1").id)
    assert client.post(f"/nests/box-2/book/undo/{correction.id}").status_code == 404


def test_helper_moves_and_reads_and_the_keeper_alone_puts_right(shed: FilledShed) -> None:
    mara, jo = people_of(shed)
    egg_id = clutch_in(shed, "box-1").eggs[1].id
    helper = sign_in(browser(shed), shed, jo)
    assert jo.role is Role.HELPER
    book = helper.get("/nests/box-1/book")
    assert book.status_code == 200
    assert "Put right" not in book.text
    assert helper.get(f"/nests/box-1/book/egg/{egg_id}").status_code == 403
    move(helper, "box-1", "box-2", egg_id)
    (moved,) = clutch_in(shed, "box-1").eggs[1].moves
    assert moved.by == "Jo"
    take_back = {"take_back": "yes"}
    assert helper.post(f"/nests/box-1/book/move/{moved.id}", data=take_back).status_code == 403
    keeper = sign_in(browser(shed), shed, mara)
    assert "Put right" in keeper.get("/nests/box-1/book").text
    keeper.post(f"/nests/box-1/book/move/{moved.id}", data=take_back)
    (correction,) = shed.records.nest_book.corrections(clutch_in(shed, "box-1").id)
    assert (correction.by, correction.at) == ("Mara", NOW.astimezone(UTC))
    assert helper.post(f"/nests/box-1/book/undo/{correction.id}").status_code == 403


def test_a_year_mistyped_makes_no_picture_of_two_thousand_years(
    shed: FilledShed, client: TestClient
) -> None:
    egg_id = clutch_in(shed, "box-1").eggs[0].id
    laid = "0026-04-08T10:00:00+00:00;2026-04-10T10:00:00+00:00"
    shed.records.nest_book.correct(Subject.EGG, egg_id, "laid", laid, at=NOW)
    for page in ("/nests/box-1", "/nests/box-1/card", "/api/nests/box-1/air"):
        answer = client.get(page)
        assert answer.status_code in {200, 404}
        assert len(answer.content) < 200_000
