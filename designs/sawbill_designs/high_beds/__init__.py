"""What the bunk bed and the loft bed build alike: a guarded bed above the floor, and the way up to it."""
