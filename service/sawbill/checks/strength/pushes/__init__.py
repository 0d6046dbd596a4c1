"""Pushes that the statics of what lies and stands know nothing of: outward on guards and backs, and slats from below.

Each is followed from the board to what holds it, without any help of boards beside it: a board between what it is fixed
to, an upright that stands out above what holds it, and the fasteners, which hold as a couple.
"""
