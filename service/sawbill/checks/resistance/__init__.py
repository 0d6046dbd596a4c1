"""What wood, bolts and screws bear, by the standard that the wood is graded by."""
