"""The frames looked over at the counter: one touch for all that are sound, which of them where something was found."""

from desk.models import Job
from tests.web.counter.known_player import Counter, jobs_of


def answers(counter: Counter) -> list[str]:
    return [job.frame_check for job in jobs_of(counter)]


def test_one_touch_answers_for_all(counter: Counter) -> None:
    assert counter.accept(counter.taking(0, 1) | {"frame_check": "sound"}).status_code == 303
    assert answers(counter) == ["sound", "sound"]


def test_frames_that_nobody_looked_over_say_so(counter: Counter) -> None:
    taken = counter.get(counter.accept(counter.taking(0)).location).text
    assert answers(counter) == [""] and "The frames were not looked over at the counter." in taken


def test_worn_grommets_are_those_of_the_racquet_named_and_need_consent(counter: Counter) -> None:
    two = counter.racquets[1]
    data = counter.taking(0, 1) | {"frame_check": "worn", "frame_note": "worn at the head"}
    assert "Tick under Frames which racquets are meant" in counter.accept(data).text
    data |= {"frame_which": two}
    assert "keep the owner’s consent first".replace("’", "&#39;") in counter.accept(data).text
    assert jobs_of(counter) == []
    taken = counter.get(counter.accept(data | {"consent": "owner, here"}).location).text
    assert answers(counter) == ["sound", "worn"] and "Grommets worn" in taken
    sound, worn = (counter.get(f"/tag/{job.code}").text for job in jobs_of(counter))
    assert "Grommets worn." in worn and "Grommets worn." not in sound


def test_a_cracked_racquet_goes_back_and_the_others_are_taken_in(counter: Counter) -> None:
    two = counter.racquets[1]
    cracked = {"frame_check": "cracked", "frame_which": two, "consent": "owner", "frame_note": "split at the throat"}
    answer = counter.accept(counter.taking(0, 1) | cracked)
    assert answer.status_code == 422 and "Tell the owner, who keeps it" in answer.text and jobs_of(counter) == []
    assert counter.accept(counter.taking(0) | cracked | {"frame_note": ""}).status_code == 303
    assert answers(counter) == ["sound"]


def test_a_note_that_says_more_than_the_answer_is_asked_back_once(counter: Counter) -> None:
    data = counter.taking(0) | {"frame_check": "sound", "frame_note": "frame is broken at the throat"}
    asked = counter.accept(data)
    assert asked.status_code == 422 and "Is the frame cracked? Look once more" in asked.text
    assert 'name="frame_meant"' in asked.text and jobs_of(counter) == []
    assert counter.accept(data | {"frame_meant": "y"}).status_code == 303
    (job,) = jobs_of(counter)
    assert counter.house.get(Job, job.id).frame_check == "sound"


def test_a_note_without_an_answer_is_asked_about(counter: Counter) -> None:
    data = counter.taking(0) | {"frame_note": "snapped at the bridge"}
    assert "say what it is: sound, grommets worn, or cracked" in counter.accept(data).text and jobs_of(counter) == []


def test_a_note_that_finds_no_crack_is_taken_with_its_answer_and_one_word(counter: Counter) -> None:
    data = counter.taking(0) | {"frame_check": "sound", "frame_note": "no sign of a crack", "frame_meant": "y"}
    assert counter.accept(data).status_code == 303
