"""Where works are made: a few at a time, each once, and refused clearly beyond that."""

from __future__ import annotations

import hashlib
from collections import OrderedDict
from collections.abc import Callable, Mapping
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import replace
from threading import Lock
from typing import Any, Final

from chartkit.errors import ChartkitError
from chartkit.output.synth import find_soundfont
from chartkit.phrase.phrase import Phrase
from chartkit.stand.asked import Asked, take_of
from chartkit.stand.drawing import NARROW, WIDE
from chartkit.stand.parts import parts_of
from chartkit.stand.phrases import phrase_work
from chartkit.stand.shelf import Shelf
from chartkit.stand.sound import Stems, sound_id, stems
from chartkit.stand.store import Store
from chartkit.stand.telling import Heard, engraved, told
from chartkit.stand.work import Work, work_of

AT_ONCE: Final = 2
WAITING: Final = 8
"""Works being made, and works that wait for it, at most."""

REMEMBERED: Final = 64
"""Works that need not be made again as long as their sound is there."""


class Busy(ChartkitError):  # noqa: N818 (a state, told as a sentence)
    """More is asked for than can be made."""


class Workshop:
    """Makes works and their sounds; may be asked from several threads.

    Parameters
    ----------
    shelf : Shelf
    store : Store
    planned : callable
        Returns an item of the routine as a work; see `chartkit.stand.programme`.
    about : callable
        Returns what such an item is made from, to tell one from another.
    soundfont : str or None
        As for `chartkit.output.synth.find_soundfont`.
    a4 : float
        Tuning of A4 in Hz.
    """

    def __init__(
        self,
        shelf: Shelf,
        store: Store,
        planned: Callable[[Asked], Work],
        *,
        about: Callable[[Asked], object] = repr,
        soundfont: str | None = None,
        a4: float = 440.0,
    ) -> None:
        self._shelf, self._store, self._planned = shelf, store, planned
        self._about = about
        self._soundfont, self._a4 = soundfont, a4
        self._pool = ThreadPoolExecutor(AT_ONCE, thread_name_prefix="work")
        self._under_way: dict[str, Future[dict[str, Any]]] = {}
        self._done: OrderedDict[str, dict[str, Any]] = OrderedDict()
        self._lock = Lock()

    def ask(self, asked: Asked, request: Mapping[str, Any]) -> Future[dict[str, Any]]:
        """Return a work to come; the same request while it is being made gets the same one.

        Raises
        ------
        Busy
            Too many works wait already.
        ChartkitError
            The tune cannot be read.
        """
        name = self._name(asked)
        with self._lock:
            known = self._known(name)
            if known is not None:
                ready: Future[dict[str, Any]] = Future()
                ready.set_result({**known, "request": dict(request)})
                return ready
            if name in self._under_way:
                return self._under_way[name]
            if len(self._under_way) >= AT_ONCE + WAITING:
                raise Busy("the stand is busy with other music: try again in a moment")
            coming = self._pool.submit(self._work, name, asked, dict(request))
            self._under_way[name] = coming
        coming.add_done_callback(lambda done: self._finished(name, done))
        return coming

    def close(self) -> None:
        """Make nothing more; what is being made comes to its end."""
        self._pool.shutdown(wait=False, cancel_futures=True)

    def sound(self, work: Work) -> Stems:
        """Return the stems of a work, made now unless they are there."""
        font = find_soundfont(self._soundfont)
        known = self._store.get(sound_id(work.performance, font, self._a4))
        if known is None:
            known = stems(work.performance, font, self._a4)
            self._store.put(known)
        return known

    def work(self, asked: Asked) -> Work:
        """Return what was asked for, before it is engraved and rendered."""
        if asked.item is not None:
            return self._planned(asked)
        assert asked.tune is not None  # the request has one of the two
        content = self._shelf.content(asked.tune)
        if isinstance(content, Phrase):
            return phrase_work(content, asked, self._soundfont, self._a4)
        made = work_of(take_of(asked, content, self._soundfont, self._a4), asked.staves)
        return replace(made, sections=parts_of(content))

    def _name(self, asked: Asked) -> str:
        """Return what a request is known by: itself, and the content of what it is made from."""
        about = self._about(asked) if asked.tune is None else self._shelf.content(asked.tune)
        return hashlib.sha256(f"{asked!r} {about!r}".encode()).hexdigest()[:32]

    def make(self, asked: Asked, request: Mapping[str, Any]) -> tuple[dict[str, Any], Stems]:
        """Make a work now, in the caller's own thread; return it and its sound."""
        return self._made(self._name(asked), asked, request)

    def _made(
        self, name: str, asked: Asked, request: Mapping[str, Any]
    ) -> tuple[dict[str, Any], Stems]:
        work = self.work(asked)
        with ThreadPoolExecutor(1) as beside:
            pages = [beside.submit(engraved, work, screen) for screen in (WIDE, NARROW)]
            made = self.sound(work)
            for page in pages:
                page.result()
        heard = Heard(
            tuple((part, f"/sound/{made.id}/{part}.wav") for part, _ in made.parts),
            made.frames,
            made.peak,
        )
        return told(work, name, request, heard), made

    def _work(self, name: str, asked: Asked, request: Mapping[str, Any]) -> dict[str, Any]:
        work, _ = self._made(name, asked, request)
        return work

    def _known(self, name: str) -> dict[str, Any] | None:
        """Return a work that was made before, if its sound is still there."""
        found = self._done.get(name)
        if found is None:
            return None
        parts = found["sound"]["parts"]
        if parts and self._store.get(parts[0]["href"].split("/")[2]) is None:
            return None
        self._done.move_to_end(name)
        return found

    def _finished(self, name: str, done: Future[dict[str, Any]]) -> None:
        with self._lock:
            self._under_way.pop(name, None)
            if not done.cancelled() and done.exception() is None:
                self._done[name] = done.result()
                while len(self._done) > REMEMBERED:
                    self._done.popitem(last=False)
