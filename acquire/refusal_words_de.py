"""The German sentences of a fit that is refused, entry for entry those of the English table."""

from __future__ import annotations

_UNIT = "Prüfen Sie die Einheit, oder verwerfen Sie diesen Punkt."
_COLUMN = "Prüfen Sie die Spalte und ihre Einheit."
_MORE = "Nehmen Sie mehr Punkte auf, oder nehmen Sie einen verworfenen wieder hinzu."
_TAKE = "Nehmen Sie mehr Punkte auf."

REFUSALS_DE: dict[str, dict[str, tuple[str, str, str]]] = {
    "point-outside": {
        "temperature": ("die Temperatur von Punkt {point} ist {value:K#6}", "{low:K#6} bis {high:K#6}", _UNIT),
        "pressure": ("der Druck von Punkt {point} ist {value:Pa#6}", "{low:Pa#6} bis {high:Pa#6}", _UNIT),
    },
    "uncertainty-outside": {
        "temperature": (
            "die Unsicherheit der Temperatur von Punkt {point} ist {value:K#6}",
            "ein Wert von 0 bis {high:K#6}",
            _COLUMN,
        ),
        "pressure": (
            "die Unsicherheit des Drucks von Punkt {point} ist {value:Pa#6}",
            "ein Wert von 0 bis {high:Pa#6}",
            _COLUMN,
        ),
        "lag": (
            "die Unsicherheit des Nachlaufs von Punkt {point} ist {value:K#6}",
            "ein Wert von 0 bis {high:K#6}",
            _COLUMN,
        ),
    },
    "no-uncertainty": {
        "": (
            "Punkt {point} hat gar keine Unsicherheit",
            "eine Unsicherheit von Temperatur oder Druck",
            "Geben Sie an, was bekannt ist.",
        )
    },
    "correlation-outside": {
        "": (
            "die Korrelation von Temperatur und Druck von Punkt {point} ist {value:1#6}",
            "ein Wert zwischen -1 und 1",
            "Berichtigen Sie sie.",
        )
    },
    "too-few-points": {
        "one": ("{used:1.0} brauchbarer Punkt", "mindestens {least:1.0}", _TAKE),
        "some": ("{used:1.0} brauchbare Punkte", "mindestens {least:1.0}", _TAKE),
        "one-aside": ("{used:1.0} brauchbarer Punkt ({aside:1.0} verworfen)", "mindestens {least:1.0}", _MORE),
        "some-aside": ("{used:1.0} brauchbare Punkte ({aside:1.0} verworfen)", "mindestens {least:1.0}", _MORE),
    },
    "span-too-small": {
        "": (
            "die {points:1.0} Punkte liegen alle innerhalb von {span:K#3}",
            "eine Spanne von mindestens {least:K#3}",
            "Nehmen Sie Punkte bei anderen Temperaturen auf.",
        )
    },
    "no-baseline": {
        "": (
            "keine geschlossene Basislinie",
            "Temperatur und Druck der geschlossenen Zelle vor dem Füllen",
            "Geben Sie sie an, oder dass die Zelle evakuiert war.",
        )
    },
    "baseline-outside": {
        "temperature": (
            "die Temperatur der geschlossenen Basislinie ist {value:K#6}",
            "{low:K#6} bis {high:K#6}",
            "Prüfen Sie die Einheit.",
        ),
        "pressure": (
            "der Druck der geschlossenen Basislinie ist {value:Pa#6}",
            "{low:Pa#6} bis {high:Pa#6}",
            "Prüfen Sie die Einheit.",
        ),
    },
    "sensor-outside": {"": ("{name} der Sensoren ist {value:1#6}", "eine Zahl ab 0", "Berichtigen Sie sie.")},
    "cell-volume-outside": {
        "": (
            "das Zellvolumen ist {value:mL#6}",
            "mehr als 0 und höchstens {high:mL#6}",
            "Prüfen Sie die Einheit.",
        )
    },
    "charge-outside": {
        "": (
            "die Füllung ist {charge:mL#6} in einer Zelle von {cell:mL#6}",
            "weniger, als die Zelle fasst",
            "Prüfen Sie beide Volumen.",
        )
    },
    "humidity-outside": {
        "": ("die Luftfeuchte des Raumes ist {value:1#6}", "ein Anteil von 0 bis 1", "Geben Sie 0.45 für 45 % an.")
    },
    "gas-above-water-outside": {
        "": ("das Gas über dem Wasser ist {value:1#6}", "ein Anteil von 0 bis 1", "Geben Sie 0.05 für 5 % an.")
    },
    "pressure-below-air": {
        "": (
            "der Druck von Punkt {point} ist {pressure:Pa.0}, und die eingeschlossene Luft allein hat {air:Pa.0}",
            "ein Gesamtdruck über dem der Luft",
            "Prüfen Sie die geschlossene Basislinie, die Einheiten, und ob der Druck absolut ist.",
        )
    },
    "no-line": {
        "": (
            "die Auswertung fand keine Gerade durch diese Punkte",
            "Dampfdrücke, die mit der Temperatur steigen",
            "Sehen Sie sich die Punkte an: Wahrscheinlich ist eine falsche Einheit, eine vertauschte Spalte oder eine "
            "falsche geschlossene Basislinie.",
        )
    },
    "gas-let-out": {
        "": (
            "die Auswertung fand keine Gerade durch diese Punkte: Bei {time:s.0} fiel der Druck auf einmal um "
            "{drop:kPa.1}, der Stopfen hob sich also oder Gas wurde abgelassen",
            "dieselbe eingeschlossene Luft unter allen Punkten",
            "Legen Sie die Punkte danach beiseite, oder messen Sie noch einmal und bleiben Sie unter dem Druck, bei "
            "dem sich der Stopfen hebt.",
        )
    },
    "water-cannot": {
        "": (
            "Wasser von {water:degC.0} kann das Bad nicht von {temperature:degC.1} auf {target:degC.1} bringen",
            "Wasser jenseits des Ziels",
            "Nehmen Sie heißeres Wasser zum Erwärmen, kälteres zum Abkühlen.",
        )
    },
    "antoine-too-little": {
        "": (
            "{points:1.0} Punkte über {span:K.1}",
            "mindestens {least_points:1.0} Punkte über {least_span:K#3} für drei Konstanten",
            "Nehmen Sie die Gerade, oder mehr Punkte über einen weiteren Bereich.",
        )
    },
    "vapour-not-positive": {
        "": (
            "der Dampfdruck von Punkt {point} ist {pressure:Pa#6}",
            "ein Druck über null",
            "Prüfen Sie die abgezogene Luft.",
        )
    },
    "antoine-curved-wrong": {
        "": (
            "Antoines Konstanten kamen als b = {b:K.0}, c = {c:K.0} heraus",
            "b über null und c höchstens {most_c:K#3} von null",
            "Die Punkte sind falsch herum gekrümmt: Nehmen Sie die Gerade, und suchen Sie Punkte, die nicht ruhig "
            "waren.",
        )
    },
    "columns-unequal": {
        "": (
            "ungleich lange Spalten: {least:1.0} von {short}, {most:1.0} von {long}",
            "von jeder ein Wert je Punkt",
            "Vervollständigen Sie die Tabelle.",
        )
    },
    "not-a-number": {"": ("{column} von Punkt {point} ist {value:1#6}", "eine Zahl", "Verwerfen Sie diesen Punkt.")},
    "not-above-zero": {
        "": ("{column} von Punkt {point} ist {value:1#6}", "ein Wert über null", "Geben Sie die Unsicherheit an.")
    },
    "same-abscissa": {
        "": (
            "alle {points:1.0} Punkte haben dieselbe Abszisse, {value:1#6}",
            "mindestens zwei verschiedene Werte",
            "Verteilen Sie die Punkte.",
        )
    },
    "too-many-coefficients": {
        "": (
            "{points:1.0} Punkte für {coefficients:1.0} Koeffizienten",
            "mindestens {least:1.0}",
            _TAKE,
        )
    },
    "search-lost": {
        "": (
            "die Suche endete, wo das Modell nichts mehr bedeutet",
            "ein Minimum der Quadratsumme",
            "Beginnen Sie an anderer Stelle.",
        )
    },
    "trace-too-short": {
        "": (
            "eine Messkurve von {time:s.0} über {span:K.1}",
            "mindestens {least_time:s.0} über {least_span:K#3}",
            "Lassen Sie die Messung weiterlaufen; die Punkte werden ohne die Kurve ausgewertet.",
        )
    },
    "trace-not-followed": {
        "": (
            "eine Messkurve, der das Modell aus Nachlauf, Leck und Gerade nicht folgen kann",
            "eine geschlossene Zelle, deren Druck ihrem Bad folgt",
            "Sehen Sie sich die Messkurven an; die Punkte werden ohne sie ausgewertet.",
        )
    },
    "trace-not-settled": {
        "": (
            "die Auswertung der ganzen Messkurve fand kein Ende",
            "Nachlauf und Gerade, die sie beschreiben",
            "Die Punkte werden ohne sie ausgewertet; suchen Sie nach Gas, das entwich, oder verbrauchter Flüssigkeit.",
        )
    },
}
