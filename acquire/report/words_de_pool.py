"""German words of the pooled page."""

from __future__ import annotations

POOL_DE: dict[str, str] = {
    "Cochran": "Cochran",
    "Grubbs, largest": "Grubbs, der größte Wert",
    "Grubbs, smallest": "Grubbs, der kleinste Wert",
    "Grubbs, two largest": "Grubbs, die zwei größten Werte",
    "Grubbs, two smallest": "Grubbs, die zwei kleinsten Werte",
    "{0} bench": "{0} Platz",
    "{0} benches": "{0} Plätze",
    "{0} runs with {1}, pooled": "{0} Läufe mit {1}, zusammengefasst",
    "All of these runs are simulated.": "Alle diese Läufe sind simuliert.",
    "air: {0}": "Luft: {0}",
    "not said": "nicht angegeben",
    "shut in": "eingeschlossen",
    "subtracted already": "schon abgezogen",
    "Consensus of the enthalpy of vaporisation at 298.15 K": (
        "Gemeinsamer Wert der Verdampfungsenthalpie bei 298,15 K"
    ),
    "95 % interval {0} to {1} kJ/mol": "95\u2011%\u2011Intervall {0} bis {1} kJ/mol",
    "Another run on another bench would lie between {0} and {1} kJ/mol in 95 of 100 cases, its own reading noise "
    "apart.": (
        "Ein weiterer Lauf an einem anderen Platz läge in 95 von 100 Fällen zwischen {0} und {1} kJ/mol, ohne sein "
        "eigenes Rauschen."
    ),
    "All runs by simpler means, for comparison": "Alle Läufe auf einfachere Art, zum Vergleich",
    "plain average": "einfaches Mittel",
    "weighted, taken as independent": "gewichtet, als unabhängig",
    "with the benches that stand out": "mit den auffälligen Plätzen",
    "table value": "Tabellenwert",
    "table": "Tabelle",
    "The first two take what benches share (one barometer, one set of liquid data) for independent and are too "
    "sure of themselves. What stands behind ± is one standard uncertainty {0}.": (
        "Die ersten beiden halten für unabhängig, was Plätze gemeinsam haben (ein Barometer, einen Satz Daten der "
        "Flüssigkeit), und sind sich ihrer zu sicher. Hinter ± steht eine Standardunsicherheit {0}."
    ),
    "Benches that stand out": "Auffällige Plätze",
    "No bench stands out from the others.": "Kein Platz fällt aus dem Rahmen der anderen.",
    "Each bench was compared with all others together: its points with their curve, its air, its sensors.": (
        "Jeder Platz wurde mit allen anderen zusammen verglichen: seine Punkte mit deren Kurve, seine Luft, seine "
        "Sensoren."
    ),
    "They are not in the consensus above.": "Sie sind im gemeinsamen Wert oben nicht enthalten.",
    "It could also be: {0}.": "Es könnte auch sein: {0}.",
    "under one in a million": "unter eins zu einer Million",
    "Chance of this in a campaign without any fault: {0}.": (
        "Wahrscheinlichkeit dafür, wenn kein Platz einen Fehler hat: {0}."
    ),
    "a leak": "ein Leck",
    "the amount of air": "die Menge der Luft",
    "the thermometer": "das Thermometer",
    "the pressure sensor": "der Drucksensor",
    "another liquid": "eine andere Flüssigkeit",
    "no single fault": "kein einzelner Fehler",
    "Bench {0}": "Platz {0}",
    "{0} loses air: its over-pressure falls to 37 % in about {1} h.": (
        "{0} verliert Luft: Der Überdruck fällt in etwa {1} h auf 37 %."
    ),
    "{0} has {1} % more air in the cell than its inputs say.": (
        "{0} hat {1} % mehr Luft in der Zelle, als die Angaben sagen."
    ),
    "{0} has {1} % less air in the cell than its inputs say.": (
        "{0} hat {1} % weniger Luft in der Zelle, als die Angaben sagen."
    ),
    "{0} reads temperatures that put its points beside the curve of all others.": (
        "{0} zeigt Temperaturen, die seine Punkte neben die Kurve aller anderen legen."
    ),
    "{0} has a pressure sensor that does not agree with the others.": (
        "{0} hat einen Drucksensor, der nicht zu den anderen passt."
    ),
    "Its room pressure is {0} kPa off the others'.": "Sein Raumdruck liegt {0} kPa neben dem der anderen.",
    "{0} measured a vapour pressure {1} times that of the others; {2} would fit.": (
        "{0} maß einen Dampfdruck vom {1}-fachen der anderen; {2} würde passen."
    ),
    "{0} lies {1} % in pressure and {2} kJ/mol from the curve of all others, and no single fault explains it.": (
        "{0} liegt {1} % im Druck und {2} kJ/mol neben der Kurve aller anderen, und kein einzelner Fehler erklärt es."
    ),
    "Do the leak check with the cell closed and dry; look at the stopper and the tubing.": (
        "Die Leckprüfung mit geschlossener, trockener Zelle machen; Stopfen und Schlauch ansehen."
    ),
    "Check volumes, plunger and humidity as entered; was the cell flushed or dried before closing?": (
        "Volumen, Kolben und Feuchte prüfen, wie eingegeben; wurde die Zelle vor dem Schließen gespült oder getrocknet?"
    ),
    "Read the probe in melting ice and beside another bench's probe.": (
        "Den Fühler in schmelzendem Eis und neben dem eines anderen Platzes ablesen."
    ),
    "Read the sensor beside a barometer with the valve open.": (
        "Den Sensor bei offenem Ventil neben einem Barometer ablesen."
    ),
    "Check the bottle; measure again with liquid of known origin.": (
        "Die Flasche prüfen; mit Flüssigkeit bekannter Herkunft noch einmal messen."
    ),
    "Repeat the run on another bench with the same liquid to see which of the two moves.": (
        "Den Lauf an einem anderen Platz mit derselben Flüssigkeit wiederholen, um zu sehen, was sich bewegt."
    ),
    "The benches": "Die Plätze",
    "bench": "Platz",
    "runs": "Läufe",
    "mean": "Mittel",
    "scatter": "Streuung",
    "change a year": "Änderung im Jahr",
    "remarks": "Bemerkungen",
    "Mean of each bench with its 95 % interval; blue band: the consensus with its 95 % interval; dashed: the table "
    "value; diamonds: benches that stand out.": (
        "Mittel jedes Platzes mit seinem 95\u2011%\u2011Intervall; blaues Band: der gemeinsame Wert mit seinem "
        "95\u2011%\u2011Intervall; gestrichelt: der Tabellenwert; Rauten: auffällige Plätze."
    ),
    "The {0} most extreme of {1} are drawn.": "Gezeichnet sind die {0} äußersten von {1}.",
    "z: against the robust spread of all benches (3 and above calls for action); ζ: against the stated "
    "uncertainties (2 and above is a warning); E<sub>n</sub>: the same with expanded uncertainties (1 and above "
    "calls for action).": (
        "z: gegen die robuste Streuung aller Plätze (ab 3 ist zu handeln); ζ: gegen die angegebenen Unsicherheiten "
        "(ab 2 eine Warnung); E<sub>n</sub>: dasselbe mit erweiterten Unsicherheiten (ab 1 ist zu handeln)."
    ),
    "{0} signal on its chart": "{0} Signal auf seiner Karte",
    "{0} signals on its chart": "{0} Signale auf seiner Karte",
    "changes with time": "ändert sich mit der Zeit",
    "Precision of the method": "Präzision des Verfahrens",
    "It takes at least two benches and one bench with two runs to say how well runs repeat.": (
        "Wie gut sich Läufe wiederholen, lässt sich erst mit zwei Plätzen und einem Platz mit zwei Läufen sagen."
    ),
    "ISO 5725-2; without the benches that stand out. Two runs differ by more than the limit in one of twenty cases.": (
        "ISO 5725-2; ohne die auffälligen Plätze. Zwei Läufe unterscheiden sich in einem von zwanzig Fällen um mehr "
        "als die Grenze."
    ),
    "repeatability s<sub>r</sub>, runs of one bench": "Wiederholbarkeit s<sub>r</sub>, Läufe eines Platzes",
    "between benches s<sub>L</sub>": "zwischen den Plätzen s<sub>L</sub>",
    "reproducibility s<sub>R</sub>, runs of any bench": "Vergleichbarkeit s<sub>R</sub>, Läufe aller Plätze",
    "standard deviation": "Standard\u00adabweichung",
    "All benches among each other": "Alle Plätze untereinander",
    "outlier (1 %)": "Ausreißer (1 %)",
    "straggler (5 %)": "verdächtig (5 %)",
    "No test of Cochran or Grubbs finds an outlying bench.": (
        "Kein Test nach Cochran oder Grubbs findet einen Platz, der ein Ausreißer ist."
    ),
    "Mandel's h: each bench's mean among the others.": "Mandels h: das Mittel jedes Platzes unter den anderen.",
    "Mandel's k: the scatter of each bench's runs.": "Mandels k: die Streuung der Läufe jedes Platzes.",
    "Mandel's h: how far each bench's mean lies off": "Mandels h: wie weit das Mittel jedes Platzes abliegt",
    "Mandel's k: how much each bench's runs scatter": "Mandels k: wie sehr die Läufe jedes Platzes streuen",
    "One curve through all points": "Eine Kurve durch alle Punkte",
    "Every point of every run that does not stand out, fitted together: each sensor's errors once, the "
    "heat-capacity difference free.": (
        "Jeder Punkt jedes Laufs, der nicht auffällt, zusammen angepasst: die Fehler jedes Sensors einmal, die "
        "Differenz der Wärmekapazitäten frei."
    ),
    "vapour pressure at 298.15 K": "Dampfdruck bei 298,15 K",
    "enthalpy of vaporisation at 298.15 K": "Verdampfungsenthalpie bei 298,15 K",
    "enthalpy of vaporisation at 298.15 K / (kJ/mol)": "Verdampfungsenthalpie bei 298,15 K / (kJ/mol)",
    "change of the enthalpy with temperature": "Änderung der Enthalpie mit der Temperatur",
    "readings about the curve, χ² over degrees of freedom": "Anzeigen um die Kurve, χ² und Freiheitsgrade",
    "{0} over {1}": "{0} bei {1}",
    "The pooled curve less that of the liquid table, with its 95 % band.": (
        "Die gemeinsame Kurve abzüglich der Kurve aus der Tabelle der Flüssigkeiten, mit ihrem 95\u2011%\u2011Band."
    ),
    "The pooled vapour-pressure curve less that of the table, with its 95 % band": (
        "Die gemeinsame Dampfdruckkurve abzüglich der Kurve aus der Tabelle, mit ihrem 95\u2011%\u2011Band"
    ),
    "p off the table / %": "p neben der Tabelle / %",
    "What no single run can see": "Was kein einzelner Lauf sehen kann",
    "Beside the table's curve the benches' points follow the share of air, as if each cell held {0} % of air more "
    "than its inputs say ({1} % to {2} %). That is an error the whole method has in common; humidity, volumes and the "
    "way of closing the cell are the first to look at.": (
        "Gegen die Kurve aus der Tabelle folgen die Punkte der Plätze dem Anteil der Luft, als enthielte jede Zelle "
        "{0} % mehr Luft, als die Eingaben sagen ({1} % bis {2} %). Diesen Fehler hat das ganze Verfahren gemeinsam; "
        "zuerst sind Feuchte, Volumen und die Art des Verschließens anzusehen."
    ),
    "The points do not follow the share of air beside the table's curve: an error of the air that all have in "
    "common lies between {1} % and {2} %.": (
        "Die Punkte folgen gegen die Kurve aus der Tabelle nicht dem Anteil der Luft: Ein Fehler der Luft, den alle "
        "gemeinsam haben, liegt zwischen {1} % und {2} %."
    ),
    "Means of points with a similar share of air, 95 % intervals as if points were independent; line and band: the "
    "error of the air that the benches, each one vote, have in common.": (
        "Mittel von Punkten mit ähnlichem Anteil der Luft, 95\u2011%\u2011Intervalle, als wären Punkte unabhängig; "
        "Linie und Band: der Fehler der Luft, den die Plätze, jeder mit einer Stimme, gemeinsam haben."
    ),
    "share of the pressure that is air / %": "Anteil der Luft am Druck / %",
    "reading off the table's curve / %": "Anzeige neben der Kurve der Tabelle / %",
    "How far readings lie off the table's curve, over their share of air": (
        "Wie weit Anzeigen neben der Kurve der Tabelle liegen, über ihrem Anteil der Luft"
    ),
    "Each bench over time": "Jeder Platz über die Zeit",
    "Single runs in order of time between limits made of their own short-term scatter; a diamond is a signal: "
    "beyond the limits, or eight in a row on one side. Of a long series that only scatters one run in 150 is one.": (
        "Einzelne Läufe in zeitlicher Folge zwischen Grenzen aus ihrer eigenen Streuung auf kurze Sicht; eine Raute "
        "ist ein Signal: außerhalb der Grenzen, oder acht hintereinander auf einer Seite. In einer langen Folge, die "
        "nur streut, ist jeder 150. Lauf eines."
    ),
    "The {0} with the most signals of {1} are drawn.": "Gezeichnet sind die {0} mit den meisten Signalen von {1}.",
    "run by run, oldest first": "Lauf für Lauf, der älteste zuerst",
    "Runs of {0} in order of time between control limits": "Läufe von {0} in zeitlicher Folge zwischen Regelgrenzen",
    "Every bench with its 95 % interval beside the consensus": (
        "Jeder Platz mit seinem 95\u2011%\u2011Intervall neben dem gemeinsamen Wert"
    ),
    "The runs": "Die Läufe",
    "{0} run with its file and report": "{0} Lauf mit Datei und Bericht",
    "{0} runs with their files and reports": "{0} Läufe mit Dateien und Berichten",
    "In order of bench and time; u is the whole standard uncertainty of a run. All of it, and what was left out, "
    "stands in the table of runs.": (
        "Geordnet nach Platz und Zeit; u ist die ganze Standardunsicherheit eines Laufs. Alles, auch was ausgelassen "
        "wurde, steht in der Tabelle der Läufe."
    ),
    "The first {0} of {1} are listed.": "Aufgeführt sind die ersten {0} von {1}.",
    "run": "Lauf",
    "begun": "begonnen",
    "points": "Punkte",
    "value": "Wert",
    "findings": "Befunde",
    "report": "Bericht",
    "Left out": "Ausgelassen",
    "Which file is left out for which reason stands in the table of runs.": (
        "Welche Datei aus welchem Grund ausgelassen ist, steht in der Tabelle der Läufe."
    ),
    "files": "Dateien",
    "reason": "Grund",
    "And {0} further reasons.": "Und {0} weitere Gründe.",
    "How it was done": "Wie gerechnet wurde",
    "Runs and benches are weighed by what they do not share: their own uncertainty and the scatter that the stated "
    "uncertainties leave unexplained. Benches with an error in common that others do not have, as one barometer in "
    "one room, count less, and no weight is below zero.": (
        "Läufe und Plätze wiegen nach dem, was sie nicht gemeinsam haben: nach ihrer eigenen Unsicherheit und der "
        "Streuung, die die angegebenen Unsicherheiten nicht erklären. Plätze mit einem gemeinsamen Fehler, den andere "
        "nicht haben, etwa durch ein Barometer in einem Raum, zählen weniger, und kein Gewicht ist kleiner als null."
    ),
    "What runs share (pressure sensor, thermometer, cell, liquid data) stays whole in the uncertainty of the mean; "
    "small differences between the stated parts are not taken for knowledge of the common error.": (
        "Was Läufe gemeinsam haben (Drucksensor, Thermometer, Zelle, Daten der Flüssigkeit), bleibt ganz in der "
        "Unsicherheit des Mittels; kleine Unterschiede der angegebenen Teile gelten nicht als Wissen über den "
        "gemeinsamen Fehler."
    ),
    "The unexplained scatter is averaged over its plausible amounts (restricted likelihood): {0}.": (
        "Über die nicht erklärte Streuung wird in ihren plausiblen Größen gemittelt (restringierte Likelihood): {0}."
    ),
    "between runs {0} kJ/mol": "zwischen Läufen {0} kJ/mol",
    "between runs of a bench {0} kJ/mol, between benches {1} kJ/mol ({2} to {3})": (
        "zwischen Läufen eines Platzes {0} kJ/mol, zwischen den Plätzen {1} kJ/mol ({2} bis {3})"
    ),
    "Even endless runs on the same benches would leave {0} kJ/mol.": (
        "Auch endlos viele Läufe an denselben Plätzen ließen {0} kJ/mol übrig."
    ),
    "Table value: {0}.": "Tabellenwert: {0}.",
    "satline controls nothing and is not a safety device. Local rules, the safety data sheet and the person in "
    "charge decide.": (
        "satline steuert nichts und ist keine Sicherheitseinrichtung. Die örtlichen Regeln, das Sicherheitsdatenblatt "
        "und die verantwortliche Person entscheiden."
    ),
    "Made by satline {0}.": "Erstellt von satline {0}.",
    "channels swapped": "Kanäle vertauscht",
    "unit of the pressure": "Einheit des Drucks",
    "pressure not absolute": "Druck nicht absolut",
    "pressure of no room": "Druck keines Raumes",
    "unit of the temperature": "Einheit der Temperatur",
    "liquid not in the table": "Flüssigkeit nicht in der Tabelle",
    "outside the table's range": "außerhalb der Tabelle",
    "humidity not given": "Feuchte nicht angegeben",
    "plunger not given": "Kolben nicht angegeben",
    "vapour not ideal": "Dampf nicht ideal",
    "points scatter": "Punkte streuen",
    "a point off the line": "ein Punkt neben der Geraden",
    "way back differs": "Rückweg weicht ab",
    "line is curved": "Gerade ist gekrümmt",
    "amount of air": "Luftmenge",
    "air left over": "Luft übrig",
    "liquid used up": "Flüssigkeit verbraucht",
    "slope of no liquid": "Steigung keiner Flüssigkeit",
    "gas let out": "Gas entwichen",
    "vapour pressure off the reference": "Dampfdruck neben dem Literaturwert",
    "value off the reference": "Wert neben dem Literaturwert",
    "an input pulled far": "eine Angabe weit verschoben",
    "plateaus too short": "Plateaus zu kurz",
    "not saturated": "nicht gesättigt",
}
