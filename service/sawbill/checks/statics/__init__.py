"""How a frame bears its loads: a model of beams, posts, springs and faces that can only press."""
