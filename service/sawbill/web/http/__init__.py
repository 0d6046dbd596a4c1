"""HTTP as the service speaks it: what is asked and how it is read, what is answered and how it is told."""
