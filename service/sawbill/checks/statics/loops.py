"""The sums of a frame's statics, compiled: every machine adds in the order that is written, and finds the same.

Stiffness is kept by rows: that of a dof holds what it has in common with itself and with those after it. A dof is one
way in which a node may give way, down or by a turn. Forces [N], lengths [mm], turns [rad]; downward is positive.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sawbill.compiled import compiled

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

HOLD = 1e-6
"""A spring to the ground at every dof [N/mm], so weak that it bears nothing of what stands [N mm at a turn x 1e4]."""
STEADY = 1e-7
"""A contact that pulls, or a gap that closes, by less than this is taken as it was [N]."""
GAUSS = 0.5773502691896257
"""One over the square root of three."""
ROUNDS = 400
"""After so many rounds a case is told to have no state that its contacts agree with."""
ALL_AT_ONCE = 12
"""In so many rounds all contacts that are wrong are turned at once; then one by one, the last of them first, which
always ends (Murty, Linear Complementarity, 1988, chapter 4)."""


@compiled
def filled(count: int, beams: Ints, ties: Ints) -> tuple[Ints, Ints]:
    """Which dofs after itself each has something in common with once those before it are eliminated.

    As where the row of each begins, itself first, and the dofs of all rows one after the other.
    """
    meets = np.zeros((count, count), np.bool_)
    for i in range(count):
        meets[i, i] = True
    for e in range(len(beams)):
        for p in range(4):
            for q in range(4):
                if beams[e, q] > beams[e, p]:
                    meets[beams[e, p], beams[e, q]] = True
    for t in range(len(ties)):
        if ties[t, 1] >= 0:
            meets[min(ties[t, 0], ties[t, 1]), max(ties[t, 0], ties[t, 1])] = True
    starts, dofs, total = np.zeros(count + 1, np.int64), np.empty(count * (count + 1) // 2, np.int64), 0
    for i in range(count):
        for j in range(i, count):
            if meets[i, j]:
                dofs[total] = j
                total += 1
        starts[i + 1] = total
        for p in range(starts[i] + 1, total):
            for q in range(p + 1, total):
                meets[dofs[p], dofs[q]] = True
    return starts, dofs[:total].copy()


@compiled
def at(starts: Ints, dofs: Ints, one: int, other: int) -> int:
    """Where the row of the first of two dofs has the other."""
    found, last = int(starts[min(one, other)]), max(one, other)
    while dofs[found] != last:
        found += 1
    return found


@compiled
def assembled(
    starts: Ints, dofs: Ints, turns: NDArray[np.bool_], beams: Ints, lengths: Floats, rigid: Floats, ties: Ints,
    stiff: Floats,
) -> Floats:  # fmt: skip
    """The stiffness of a frame: beams by their four dofs (down and turn at either end), ties by two, -1 the ground."""
    matrix = np.zeros(len(dofs))
    for i in range(len(turns)):
        matrix[starts[i]] = HOLD * 1e4 if turns[i] else HOLD
    k = np.empty((4, 4))
    for e in range(len(beams)):
        b, a = lengths[e], rigid[e] / lengths[e] ** 3
        k[0, 0] = k[2, 2] = 12 * a
        k[0, 2] = k[2, 0] = -12 * a
        k[0, 1] = k[1, 0] = k[0, 3] = k[3, 0] = 6 * a * b
        k[1, 2] = k[2, 1] = k[2, 3] = k[3, 2] = -6 * a * b
        k[1, 1] = k[3, 3] = 4 * a * b * b
        k[1, 3] = k[3, 1] = 2 * a * b * b
        for p in range(4):
            for q in range(4):
                if beams[e, q] >= beams[e, p]:
                    matrix[at(starts, dofs, beams[e, p], beams[e, q])] += k[p, q]
    for t in range(len(ties)):
        add_tie(starts, dofs, matrix, ties[t, 0], ties[t, 1], stiff[t])
    return matrix


@compiled
def add_tie(starts: Ints, dofs: Ints, matrix: Floats, over: int, under: int, stiff: float) -> None:
    """A spring between two dofs."""
    matrix[starts[over]] += stiff
    if under >= 0:
        matrix[starts[under]] += stiff
        matrix[at(starts, dofs, over, under)] -= stiff


@compiled
def factor(starts: Ints, dofs: Ints, matrix: Floats) -> None:
    """L D L', in its own place."""
    for i in range(len(starts) - 1):
        first, last = starts[i], starts[i + 1]
        for p in range(first + 1, last):
            share = matrix[p] / matrix[first]
            if share != 0.0:
                q = starts[dofs[p]]
                for r in range(p, last):
                    while dofs[q] != dofs[r]:
                        q += 1
                    matrix[q] -= share * matrix[r]


