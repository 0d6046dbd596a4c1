"""How a frame is made: its operations, the tools they take, the steps in order and the time they take."""
