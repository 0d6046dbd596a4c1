"""A room on a cluster of Dask's distributed: `room` is the side of who asks, `worker` that of a machine that reckons.

The scheduler is theirs as it is. A batch of tasks goes to a worker as one of theirs; the worker hands its tasks to the
back room of its own machine, so that all that bounds a task and ends it holds there too.
"""
