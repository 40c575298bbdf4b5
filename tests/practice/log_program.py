"""A program for the tests to run and to kill: it writes to a log and says what it has written.

Usage: log_program.py record FOLDER FIRST COUNT [PLAYER]   entries one by one, then in threes
       log_program.py open FOLDER                          open it and close it
"""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from log_makers import entry

from chartkit.practice.log import open_log


def say(*words):
    sys.stdout.write(f"{' '.join(map(str, words))}\n")
    sys.stdout.flush()


def record(folder, first, count, player="me"):
    with open_log(Path(folder)) as log:
        number = int(first)
        while number < int(first) + int(count):
            size = 3 if number % 2 else 1
            log.record([entry(n, player=player) for n in range(number, number + size)])
            say(number, size)
            number += size


def open_it(folder):
    say("opening")
    with open_log(Path(folder)) as log:
        say("open", *log.news)


if __name__ == "__main__":
    {"record": record, "open": open_it}[sys.argv[1]](*sys.argv[2:])