@compiled
def solve(starts: Ints, dofs: Ints, matrix: Floats, loads: Floats) -> None:
    """How far all gives way under loads, a column each, in their own place; matrix: as `factor` leaves it."""
    count, columns = loads.shape
    for i in range(count):
        for p in range(starts[i] + 1, starts[i + 1]):
            share, row = matrix[p] / matrix[starts[i]], dofs[p]
            if share != 0.0:
                for c in range(columns):
                    loads[row, c] -= share * loads[i, c]
    for i in range(count - 1, -1, -1):
        for p in range(starts[i] + 1, starts[i + 1]):
            share, row = matrix[p], dofs[p]
            if share != 0.0:
                for c in range(columns):
                    loads[i, c] -= share * loads[row, c]
        for c in range(columns):
            loads[i, c] /= matrix[starts[i]]


@compiled
def pressed(starts: Ints, dofs: Ints, matrix: Floats, contacts: Ints, stiff: Floats, loads: Floats) -> Ints:
    """How far each dof gives way, in place of its loads, with contacts that only press.

    After how many rounds by column, 0: no state was found. A linear complementarity problem with one answer: solved
    once with all contacts shut, then for each column with the forces that undo those that would pull (the formula of
    Sherman, Morrison and Woodbury).
    """
    for t in range(len(contacts)):
        add_tie(starts, dofs, matrix, contacts[t, 0], contacts[t, 1], stiff[t])
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
            undone = forces_undone(which, contacts, stiff, units, loads, c)
            if not turned(which, undone, contacts, stiff, units, loads, c, is_open, turn <= ALL_AT_ONCE):
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
def forces_undone(which: Ints, contacts: Ints, stiff: Floats, units: Floats, loads: Floats, column: int) -> Floats:
    """The forces in contacts that are open that undo what they would pull with, were they shut."""
    undone, system = np.empty(len(which)), np.empty((len(which), len(which)))
    for i in range(len(which)):
        undone[i] = closing(contacts, which[i], loads[:, column])
        for j in range(len(which)):
            system[i, j] = -closing(contacts, which[i], units[which[j]])
        system[i, i] += 1 / stiff[which[i]]
    eliminate(system, undone)
    return undone


@compiled
def turned(
    which: Ints, undone: Floats, contacts: Ints, stiff: Floats, units: Floats, loads: Floats, column: int,
    is_open: NDArray[np.bool_], all_at_once: bool,
) -> bool:  # fmt: skip
    """Open contacts that pull and shut those whose gap is closed, all or the last of them; whether there are any."""
    any_of = False
    for t in range(len(contacts) - 1, -1, -1):
        force = closing(contacts, t, loads[:, column])
        for j in range(len(which)):
            force += closing(contacts, t, units[which[j]]) * undone[j]
        force *= stiff[t]
        if (force < -STEADY) if not is_open[t] else (force > STEADY):
            is_open[t] = not is_open[t]
            any_of = True
            if not all_at_once:
                break
    return any_of


@compiled
def eliminate(system: Floats, right: Floats) -> None:
    """Solve a small system that is symmetric and positive, in place of its right side (Gauss)."""
    n = len(right)
    for i in range(n):
        for j in range(i + 1, n):
            share = system[j, i] / system[i, i]
            if share != 0.0:
                for k in range(i, n):
                    system[j, k] -= share * system[i, k]
                right[j] -= share * right[i]
    for i in range(n - 1, -1, -1):
        for j in range(i + 1, n):
            right[i] -= system[i, j] * right[j]
        right[i] /= system[i, i]


