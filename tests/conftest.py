"""For every test: Ctrl-C means what it means at a terminal.

A shell without job control starts what it puts in the background with the interrupt ignored, and
programs that the tests start would inherit that.
"""

import signal

signal.signal(signal.SIGINT, signal.default_int_handler)
