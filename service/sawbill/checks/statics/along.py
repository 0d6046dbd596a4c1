"""What loads do along members, from their low end on, compiled. Forces [N], lengths [mm], moments [N mm].

By what stands to the left of a place alone, so that every piece is in balance. A member of n nodes has n + 1 pieces.
"""

from __future__ import annotations

import numpy as np

from sawbill.checks.statics.elimination import Floats, Ints
from sawbill.compiled import compiled, compiled_part


@compiled
def effects(
    starts: Ints, ends: Floats, places: Floats, up: Floats, patches: Floats, first: Ints, cases: int,
    moments: Floats, shears: Floats, bent: Floats,
) -> None:  # fmt: skip
    """Find the greatest moment and the greatest shear of each piece of a member, and the moment at every node.

    ends: where each member begins and ends; up: what each node is held up with, a column each; patches: sorted by
    member and column, first: where those of a member begin that are there in all columns, then those of each of so
    many cases; columns are cases over and over.
    """
    members, columns = len(starts) - 1, up.shape[1]
    loaded = np.empty((len(places) + members + 2 * len(patches), 2))
    counts = np.empty(len(places) + 1, np.int64)
    for m in range(members):
        if ends[m, 0] >= ends[m, 1]:  # it stands
            continue
        row, alone = m * (cases + 1), False
        for case in range(cases):
            own = row + case + 1
            if first[own] < first[own + 1] or not alone:  # else as in the case before: what is always there
                find_stretches(starts, ends, places, patches, first, m, row, own, loaded, counts)
            alone = first[own] == first[own + 1]
            for c in range(case, columns, cases):
                follow(starts, up, m, c, loaded, counts, moments, shears, bent)


@compiled_part
def find_stretches(
    starts: Ints, ends: Floats, places: Floats, patches: Floats, first: Ints, m: int, row: int, own: int,
    loaded: Floats, counts: Ints,
) -> None:  # fmt: skip
    """Cut a member where it has nodes and where loads begin or end: how long each stretch is, how much each mm bears.

    row, own: the loads that are always there, and those of a case. counts: how many stretches there are to the end of
    each piece.
    """
    count, x = 0, ends[m, 0]
    for s in range(starts[m], starts[m + 1] + 1):
        end = places[s] if s < starts[m + 1] else ends[m, 1]
        while x < end:
            stop, rate = end, 0.0
            for r in (row, own):
                for p in range(first[r], first[r + 1]):
                    if x < patches[p, 0] < stop:
                        stop = patches[p, 0]
                    elif x < patches[p, 1] < stop:
                        stop = patches[p, 1]
            for r in (row, own):
                for p in range(first[r], first[r + 1]):
                    if patches[p, 0] <= x and patches[p, 1] >= stop:
                        rate += patches[p, 3]
            loaded[count, 0], loaded[count, 1] = stop - x, rate
            count, x = count + 1, stop
        counts[s - starts[m]] = count


@compiled_part
def follow(
    starts: Ints, up: Floats, m: int, c: int, loaded: Floats, counts: Ints, moments: Floats, shears: Floats,
    bent: Floats,
) -> None:  # fmt: skip
    """Go along a member in one column, and note what there is in its pieces and at its nodes."""
    shear, moment, k = 0.0, 0.0, 0
    for s in range(starts[m], starts[m + 1] + 1):
        steepest, most = shear, moment
        while k < counts[s - starts[m]]:
            reach, rate = loaded[k, 0], loaded[k, 1]
            left = shear - rate * reach
            if shear > 0.0 > left:
                within = moment + shear * shear / (2 * rate)
                most = within if abs(within) > abs(most) else most
            moment += (shear + left) / 2 * reach
            shear = left
            steepest = shear if abs(shear) > abs(steepest) else steepest
            most = moment if abs(moment) > abs(most) else most
            k += 1
        moments[s + m, c], shears[s + m, c] = most, steepest
        if s < starts[m + 1]:
            bent[s, c] = moment
            shear += up[s, c]


@compiled
def most_by(found: Floats, group: Ints, groups: int) -> Floats:
    """The most of each row, up or down, of the columns of each group; those of group -1 are left out."""
    most = np.zeros((found.shape[0], groups))
    for row in range(found.shape[0]):
        for c in range(found.shape[1]):
            if group[c] >= 0 and abs(found[row, c]) > most[row, group[c]]:
                most[row, group[c]] = abs(found[row, c])
    return most
