"""The German sentences of findings, entry for entry those of the English table, and German names of inputs."""

from __future__ import annotations

_ONE_BACK = (
    "Drücken Sie den Stopfen fester ein und nehmen Sie beim Abkühlen einen Punkt nahe der Anfangstemperatur auf."
)
_UNTOLD = "Ohne Rückkehrpunkt lässt sich seine Wirkung nicht von der Geraden selbst unterscheiden."
_LEAKS = "Die Zelle verliert Gas: In {time:h~2} fiele ihr Überdruck auf ein Drittel."
_LIFTED = "Nur die Punkte davor gehören zusammen: Verwerfen Sie die anderen oder wiederholen Sie die Messung."
_OUTLIER = (
    "Sehen Sie sich seine Messkurve an: Verwerfen Sie ihn, wenn er nicht ruhig war, und behalten Sie "
    "ihn, wenn nichts ihn erklärt."
)
_BACK = (
    "Das tun Punkte, die nicht ruhig sind: Warten Sie länger, rühren Sie und vergleichen Sie beide Zweige noch einmal."
)
_AIR = (
    "Mehr: Kam mit der Flüssigkeit Luft hinein, wurde der Kolben nicht zurückgezogen, ist die Füllung größer? Weniger: "
    "War der Raum feucht, hatte die Zelle beim Verschließen noch nicht die Temperatur des Bades?"
)
_CONDITION = "Lassen Sie die offene Zelle länger im Bad stehen und verschließen Sie sie vor der Basislinie."
_ROOM_PRESSURE = "Der Druck im Raum ist {pressure:kPa.2}, erwartet werden {low:kPa.0} bis {high:kPa.0}: "
_ROOM_TEMPERATURE = "Die Temperatur im Raum ist {temperature:degC.1}, erwartet werden {low:degC.0} bis {high:degC.0}"

