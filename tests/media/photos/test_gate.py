"""Pictures that are drawn at once share the memory there is."""

from __future__ import annotations

import threading
import time

from scout.media.photos.gate import Gate


def test_no_more_pixels_are_inside_than_fit() -> None:
    gate, inside, most = Gate(100), 0, 0
    held = threading.Lock()

    def draw(pixels: int) -> None:
        nonlocal inside, most
        with gate.room_for(pixels):
            with held:
                inside += pixels
                most = max(most, inside)
            time.sleep(0.01)
            with held:
                inside -= pixels

    threads = [threading.Thread(target=draw, args=(pixels,)) for pixels in (60, 60, 30, 60, 40, 70)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(5)
    assert most <= 100
    assert inside == 0
    assert not any(thread.is_alive() for thread in threads)


def test_one_that_is_larger_than_all_goes_alone() -> None:
    gate = Gate(100)
    with gate.room_for(250):
        waiting = threading.Thread(target=lambda: gate.room_for(1).__enter__())
        waiting.start()
        waiting.join(0.05)
        assert waiting.is_alive()
    waiting.join(5)
    assert not waiting.is_alive()


def test_room_is_given_back_after_a_fault() -> None:
    gate = Gate(10)
    try:
        with gate.room_for(10):
            raise ValueError
    except ValueError:
        pass
    with gate.room_for(10):
        pass
