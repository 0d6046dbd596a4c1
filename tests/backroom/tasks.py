"""What engines are asked to do in these tests."""

import os
import signal
import subprocess
import sys
import time
from pathlib import Path


def add(_, a, b):
    return a + b


def total(shared):
    return sum(map(len, shared))


def who(_, seconds=0.0):
    """Who does it, after some time."""
    time.sleep(seconds)
    return os.getpid()


def turn(_, seconds):
    """Turn the processor round and round."""
    end = time.process_time() + seconds
    while time.process_time() < end:
        pass
    return os.getpriority(os.PRIO_PROCESS, 0)


def grow(_, megabytes):
    return len(bytearray(megabytes * 2**20))


def fail(_):
    raise ValueError("a fault")


def die(_, mark, times):
    """Die as if the system had killed it, the first times."""
    with Path(mark).open("a+") as file:
        file.write(".")
        file.seek(0)
        if len(file.read()) <= times:
            file.flush()
            os.kill(os.getpid(), signal.SIGKILL)
    return "alive"


def start_another(_, mark):
    """Start a process, tell which, and wait for ever."""
    started = subprocess.Popen([sys.executable, "-c", "import time; time.sleep(600)"])
    with Path(mark).open("w") as file:
        file.write(f"{os.getpid()} {started.pid} ")
    time.sleep(600)


def note(_, mark):
    """Leave a mark, for who was asked in which order."""
    with Path(mark[0]).open("a") as file:
        file.write(mark[1])


def mark_and_wait(_, mark, seconds, more=None):
    """Leave a mark, and tell after some time who did it."""
    with Path(mark).open("a") as file:
        file.write(".")
    time.sleep(seconds)
    return os.getpid(), time.monotonic_ns(), more


def fail_after(_, mark, seconds):
    mark_and_wait(_, mark, seconds)
    raise ValueError("a fault")
