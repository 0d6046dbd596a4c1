"""The quotes made last are held, a bounded number of bounded size, and none that a clock cut."""

import threading

from sawbill.web.recent import MOST, MOST_BYTES, Made, Recent


def made(text, *, lasting=True):
    return Made(text.encode(), "Sample", lasting)


def test_what_is_used_least_goes_first():
    recent = Recent()
    for number in range(MOST):
        recent.put(str(number), made(f"quote {number}"))
    assert recent.get("0") == made("quote 0")
    recent.put("one more", made("another"))
    assert recent.get("1") is None, "the oldest that nobody asked for again"
    assert recent.get("0") == made("quote 0") and recent.get("one more") == made("another")


def test_neither_a_quote_cut_by_a_clock_nor_a_very_large_one_is_held():
    recent = Recent()
    recent.put("late", made("quote", lasting=False))
    recent.put("large", made("x" * (MOST_BYTES + 1)))
    recent.put("largest", made("x" * MOST_BYTES))
    assert recent.get("late") is None and recent.get("large") is None
    assert recent.get("largest") is not None


def test_many_threads_find_only_what_was_put_under_their_key():
    recent, wrong = Recent(), []

    def use(name):
        for number in range(500):
            key = f"{name} {number % 40}"
            recent.put(key, made(key))
            found = recent.get(key)
            if found is not None and found.data != key.encode():
                wrong.append(key)

    threads = [threading.Thread(target=use, args=(name,)) for name in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert not wrong
