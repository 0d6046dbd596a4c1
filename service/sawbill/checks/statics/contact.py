"""Faces that can only press, compiled: which of them part under a load."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sawbill.checks.statics.elimination import Floats, Ints, add_tie, eliminate, factor, solve
from sawbill.compiled import compiled, compiled_part

STEADY = 1e-7
"""A contact that pulls, or a gap that closes, by less than this is taken as it was [N]."""
ROUNDS = 400
"""After so many rounds a case is told to have no state that its contacts agree with."""
ALL_AT_ONCE = 12
"""In so many rounds all contacts that are wrong are turned at once; then one by one, the last of them first, which
always ends (Murty, Linear Complementarity, 1988, chapter 4)."""


@compiled
def pressed(
    starts: Ints, dofs: Ints, matrix: Floats, contacts: Ints, stiff: Floats, gaps: Floats, loads: Floats
) -> Ints:  # fmt: skip
    """How far each dof gives way, in place of its loads, with contacts that only press, once their gaps have closed.

    After how many rounds by column, 0: no state was found. A linear complementarity problem with one answer: solved
    once with all contacts shut, then for each column with the forces that undo those that would pull (the formula of
    Sherman, Morrison and Woodbury).
    """
    for t in range(len(contacts)):
        add_tie(starts, dofs, matrix, contacts[t, 0], contacts[t, 1], stiff[t])
        for c in range(loads.shape[1]):  # shut before its gap is closed, it would press by so much less
            loads[contacts[t, 0], c] += stiff[t] * gaps[t]
            if contacts[t, 1] >= 0:
                loads[contacts[t, 1], c] -= stiff[t] * gaps[t]
    factor(starts, dofs, matrix)
    solve(starts, dofs, matrix, loads)
    columns, faces = loads.shape[1], len(contacts)
    rounds, is_open = np.zeros(columns, np.int64), np.zeros(faces, np.bool_)
    units = np.empty((faces, len(loads)))  # what a unit of force in each contact does, reckoned once it is asked for
    effects = np.empty((faces, faces))  # how much it closes every contact
    known, which, closes = np.zeros(faces, np.bool_), np.empty(faces, np.int64), np.empty(faces)
    for c in range(columns):
        find_closed(contacts, loads[:, c], closes)
        closes -= gaps
        for turn in range(1, ROUNDS + 1):
            count = find_open(starts, dofs, matrix, contacts, is_open, known, units, effects, which)
            undone = forces_undone(which[:count], stiff, effects, closes)
            if not turned(which[:count], undone, stiff, effects, closes, is_open, turn <= ALL_AT_ONCE):
                rounds[c] = turn
                undo(which[:count], undone, units, loads, c)
                break
        if rounds[c] == 0:
            for t in range(faces):
                is_open[t] = False
    return rounds


@compiled_part
def find_open(
    starts: Ints, dofs: Ints, matrix: Floats, contacts: Ints, is_open: NDArray[np.bool_], known: NDArray[np.bool_],
    units: Floats, effects: Floats, which: Ints,
) -> int:  # fmt: skip
    """Number the contacts that are open, and find what a unit of force in each does; how many there are."""
    count = 0
    for t in range(len(contacts)):
        if is_open[t]:
            which[count] = t
            count += 1
            if not known[t]:
                known[t] = True
                find_unit(starts, dofs, matrix, contacts[t, 0], contacts[t, 1], units[t])
                find_closed(contacts, units[t], effects[t])
    return count


@compiled_part
def undo(which: Ints, undone: Floats, units: Floats, loads: Floats, c: int) -> None:
    """Add to a column what the forces that undo those of open contacts do."""
    for j in range(len(which)):
        for i in range(len(loads)):
            loads[i, c] += units[which[j], i] * undone[j]


@compiled_part
def find_unit(starts: Ints, dofs: Ints, matrix: Floats, over: int, under: int, found: Floats) -> None:
    """What a unit of force does that presses two dofs apart."""
    moved = np.zeros((len(starts) - 1, 1))
    moved[over, 0] += 1.0
    if under >= 0:
        moved[under, 0] -= 1.0
    solve(starts, dofs, matrix, moved)
    for i in range(len(moved)):  # assigned as a whole it takes two seconds longer to compile
        found[i] = moved[i, 0]


@compiled_part
def find_closed(contacts: Ints, moved: Floats, found: Floats) -> None:
    """How much every contact closes."""
    for t in range(len(contacts)):
        found[t] = moved[contacts[t, 0]]
        if contacts[t, 1] >= 0:
            found[t] -= moved[contacts[t, 1]]


@compiled_part
def forces_undone(which: Ints, stiff: Floats, effects: Floats, closes: Floats) -> Floats:
    """The forces in contacts that are open that undo what they would pull with, were they shut."""
    undone, system = np.empty(len(which)), np.empty((len(which), len(which)))
    for i in range(len(which)):
        undone[i] = closes[which[i]]
        for j in range(len(which)):
            system[i, j] = -effects[which[j], which[i]]
        system[i, i] += 1 / stiff[which[i]]
    eliminate(system, undone)
    return undone


@compiled_part
def turned(
    which: Ints, undone: Floats, stiff: Floats, effects: Floats, closes: Floats, is_open: NDArray[np.bool_],
    all_at_once: bool,
) -> bool:  # fmt: skip
    """Open contacts that pull and shut those whose gap is closed, all or the last of them; whether there are any."""
    force = closes.copy()
    for j in range(len(which)):
        for t in range(len(force)):
            force[t] += effects[which[j], t] * undone[j]
    any_of = False
    for t in range(len(force) - 1, -1, -1):
        pressed_by = force[t] * stiff[t]
        if (pressed_by < -STEADY) if not is_open[t] else (pressed_by > STEADY):
            is_open[t] = not is_open[t]
            any_of = True
            if not all_at_once:
                break
    return any_of
