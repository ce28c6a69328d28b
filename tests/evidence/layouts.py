"""One and the same measurement in the many layouts that machines and their users write."""

from __future__ import annotations

import numpy as np

TIME = np.arange(400) * 0.01
TRAVEL = 0.2 * np.sin(np.pi * TIME)
LOAD = 56000.0 * TRAVEL
ANGLE = 10 * TRAVEL
TORQUE = LOAD


def rows(form: str, *columns: np.ndarray, comma: bool = False) -> str:
    """The rows as text; `comma` writes decimal commas."""
    text = "\n".join(form % row for row in zip(*columns, strict=True)) + "\n"
    return text.replace(".", ",") if comma else text


def _with(head: str, form: str, *columns: np.ndarray, comma: bool = False) -> str:
    return head + "\n" + rows(form, *columns, comma=comma)


def _between(text: str, after: int, inserted: str) -> str:
    lines = text.split("\n")
    return "\n".join([*lines[:after], inserted, *lines[after:]])


def _grouped(decimal: str, mark: str, delimiter: str, quote: str = "") -> str:
    text = []
    for time, travel, load in zip(TIME, TRAVEL, LOAD, strict=True):
        number = f"{load:,.1f}".replace(",", "\0").replace(".", decimal).replace("\0", mark)
        text.append(delimiter.join((f"{time:.2f}".replace(".", decimal), f"{travel:.5f}".replace(".", decimal),
                                    f"{quote}{number}{quote}")))  # fmt: skip
    return delimiter.join(("Time [s]", "Travel [mm]", "Force [N]")) + "\n" + "\n".join(text) + "\n"


def _stamped(heading: str, stamp: str, delimiter: str, decimal: str) -> str:
    def row(time: float, travel: float, load: float) -> str:
        second = stamp.format(3 + time)
        return delimiter.join((second, *(f"{number}".replace(".", decimal) for number in (f"{travel:.5f}", f"{load:.1f}"))))

    return heading + "\n" + "\n".join(row(*numbers) for numbers in zip(TIME, TRAVEL, LOAD, strict=True)) + "\n"


def _midnight() -> str:
    stamps = [86398.0 + time for time in TIME]
    clock = [f"{int(s // 3600) % 24:02d}:{int(s // 60) % 60:02d}:{s % 60:05.2f}" for s in stamps]
    data = zip(clock, TRAVEL, LOAD, strict=True)
    return "time,displacement [mm],force [N]\n" + "\n".join(f"{c},{x:.5f},{f:.1f}" for c, x, f in data) + "\n"


