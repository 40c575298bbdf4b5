import pytest

from chartkit.home import HOME_VARIABLE


@pytest.fixture(autouse=True)
def own_home(tmp_path, monkeypatch):
    """Keep everything of a test's player in a folder of its own."""
    monkeypatch.setenv(HOME_VARIABLE, str(tmp_path / "home"))
    return tmp_path / "home"
