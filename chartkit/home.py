"""Where a player's own things are kept: the log, the tunes under way, what is made again and again.

The folder is the one that the environment variable ``CHARTKIT_HOME`` names, else the user's data
folder as the operating system has it.
"""

from __future__ import annotations

import os
from pathlib import Path
from typing import Final

HOME_VARIABLE: Final = "CHARTKIT_HOME"


def home() -> Path:
    """Return the folder of the player's own things; it need not exist yet."""
    named = os.environ.get(HOME_VARIABLE)
    if named:
        return Path(named).expanduser()
    from platformdirs import user_data_path

    return user_data_path("chartkit")
