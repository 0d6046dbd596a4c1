"""How many may be connected, and who gives way."""

from collections import Counter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sawbill.web.door.guests import Guests


class Somebody:
    def __init__(self, address):
        self.address, self.closed = address, False

    def close_silent(self):
        self.closed = True


def come(guests, *addresses):
    found = [Somebody(each) for each in addresses]
    return found, [guests.come(each) for each in found]


def test_the_longest_silent_gives_way_to_whoever_comes():
    guests = Guests(3, 3)
    (first, second, _), _ = come(guests, *"abc")
    guests.speak(first)
    _, taken = come(guests, "d")
    assert taken == [True] and (first.closed, second.closed) == (False, True)
    guests.fall_silent(first)
    assert len(guests) == 3


def test_of_one_address_only_so_many_are_taken_in_and_they_give_way_to_each_other():
    guests = Guests(10, 2)
    (first, _, _), taken = come(guests, *"aaa")
    assert taken == [True] * 3 and first.closed
    (other,), taken = come(guests, "b")
    assert taken == [True] and not other.closed


@pytest.mark.parametrize("guests", [Guests(2, 9), Guests(9, 2)])
def test_who_is_being_answered_gives_way_to_nobody(guests):
    (busy, also), _ = come(guests, *"aa")
    guests.speak(busy)
    guests.speak(also)
    assert come(guests, "a")[1] == [False]
    guests.leave(busy)
    assert come(guests, "a")[1] == [True]


@given(st.lists(st.tuples(st.sampled_from(["come", "speak", "silent", "leave"]), st.integers(0, 9))))
def test_the_count_is_that_of_those_who_are_there(steps):
    guests, there, speaking = Guests(5, 3), [], set()
    for what, number in steps:
        if what == "come":
            guest = Somebody("ab"[number % 2])
            if guests.come(guest):
                there = [each for each in there if not each.closed] + [guest]
            else:
                assert all(each in speaking for each in there if each.address == guest.address or len(there) == 5)
        elif there:
            guest = there[number % len(there)]
            if what == "speak":
                guests.speak(guest)
                speaking.add(guest)
            elif what == "silent":
                guests.fall_silent(guest)
                speaking.discard(guest)
            else:
                guests.leave(guest)
                there.remove(guest)
        assert len(guests) == len(there) <= 5
        assert max(Counter(each.address for each in there).values(), default=0) <= 3
        assert set(guests.silent()) == set(there) - speaking
