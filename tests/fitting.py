"""Any chart in any feel: its bars laid out anew in a meter that the feel plays.

Import it as ``fitting``.
"""

from dataclasses import replace

from chartkit.chart import Hold, Simile
from chartkit.feel import FEELS
from chartkit.header import read_meter

HALVES = {4: (2, 2), 3: (2, 1), 5: (3, 2), 6: (3, 3)}
"""The beats of a bar, where it is parted for a second chord."""


def fitted(chart, feel):
    """The chart in a feel throughout; where that does not play its meters, in its first one."""
    plain = replace(chart, feel=feel, tempo=None, comments=())
    sections = tuple(replace(section, feel=None) for section in chart.sections)
    plain = replace(plain, sections=sections)
    meters = {str(meter) for meter in meters_of(plain)}
    if meters <= {*FEELS[feel].meters}:
        return plain
    meter = read_meter(FEELS[feel].meters[0])
    pickup = min(chart.pickup, meter.beats - 1)
    anew = (
        replace(one, meter=None, bars=tuple(laid_out(bar, meter, pickup) for bar in one.bars))
        for one in sections
    )
    return replace(plain, meter=meter, pickup=pickup, sections=tuple(anew))


def meters_of(chart):
    yield chart.meter
    for section in chart.sections:
        yield from filter(None, (section.meter, *(bar.meter for bar in section.bars)))


def laid_out(bar, meter, pickup):
    """A bar with its chords over the beats of another meter; what has no beat is left out."""
    if isinstance(bar.slots[0], Simile):
        return replace(bar, meter=None)
    beats = pickup if bar.number == 0 else meter.beats
    slots = bar.slots[:beats]
    lengths = shares(beats, len(slots))
    return replace(
        bar,
        meter=None,
        slots=tuple(
            Hold(length) if isinstance(slot, Hold) else replace(slot, beats=length)
            for slot, length in zip(slots, lengths, strict=True)
        ),
    )


def shares(beats, parts):
    """Beats for each of so many parts of a bar, the longer ones first."""
    if parts == len(HALVES[4]) and beats in HALVES:
        return HALVES[beats]
    whole, over = divmod(beats, parts)
    return [whole + (number < over) for number in range(parts)]