FINDINGS_DE: dict[str, dict[str, tuple[str, str]]] = {
    "channels-swapped": {
        "": (
            "Im Raum werden {temperature:degC.1} und {pressure:kPa.1} angezeigt: Die Kanäle sind wohl vertauscht.",
            "Tauschen Sie die beiden Kanäle im Geräteprofil.",
        )
    },
    "pressure-unit": {
        "": (
            _ROOM_PRESSURE + "Die Ziffern sehen nach {unit} aus.",
            "Stellen Sie die Einheit des Druckkanals auf {unit}.",
        )
    },
    "gauge-pressure": {
        "": (
            _ROOM_PRESSURE + "Das sieht nach Überdruck aus, der im offenen Raum null ist.",
            "Stellen Sie den Sensor auf Absolutdruck, oder geben Sie den Raumdruck an, der zu addieren ist.",
        )
    },
    "pressure-implausible": {
        "": (
            _ROOM_PRESSURE + "Das sieht nicht nach einem Raum aus.",
            "Prüfen Sie Sensor und Einheit.",
        )
    },
    "temperature-unit": {
        "fahrenheit": (
            _ROOM_TEMPERATURE + ": Die Ziffern sehen nach Grad Fahrenheit aus.",
            "Stellen Sie die Einheit des Temperaturkanals auf Grad Fahrenheit.",
        ),
        "kelvin": (
            _ROOM_TEMPERATURE + ": Die Ziffern sehen nach Kelvin aus.",
            "Stellen Sie die Einheit des Temperaturkanals auf Kelvin.",
        ),
        "unknown": (
            _ROOM_TEMPERATURE + ".",
            "Prüfen Sie den Fühler und seine Einheit.",
        ),
    },
    "unknown-liquid": {
        "": (
            "Die Flüssigkeit steht nicht in der Tabelle: Wie weit ihr Dampf vom idealen Gas abweicht, wird aus dem "
            "Druck geschätzt.",
            "Nennen Sie die Flüssigkeit, oder tragen Sie sie in eine eigene Tabelle ein; das Intervall wird schmaler.",
        ),
        "no-dz": (
            "Die Tabelle hat keine Dampfdaten (dz) von {liquid}: Wie weit der Dampf vom idealen Gas abweicht, wird aus "
            "dem Druck geschätzt.",
            "Ergänzen Sie dz in der Tabelle; das Intervall wird schmaler.",
        ),
    },
    "outside-reference": {
        "": (
            "Die Punkte liegen außerhalb von {low:degC.0} bis {high:degC.0}, wo die Dampfdaten von {liquid} gelten; "
            "wie weit der Dampf vom idealen Gas abweicht, wird stattdessen aus dem Druck geschätzt.",
            "Tragen Sie Daten für diesen Bereich in eine eigene Tabelle ein; das Intervall wird schmaler.",
        )
    },
    "humidity-not-given": {
        "": (
            "Die Luftfeuchte des Raumes ist nicht angegeben; von trocken bis feucht wird alles zugelassen.",
            "Lesen Sie beim Verschließen der Zelle ein Hygrometer ab.",
        )
    },
    "plunger-not-given": {
        "": (
            "Ob der Kolben nach dem Füllen zurückgezogen wurde, ist nicht bekannt; beides wird zugelassen.",
            "Ziehen Sie den Kolben um das Füllvolumen zurück und vermerken Sie es.",
        )
    },
    "vapour-not-ideal": {
        "": (
            "Die Steigung allein läge um {effect:+kJ/mol.2} daneben: Der Dampf ist kein ideales Gas.",
            "Nichts zu tun: Der angegebene Wert ist darum berichtigt, die Lehrbuchgerade nicht.",
        )
    },
    "scatter": {
        "": (
            "Die Punkte streuen {times:1.1}-mal so stark um die Gerade, wie ihre Unsicherheiten sagen (Chi-Quadrat "
            "{chi2:1.1} bei {freedom:1.0} Freiheitsgraden).",
            "Sehen Sie sich die größte Abweichung an und wie ruhig dieser Punkt war; das Intervall wurde "
            "dafür verbreitert.",
        )
    },
    "outlier-point": {
        "above": (
            "Punkt {point} bei {temperature:degC.1} liegt {size:kPa.2} über der Geraden der anderen.",
            _OUTLIER,
        ),
        "below": (
            "Punkt {point} bei {temperature:degC.1} liegt {size:kPa.2} unter der Geraden der anderen.",
            _OUTLIER,
        ),
    },
    "leak": {
        "returned": (
            _LEAKS,
            "Fetten oder ersetzen Sie den Stopfen; der Wert wurde mit dem Rückkehrpunkt berichtigt.",
        ),
        "alone": (f"{_LEAKS} {_UNTOLD}", _ONE_BACK),
        "plateaus": (
            "Auf den Plateaus fällt der Druck um {rate:Pa/min.0} stärker, als das Bad erklärt: Die Zelle ist undicht.",
            _ONE_BACK,
        ),
    },
    "branches-differ": {
        "above": (
            "Die Punkte vom Rückweg liegen {size:kPa.2} über der Geraden der beim Erwärmen genommenen, mehr als ein "
            "Leck erklärt.",
            _BACK,
        ),
        "below": (
            "Die Punkte vom Rückweg liegen {size:kPa.2} unter der Geraden der beim Erwärmen genommenen, mehr als ein "
            "Leck erklärt.",
            _BACK,
        ),
    },
    "curvature": {
        "": (
            f"ln p über 1/T ist um {{size:+1.0}}{chr(0xA0)}J/(mol{chr(0xA0)}K) stärker gekrümmt, als die "
            "Wärmekapazitäten der Flüssigkeit erklären: Etwas, das während der Messung wächst oder schwindet, fehlt im "
            "Modell.",
            "Am warmen Ende nach unten gebogen: Flüssigkeit verbraucht, Leck, Punkte nicht ruhig. Nach oben "
            "gebogen: mehr eingeschlossene Luft, als die geschlossene Basislinie sagt. Beides kann auch ein Gemisch "
            "sein.",
        )
    },
    "air-amount": {
        "more": (
            "Die Messwerte verlangen {share:%.1} mehr Luft, als die geschlossene Basislinie ergibt, so viel wie "
            "{volume:mL.1} Raumluft.",
            _AIR,
        ),
        "less": (
            "Die Messwerte verlangen {share:%.1} weniger Luft, als die geschlossene Basislinie ergibt, so viel wie "
            "{volume:mL.1} Raumluft.",
            _AIR,
        ),
    },
    "residual-air": {
        "": (
            "Die Messwerte verlangen {size:Pa.0} Luft, die nicht abgepumpt oder nicht abgezogen wurde.",
            "Frieren und pumpen Sie noch einmal, oder geben Sie die geschlossene Basislinie an.",
        )
    },
    "liquid-exhausted": {
        "": (
            "Von {low:degC.1} bis {high:degC.1} stieg der Dampfdruck um {grown:%.0}, wo {expected:%.0} zu erwarten "
            "waren: Vielleicht ist keine Flüssigkeit mehr da, oder Gas ist entwichen.",
            "Füllen Sie mehr Flüssigkeit ein und wiederholen Sie; verwerfen Sie die Punkte ohne Flüssigkeit.",
        )
    },
    "enthalpy-implausible": {
        "": (
            "Die Steigung ergibt {value:kJ/mol.1}; Flüssigkeiten haben {low:kJ/mol.0} bis {high:kJ/mol.0}.",
            "War Flüssigkeit in der Zelle, und ist der Druck absolut und in der richtigen Einheit?",
        )
    },
    "gas-let-out": {
        "points": (
            "Der Druck fiel von {low:degC.1} bis {high:degC.1} um {drop:kPa.2}: Der Stopfen hob sich, oder Gas wurde "
            "abgelassen.",
            _LIFTED,
        ),
        "trace": (
            "Bei {time:s.0} fiel der Druck binnen zwei Sekunden um {drop:kPa.1} und blieb unten: Der Stopfen hob sich, "
            "oder Gas wurde abgelassen.",
            _LIFTED,
        ),
    },
    "level-off-reference": {
        "": (
            "Der Dampfdruck bei {temperature:degC.1} weicht um {share:+%.1} vom Literaturwert für {liquid} ab.",
            "Zu hoch: Luft kam hinein, der Kolben wurde nicht zurückgezogen, eine flüchtigere Verunreinigung oder eine "
            "andere Flüssigkeit. Zu niedrig: nicht gesättigt, feuchter Raum, eine weniger flüchtige Verunreinigung "
            "oder eine andere Flüssigkeit.",
        )
    },
    "enthalpy-off-reference": {
        "": (
            "Der Wert liegt {difference:+kJ/mol.2} neben dem Literaturwert ({reference:kJ/mol.2}), das sind "
            "{times:1.1} Standardunsicherheiten.",
            "Der Literaturwert ging nicht in die Auswertung ein. Sehen Sie sich die anderen Befunde an, zuerst "
            "Luftfeuchte und Luftmenge.",
        )
    },
    "input-pulled": {
        "": (
            "Die Auswertung musste „{source}“ um das {times:1.1}-Fache der angegebenen Unsicherheit verschieben.",
            "Prüfen Sie diese Angabe; ihre Unsicherheit ist vielleicht zu klein angesetzt.",
        )
    },
    "lag-too-long": {
        "": (
            "Der Dampf läuft dem Bad um {lag:s.0} nach, und die Plateaus dauerten {hold:s.0}: Er kam der Sättigung nie "
            "nahe genug, als dass man einer Korrektur trauen könnte.",
            "Schwenken Sie die Zelle, und bleiben Sie bei jeder Temperatur mindestens viermal so lange wie der "
            "Nachlauf.",
        )
    },
    "cell-not-conditioned": {
        "warming": (
            "In der geschlossenen, trockenen Zelle änderte sich der Druck, als erwärmte sie sich noch um "
            "{rate:K/min.2} gegen ihr Bad.",
            _CONDITION,
        ),
        "cooling": (
            "In der geschlossenen, trockenen Zelle änderte sich der Druck, als kühlte sie sich noch um "
            "{rate:K/min.2} gegen ihr Bad ab.",
            _CONDITION,
        ),
    },
    "not-saturated": {
        "": (
            "Am ersten Punkt stieg der Druck noch um {rate:Pa/min.0}, die das Bad nicht erklärt; etwa {to_come:Pa.0} "
            "standen noch aus.",
            "Der Dampf war noch nicht gesättigt: Schwenken Sie nach dem Füllen und warten Sie vor dem ersten Punkt "
            "länger.",
        )
    },
}