@compiled
def spread_over(
    loads: Floats, patches: Floats, which: Ints, columns: Ints, starts: Ints, places: Floats, dofs: Ints
) -> None:
    """Put patches (from, to, how much) of members on the dofs of their nodes: by the shapes of a beam that is bent.

    which: the member of each, columns: its column, -1 for all; starts: the first node of each member; an end that
    reaches past the last node loads it with a force and a moment.
    """
    for p in range(len(patches)):
        low, high, load = patches[p, 0], patches[p, 1], patches[p, 2]
        first, last = starts[which[p]], starts[which[p] + 1]
        if dofs[first, 1] < 0:  # it stands
            put(loads, dofs[first, 0], columns[p], load)
            continue
        wide = high - low
        for e in range(first - 1, last):
            a = places[e] if e >= first else -1e12
            b = places[e + 1] if e + 1 < last else 1e12
            start, end = max(a, low), min(b, high)
            if wide > 0:
                if end <= start:
                    continue
                part = load * (end - start) / wide
            else:
                if not (a <= low < b):
                    continue
                part = load
            middle, half = (start + end) / 2, (end - start) / 2
            if e < first or e + 1 >= last:
                node = max(e, first)
                put(loads, dofs[node, 0], columns[p], part)
                put(loads, dofs[node, 1], columns[p], part * (middle - places[node]))
                continue
            for side in (-1.0, 1.0):  # two points of Gauss, exact for what is cubic
                x = (middle + side * half * GAUSS - a) / (b - a)
                put(loads, dofs[e, 0], columns[p], part / 2 * (1 - 3 * x**2 + 2 * x**3))
                put(loads, dofs[e, 1], columns[p], part / 2 * (b - a) * (x - 2 * x**2 + x**3))
                put(loads, dofs[e + 1, 0], columns[p], part / 2 * (3 * x**2 - 2 * x**3))
                put(loads, dofs[e + 1, 1], columns[p], part / 2 * (b - a) * (x**3 - x**2))


@compiled
def put(loads: Floats, dof: int, column: int, load: float) -> None:
    """Add a load to a dof in one column, or in all."""
    if column >= 0:
        loads[dof, column] += load
    else:
        for c in range(loads.shape[1]):
            loads[dof, c] += load


@compiled
def effects(
    starts: Ints, ends: Floats, places: Floats, up: Floats, patches: Floats, first: Ints
) -> tuple[Floats, Floats, Floats]:
    """The greatest moment, where that is, and the greatest shear, of each piece of a member between two nodes.

    By what stands to the left of a place alone, so that every piece is in balance: ends: where each member begins and
    ends; up: what each node is held up with, a column each; patches: sorted by member and column, first: where those
    of a member begin that are there in all columns, then those of each column. A member of n nodes has n + 1 pieces.
    """
    members, columns = len(starts) - 1, up.shape[1]
    moments = np.zeros((len(places) + members, columns))
    where, shears = np.zeros_like(moments), np.zeros_like(moments)
    for m in range(members):
        if ends[m, 0] >= ends[m, 1]:  # it stands
            continue
        row = m * (columns + 1)
        for c in range(columns):
            shear, moment, x = 0.0, 0.0, ends[m, 0]
            for s in range(starts[m], starts[m + 1] + 1):
                piece = s + m
                end = places[s] if s < starts[m + 1] else ends[m, 1]
                moments[piece, c], where[piece, c], shears[piece, c] = moment, x, shear
                while x < end:
                    stop, rate = end, 0.0
                    for k in range(2):  # what is always there, then what is there in this column
                        r = row + (c + 1) * k
                        for p in range(first[r], first[r + 1]):
                            if x < patches[p, 0] < stop:
                                stop = patches[p, 0]
                            elif x < patches[p, 1] < stop:
                                stop = patches[p, 1]
                    for k in range(2):
                        r = row + (c + 1) * k
                        for p in range(first[r], first[r + 1]):
                            if patches[p, 0] <= x and patches[p, 1] >= stop:
                                rate += patches[p, 2] / (patches[p, 1] - patches[p, 0])
                    reach = stop - x
                    left = shear - rate * reach
                    if shear > 0.0 > left:
                        most = moment + shear * shear / (2 * rate)
                        if abs(most) > abs(moments[piece, c]):
                            moments[piece, c], where[piece, c] = most, x + shear / rate
                    moment += (shear + left) / 2 * reach
                    shear, x = left, stop
                    if abs(shear) > abs(shears[piece, c]):
                        shears[piece, c] = shear
                    if abs(moment) > abs(moments[piece, c]):
                        moments[piece, c], where[piece, c] = moment, x
                if s < starts[m + 1]:
                    shear += up[s, c]
    return moments, where, shears


@compiled
def gathered(
    over: Ints, under: Ints, link: Ints, force: Floats, nodes: int, links: int, members: int
) -> tuple[Floats, Floats, Floats]:
    """What holds every node up, what every link bears, and what every member presses onto the floor, by column.

    over, under: the nodes of each spring; link: its number, or below nothing one less than that of the member which is
    on the floor there.
    """
    up = np.zeros((nodes, force.shape[1]))
    forces, floor = np.zeros((links, force.shape[1])), np.zeros((members, force.shape[1]))
    for s in range(len(over)):
        for c in range(force.shape[1]):
            up[over[s], c] += force[s, c]
            if under[s] >= 0:
                up[under[s], c] -= force[s, c]
                forces[link[s], c] += force[s, c]
            else:
                floor[-1 - link[s], c] += force[s, c]
    return up, forces, floor
