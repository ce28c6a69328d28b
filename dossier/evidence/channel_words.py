"""The names testing machines give their columns, in the languages of their users, and what such a name says."""

from __future__ import annotations

import re

_NUMBERS = re.compile(r"[\d_]+")
_LETTERS = re.compile(r"[^\W\d_]+")
_ANYWHERE = 5

_WORDS = {
    "temperature": ("temp", "temperat", "températ", "thermo", "teplota", "lämpötila"),
    "cycles": ("cycle", "zyklen", "zyklus", "lastspiel", "schwingspiel", "lastwechsel", "ciclo", "cicli", "cykel", "cykler",
               "cykl", "cyklus", "sykli"),
    "time": ("time", "timestamp", "zeit", "temps", "tempo", "tiempo", "tid", "tijd", "czas", "čas", "aika", "elapsed"),
    "stiffness": ("stiffness", "steifigkeit", "raideur", "rigidezza", "rigidez", "styvhet", "stijfheid"),
    "loss_angle": ("loss angle", "verlustwinkel", "phase", "förlustvinkel"),
    "torque": ("torque", "moment", "couple", "coppia", "koppel", "par", "momentti", "momento"),
    "angle": ("angle", "angular", "winkel", "verdreh", "drehung", "rotation", "rotazione", "rotación", "twist", "angolo",
              "ángulo", "ângulo", "angulo", "hoek", "vinkel", "vridning", "kąt", "úhel", "kulma"),
    "force": ("force", "kraft", "load", "last", "belastung", "effort", "charge", "forza", "carico", "fuerza", "carga",
              "força", "forca", "kracht", "siła", "síla", "voima"),
    "displacement": ("displacement", "displ", "disp", "weg", "travel", "verschieb", "verform", "auslenkung", "einfederung",
                     "hub", "deflection", "deformation", "déformation", "déplacement", "deplacement", "allongement", "flèche",
                     "course", "stroke", "extension", "elongation", "position", "crosshead", "traverse", "kolben", "piston",
                     "extensometer", "lvdt", "spostamento", "corsa", "desplazamiento", "recorrido", "deslocamento",
                     "verplaatsing", "förskjutning", "forskydning", "forskyvning", "sträcka", "väg", "przemieszczenie",
                     "posuv", "dráha", "siirtymä"),
}  # fmt: skip
_SYMBOLS = {
    "F": "force", "t": "time", "s": "displacement", "x": "displacement", "u": "displacement", "d": "displacement",
    "M": "torque", "Md": "torque", "Mt": "torque", "phi": "angle", "φ": "angle", "ϕ": "angle", "theta": "angle", "θ": "angle",
    "Fx": "force", "Fy": "force", "Fz": "force", "Fr": "force", "Fa": "force", "Mx": "torque", "My": "torque", "Mz": "torque",
    "alpha": "angle", "α": "angle", "N": "cycles", "T": "temperature",
}  # fmt: skip
_DEMANDED = ("setpoint", "set point", "soll", "command", "target", "demand", "consigne", "börvärde", "reference", "sollwert",
             "führungs", "nominal", "error", "abweichung", "rate", "velocity", "speed", "geschwindigkeit")  # fmt: skip
_OF_THE_MACHINE = ("crosshead", "traverse", "kolben", "piston", "actuator", "position", "stroke", "machine", "maschine")


def named_channel(name: str) -> str:
    """The channel that a column of this name usually is, "" if the name does not tell."""
    if name.strip() in _SYMBOLS:
        return _SYMBOLS[name.strip()]
    lowered = _NUMBERS.sub(" ", name).casefold()
    words = _LETTERS.findall(lowered)
    return next((channel for channel, known in _WORDS.items() if any(_says(word, lowered, words) for word in known)), "")


def _says(word: str, lowered: str, words: list[str]) -> bool:
    if len(word) >= _ANYWHERE:
        return word in lowered
    if word in ("par", "temp", "tid", "disp", "hub"):
        return word in words or (word == "temp" and any(other.endswith(word) for other in words))
    return any(other.startswith(word) or other.endswith(word) for other in words)


def standing(name: str) -> int:
    """How well a column stands for what was measured on the part: 0 a transducer, 1 the machine's own travel,
    2 a demanded value or a rate."""
    lowered = name.casefold()
    if any(word in lowered for word in _DEMANDED):
        return 2
    return int(any(word in lowered for word in _OF_THE_MACHINE))