#: What the fit calls an input, in German.
NAMES_DE = {
    "nan": "keine Zahl",
    "inf": "unendlich",
    "-inf": "unendlich",
    "readings, noise": "Rauschen der Messwerte",
    "pressure, offset": "Nullpunkt des Drucksensors",
    "pressure, gain": "Empfindlichkeit des Drucksensors",
    "pressure, non-linearity": "Nichtlinearität des Drucksensors",
    "pressure, drift": "Drift des Drucksensors",
    "temperature, offset": "Nullpunkt des Thermometers",
    "temperature, gain": "Empfindlichkeit des Thermometers",
    "lag of liquid and probe": "Nachlauf von Flüssigkeit und Fühler",
    "heat-capacity difference": "Differenz der Wärmekapazitäten",
    "vapour non-ideality dZ": "Realgasfaktor dZ",
    "leak": "Leck",
    "sealed baseline, pressure": "geschlossene Basislinie, Druck",
    "sealed baseline, temperature": "geschlossene Basislinie, Temperatur",
    "amount of air, anything else": "Luftmenge, alles Übrige",
    "cell volume": "Zellvolumen",
    "charge volume": "Füllvolumen",
    "plunger": "Kolben",
    "tubing volume": "Schlauchvolumen",
    "tubing gas": "Gas im Schlauch",
    "gas above the water": "Gas über dem Wasser",
    "room temperature": "Raumtemperatur",
    "room humidity": "Luftfeuchte des Raumes",
    "water taken up by the liquid": "von der Flüssigkeit aufgenommenes Wasser",
    "dissolved air": "gelöste Luft",
    "solubility of air": "Löslichkeit der Luft",
    "time air takes to dissolve": "Zeit, in der sich Luft löst",
}
