"""What engines do for the service: requests read and reckoned to bytes. No request, no answer and no store is at hand.

Each is a function of a module that takes the price books it may need, and gives what it made or the `Problem`.
"""
