"""Findings on a frame: does the mattress fit, is it carried, does it hold."""
