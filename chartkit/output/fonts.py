from dataclasses import dataclass
@dataclass(frozen=True, slots=True)
class Levels:
    gain: float
    parts: tuple
    def attenuation(self, part): return dict(self.parts).get(part,0.)
