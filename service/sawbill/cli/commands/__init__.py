"""The commands, each family a module; what they need is loaded when they are called."""
