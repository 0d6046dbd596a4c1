"""Faces that can only press, compiled: which of them part under a load."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sawbill.checks.statics.elimination import Floats, Ints, add_tie, eliminate, factor, solve
from sawbill.compiled import compiled

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
    known = np.zeros(faces, np.bool_)
    for c in range(columns):
        for turn in range(1, ROUNDS + 1):
            which = np.flatnonzero(is_open)
            for t in range(faces):
                if is_open[t] and not known[t]:
                    known[t] = True
                    units[t] = unit(starts, dofs, matrix, contacts[t, 0], contacts[t, 1])
            undone = forces_undone(which, contacts, stiff, gaps, units, loads, c)
            if not turned(which, undone, contacts, stiff, gaps, units, loads, c, is_open, turn <= ALL_AT_ONCE):
                rounds[c] = turn
                for j in range(len(which)):
                    for i in range(len(loads)):
                        loads[i, c] += units[which[j], i] * undone[j]
                break
        if rounds[c] == 0:
            is_open[:] = False
    return rounds


@compiled
def unit(starts: Ints, dofs: Ints, matrix: Floats, over: int, under: int) -> Floats:
    """What a unit of force does that presses two dofs apart."""
    moved = np.zeros((len(starts) - 1, 1))
    moved[over, 0] += 1.0
    if under >= 0:
        moved[under, 0] -= 1.0
    solve(starts, dofs, matrix, moved)
    return moved[:, 0]


@compiled
def closing(contacts: Ints, t: int, moved: Floats) -> float:
    """How much a contact closes."""
    closes = float(moved[contacts[t, 0]])
    return closes - float(moved[contacts[t, 1]]) if contacts[t, 1] >= 0 else closes


@compiled
def forces_undone(
    which: Ints, contacts: Ints, stiff: Floats, gaps: Floats, units: Floats, loads: Floats, column: int
) -> Floats:  # fmt: skip
    """The forces in contacts that are open that undo what they would pull with, were they shut."""
    undone, system = np.empty(len(which)), np.empty((len(which), len(which)))
    for i in range(len(which)):
        undone[i] = closing(contacts, which[i], loads[:, column]) - gaps[which[i]]
        for j in range(len(which)):
            system[i, j] = -closing(contacts, which[i], units[which[j]])
        system[i, i] += 1 / stiff[which[i]]
    eliminate(system, undone)
    return undone


@compiled
def turned(
    which: Ints, undone: Floats, contacts: Ints, stiff: Floats, gaps: Floats, units: Floats, loads: Floats,
    column: int, is_open: NDArray[np.bool_], all_at_once: bool,
) -> bool:  # fmt: skip
    """Open contacts that pull and shut those whose gap is closed, all or the last of them; whether there are any."""
    any_of = False
    for t in range(len(contacts) - 1, -1, -1):
        force = closing(contacts, t, loads[:, column]) - gaps[t]
        for j in range(len(which)):
            force += closing(contacts, t, units[which[j]]) * undone[j]
        force *= stiff[t]
        if (force < -STEADY) if not is_open[t] else (force > STEADY):
            is_open[t] = not is_open[t]
            any_of = True
            if not all_at_once:
                break
    return any_of
