"""The whole piece of furniture: as it stands, taken apart, from three sides."""