KILO = LOAD / 1e3
POINT = rows("%.2f,%.5f,%.1f", TIME, TRAVEL, LOAD)
COMMA = rows("%.2f;%.5f;%.4f", TIME, TRAVEL, KILO, comma=True)
LINEAR = {
    "bars": _with("time [s]|displacement [mm]|force [N]", "%.2f|%.5f|%.1f", TIME, TRAVEL, LOAD),
    "bars at the edges": _with("| time [s] | displacement [mm] | force [N] |\n|---|---|---|", "| %.2f | %.5f | %.1f |",
                               TIME, TRAVEL, LOAD),
    "names in a comment": "# measured\n# time displacement force\n# s mm N\n" + POINT.replace(",", " "),
    "names behind a hash": "#time,displacement,force\n#s,mm,N\n" + POINT,
    "unit behind an underscore": "time_s,disp_mm,force_N\n" + POINT,
    "symbols with units": "t_s;s_mm;F_kN\n" + COMMA,
    "unit behind a comma": _with('"Time, s","Displacement, mm","Force, kN"', "%.2f,%.5f,%.4f", TIME, TRAVEL, KILO),
    "unit behind a blank": "Zeit s;Weg mm;Kraft kN\n" + COMMA,
    "symbols": "t\tx\tF\n" + POINT.replace(",", "\t"),
    "French": "Temps (s);Déplacement (mm);Effort (kN)\n" + COMMA,
    "Swedish": "Tid [s];Förskjutning [mm];Kraft [kN]\n" + COMMA,
    "Italian": "Tempo [s];Spostamento [mm];Forza [kN]\n" + COMMA,
    "Spanish": "Tiempo;Desplazamiento;Fuerza\ns;mm;kN\n" + COMMA,
    "Polish": "Czas [s];Przemieszczenie [mm];Siła [kN]\n" + COMMA,
    "time of day": _stamped("Uhrzeit;Weg [mm];Kraft [N]", "10:14:{:05.2f}", ";", ",").replace(".", ","),
    "time stamps": _stamped("timestamp,displacement [mm],force [N]", "2026-03-12T10:14:{:06.3f}Z", ",", "."),
    "over midnight": _midnight(),
    "thousands with points": _grouped(",", ".", ";"),
    "thousands with commas": _grouped(".", ",", ";"),
    "thousands in quotes": _grouped(".", ",", ",", '"'),
    "thousands with blanks": _grouped(",", " ", ";"),
    "thousands with apostrophes": _grouped(".", "'", ";"),
    "comment between rows": _between("time,displacement,force\ns,mm,N\n" + POINT, 200, "# pause"),
    "cycles announced": _between("time,displacement,force\ns,mm,N\nCycle 1\n" + POINT, 200, "Cycle 2"),
    "results at the end": "Zeit;Weg;Kraft\ns;mm;kN\n" + COMMA + "\nErgebnisse\nFmax;11,2;kN\nSteifigkeit;56,0;kN/mm\n",
    "means at the end": "Zeit;Weg;Kraft\ns;mm;kN\n" + COMMA + "Fmax;11,2;N\nMittelwert;1,0;2,0\n",
    "counter and temperature": _with("Cycle;Time [s];Displacement [mm];Force [kN];Temp [°C]", "%d;%.2f;%.5f;%.4f;%.1f",
                                     1 + TIME // 2, TIME, TRAVEL, KILO, 23 + 0 * TIME),
    "setpoint first": _with("Time [s];Displacement setpoint [mm];Displacement [mm];Force [kN]", "%.2f;%.5f;%.5f;%.4f",
                            TIME, 1.1 * TRAVEL, TRAVEL, KILO),
    "Soll and Ist": _with("Zeit [s];Soll Weg [mm];Ist Weg [mm];Kraft [kN]", "%.2f;%.5f;%.5f;%.4f",
                          TIME, 1.1 * TRAVEL, TRAVEL, KILO, comma=True),
    "crosshead and transducer": _with("Time [s];Crosshead [mm];Extensometer [mm];Load cell [kN]", "%.2f;%.5f;%.5f;%.4f",
                                      TIME, 1.1 * TRAVEL, TRAVEL, KILO),
    "a column without name": _with(";Time [s];Displacement [mm];Force [kN]", "%d;%.2f;%.5f;%.4f", np.arange(400), TIME,
                                   TRAVEL, KILO),
    "swapped and small units": _with("Force [N],Displacement [µm],Time [ms]", "%.2f,%.3f,%.1f", LOAD, 1e3 * TRAVEL,
                                     1e3 * TIME),
    "other units": _with("Force [mN],Displacement [cm],Time [s]", "%.1f,%.9f,%.2f", 1e3 * LOAD, TRAVEL / 10, TIME),
    "exponents": _with("Force [N],Displacement [mm],Time [s]", "%.8E,%.8E,%.3E", LOAD, TRAVEL, TIME),
    "plus signs": _with("Force [N];Displacement [mm];Time [s]", "%+.3f;%+.6f;%+.2f", LOAD, TRAVEL, TIME),
    "numbers in the header": "Date;12.03.2026\nArea;12,5;mm²\nRate;10;mm/min\nSpecimen;1;2;3\n\nZeit;Weg;Kraft\n[s];[mm];[kN]\n"
                             + COMMA,
    "delimiter declared": "sep=;\nZeit;Weg;Kraft\n[s];[mm];[kN]\n" + COMMA,
    "every second row empty": "Zeit;Weg;Kraft\n\n[s];[mm];[kN]\n\n" + COMMA.replace("\n", "\n\n"),
    "three heading lines": "Channel;Channel;Channel\nZeit;Weg;Kraft\n[s];[mm];[kN]\nreal;real;real\n" + COMMA,
    "true minus signs": "Zeit;Weg;Kraft\n[s];[mm];[kN]\n" + COMMA.replace("-", "−"),
    "whole newtons": _with("time [s],displacement [mm],force [N]", "%.2f,%.5f,%d", TIME, TRAVEL, LOAD),
}  # fmt: skip
ROTATIONAL = {
    "German": _with("Zeit;Winkel;Drehmoment\ns;Grad;Nm", "%.2f;%.5f;%.4f", TIME, ANGLE, TORQUE, comma=True),
    "radians": _with("time [s],angle [rad],torque [N*m]", "%.2f,%.7f,%.4f", TIME, np.radians(ANGLE), TORQUE),
    "symbols": _with("t/s;phi/°;M/Nm", "%.2f;%.5f;%.4f", TIME, ANGLE, TORQUE, comma=True),
    "Swedish": _with("Tid [s];Vinkel [grader];Vridmoment [Nm]", "%.2f;%.5f;%.4f", TIME, ANGLE, TORQUE, comma=True),
    "hyphenated": _with("Time [s];Rotation (deg);Torque (kN-m)", "%.2f;%.5f;%.7f", TIME, ANGLE, TORQUE / 1e3),
}  # fmt: skip
