"""From frames to boards and packs: what is needed, what will do for it, and what is bought."""
